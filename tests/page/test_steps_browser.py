"""Pieces, plan, report and rug in a real browser."""

import pytest

from tests.page.opening import faults_of

BANDS = {"up": "red 1/2 in, yellow 1/8 in, navy 1 in", "across": "green 1 in, white 1/4 in"}
WIDE = """() => document.documentElement.scrollWidth - document.documentElement.clientWidth"""


@pytest.fixture
def tab(browser_page, own_page):
    """A tab at a cloth's pieces; the address of the cloth is ``tab.cloth``."""
    browser_page.goto(f"{own_page.root}/by-hand")
    for name, typed in BANDS.items():
        browser_page.fill(f"#{name}", typed)
    browser_page.get_by_role("button", name="Count the strips").click()
    browser_page.wait_for_url("**/cut")
    browser_page.cloth = browser_page.url.removesuffix("/cut")
    browser_page.goto(f"{browser_page.cloth}/pieces")
    return browser_page


def clicked(tab, *places):
    """Click places of the drawing's grid: inches from its left and from its top."""
    matrix = "svg => { const m = svg.getScreenCTM(); return [m.a, m.e, m.d, m.f]; }"
    for across, down in places:
        tab.locator(".grid").last.scroll_into_view_if_needed()
        a, e, d, f = tab.locator(".grid").last.evaluate(matrix)
        tab.mouse.click(a * across * 25.4 + e, d * down * 25.4 + f)


def corners(tab, number=1):
    """The corners as the form will send them."""
    return tab.locator(f"#piece-{number}-points").input_value().split("\n")


def test_a_piece_is_drawn_with_a_hole(tab):
    """Corners are clicked, set into a side, dragged and taken away; its hole is drawn in it."""
    tab.get_by_role("button", name="Any shape: draw it").click()
    clicked(tab, (0, 0), (16, 0), (16, 12), (0, 12))
    assert corners(tab) == ["0 in; 0 in", "16 in; 0 in", "16 in; 12 in", "0 in; 12 in"]
    clicked(tab, (8, 12))
    assert corners(tab)[3] == "8 in; 12 in"
    box = tab.locator(".corner").nth(3).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x, y + 40, steps=4)
    tab.mouse.up()
    assert corners(tab)[3] not in ("8 in; 12 in", "0 in; 12 in")
    assert len(corners(tab)) == 5
    tab.get_by_role("button", name="Take the corner away").click()
    assert corners(tab) == ["0 in; 0 in", "16 in; 0 in", "16 in; 12 in", "0 in; 12 in"]
    tab.locator("#piece-1").get_by_role("button", name="Draw a hole").click()
    clicked(tab, (4, 4), (6, 4), (6, 6))
    hole = tab.locator("#piece-1-hole-0-points").input_value()
    assert hole == "4 in; 4 in\n6 in; 4 in\n6 in; 6 in"
    tab.locator("#piece-0").get_by_role("button", name="Take this piece away").click()
    tab.locator(".go").first.click()
    assert "190 sq in to cut" in tab.locator("#answer").inner_text()


def test_a_piece_is_drawn_with_the_keyboard_alone(tab):
    """Corners are added, moved and taken away without a mouse, and said as they move."""
    tab.get_by_role("button", name="Any shape: draw it").press("Enter")
    for _ in range(4):
        tab.get_by_role("button", name="Add a corner").press("Enter")
    tab.keyboard.press("ArrowRight")
    tab.keyboard.press("Shift+ArrowDown")
    focused = tab.evaluate("document.activeElement.getAttribute('aria-label')")
    assert focused in tab.locator("#piece-1 [role=status]").inner_text()
    before = corners(tab)
    assert len(before) == 4
    assert any("/16 in" in corner for corner in before)
    tab.keyboard.press("Delete")
    assert len(corners(tab)) == 3


def test_the_enter_key_counts(tab):
    """In a field, Enter counts the strips and takes nothing away."""
    tab.fill("#piece-0-width", "20 in")
    tab.fill("#piece-0-height", "14 in")
    tab.locator("#piece-0-height").press("Enter")
    assert "280 sq in to cut" in tab.locator("#answer").inner_text()


@pytest.mark.parametrize("wide", [1280, 390])
def test_no_serious_fault_and_nothing_too_wide(tab, own_page, wide):
    """Each step passes axe's serious checks, and fits the screen without sliding sideways."""
    tab.set_viewport_size({"width": wide, "height": 800})
    tab.get_by_role("button", name="Skirt panel").click()
    tab.locator("#piece-1").get_by_role("button", name="Draw a hole").click()
    tab.locator("#piece-1").get_by_role("button", name="Add a hole by its size").click()
    for details in tab.locator("details").all():
        details.evaluate("each => { each.open = true; }")
    assert (faults_of(tab), tab.evaluate(WIDE)) == ([], 0)
    tab.goto(f"{tab.cloth}/plan")
    assert tab.locator("#answer table").count()
    assert (faults_of(tab), tab.evaluate(WIDE)) == ([], 0)
    tab.goto(f"{tab.cloth}/report")
    tab.get_by_role("button", name="Make the report").click()
    tab.wait_for_selector(".files")
    assert (faults_of(tab), tab.evaluate(WIDE)) == ([], 0)
    tab.goto(f"{own_page.root}/rug")
    tab.get_by_role("button", name="A border").click()
    tab.get_by_role("button", name="A cloth that was measured").click()
    for details in tab.locator("details").all():
        details.evaluate("each => { each.open = true; }")
    assert (faults_of(tab), tab.evaluate(WIDE)) == ([], 0)


def test_the_plan_follows_each_change(tab):
    """A piece that is typed is planned at once; what can't be read is said in its place."""
    tab.goto(f"{tab.cloth}/plan")
    tab.fill("#piece", "10 in x 8 in")
    tab.keyboard.press("Tab")
    tab.get_by_role("cell", name="10 in x 8 in").wait_for()
    tab.fill("#piece", "10 x 8")
    tab.keyboard.press("Tab")
    tab.get_by_role("alert").wait_for()
    assert "has no unit" in tab.get_by_role("alert").inner_text()
    assert tab.locator("#piece").input_value() == "10 x 8"
