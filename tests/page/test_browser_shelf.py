"""The shelf, the cut table, rows and the card in a real browser."""

import pytest
from axe_playwright_python.sync_playwright import Axe

SERIOUS = {"serious", "critical"}
BANDS = "dark red 1/2 in, navy 1 in, white 1/8 in, navy 1 in"


@pytest.fixture
def kilt(browser_page, own_page):
    """A tab with a cloth of typed widths that lies on the shelf, and its address there."""
    tab = browser_page
    tab.goto(f"{own_page.root}/by-hand")
    tab.get_by_label("What you call the cloth").fill("Quarry kilt")
    tab.get_by_label("Stripes running up and down").fill(BANDS)
    tab.get_by_role("button", name="Count the strips").click()
    tab.get_by_role("link", name="Keep").click()
    tab.get_by_label("Where it lies").fill("cedar chest")
    tab.get_by_role("button", name="it").first.click()
    tab.get_by_role("button", name="Open it on the table").wait_for()
    return tab


def faults_of(tab):
    """What axe finds serious on a page, at both widths, and whether it is wider than the screen."""
    found = []
    for width in (1280, 390):
        tab.set_viewport_size({"width": width, "height": 900})
        violations = Axe().run(tab).response["violations"]
        found += [each["id"] for each in violations if each["impact"] in SERIOUS]
        if tab.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"wider than {width}")
    return found


def test_a_cloth_is_kept_found_and_opened(kilt, own_page):
    """From the table to the shelf, found by its colour, and back on the table."""
    tab = kilt
    assert "cedar chest" in tab.inner_text("main")
    tab.goto(f"{own_page.root}/shelf")
    colour = tab.get_by_label("A strip reads")
    colour.fill("green")
    colour.press("Enter")
    tab.get_by_text("No cloth on the shelf fits.").wait_for()
    colour.fill("navy")
    colour.press("Tab")
    tab.get_by_text("the best first").wait_for()
    assert "colour=navy" in tab.url
    tab.get_by_role("link", name="Quarry kilt").first.click()
    tab.get_by_role("button", name="Open it on the table").click()
    tab.get_by_role("heading", name="What do you want of it?").wait_for()


def test_the_pages_of_the_shelf_are_open_to_all(kilt, own_page):
    """Keeping, the list and one cloth: nothing serious for axe, and no wider than a phone."""
    tab = kilt
    assert faults_of(tab) == []
    shown = tab.url
    for address in (f"{own_page.root}/shelf", f"{shown}/remove"):
        tab.goto(address)
        assert faults_of(tab) == [], address
    tab.goto(own_page.root)
    tab.get_by_role("link", name="Quarry kilt").first.click()
    tab.get_by_role("link", name="Keep").click()
    assert faults_of(tab) == []


@pytest.mark.parametrize(
    "address",
    ["/cuts", "/test-square", "/card", "/rows?width=1+in&border=24+x+36+in&space=1%2F2+in"],
)
def test_the_small_pages_are_open_to_all(browser_page, own_page, address):
    """Cut table, test square, card and rows: nothing serious for axe, no wider than a phone."""
    browser_page.goto(f"{own_page.root}{address}")
    assert faults_of(browser_page) == []


def test_rows_follow_what_is_typed(browser_page, own_page):
    """With the keyboard alone: a width, Enter, and the rows are there; then another width."""
    tab = browser_page
    tab.goto(f"{own_page.root}/rows")
    width = tab.get_by_label("How wide the gap is")
    width.fill("1 in")
    width.press("Enter")
    tab.get_by_role("heading", name="A gap of 1 in, in whole rows").wait_for()
    width.fill("2 in")
    width.press("Tab")
    tab.get_by_role("heading", name="A gap of 2 in, in whole rows").wait_for()
    width.fill("2")
    width.press("Tab")
    tab.get_by_text("has no unit").wait_for()


def test_the_card_is_saved(browser_page, own_page):
    """A click saves the page to print."""
    tab = browser_page
    tab.goto(f"{own_page.root}/card")
    with tab.expect_download() as saved:
        tab.get_by_role("button", name="Save the page to print").click()
    assert saved.value.suggested_filename == "scale-card-sheet-letter.pdf"
    assert saved.value.path().read_bytes().startswith(b"%PDF-")
