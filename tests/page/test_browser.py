"""The page in a real browser, as she uses it."""

import json
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from plaidcut import tasks
from plaidcut.documents.measurement import to_document
from plaidcut.scale.ways import ByRectangle
from tests.page.opening import faults_of, open_page

FIXTURES = Path(__file__).parents[2] / "fixtures"
DEMO = FIXTURES / "demo.jpg"
CARD = json.loads((FIXTURES / "photos" / "harbour-skirt.json").read_text())["card_corners_px"]
A_PLACE_IN = """band => {
  for (const patch of document.querySelectorAll(`.patch[data-band="${band}"]`)) {
    const box = patch.getBoundingClientRect();
    for (const share of [0.2, 0.4, 0.6, 0.8]) {
      const at = [box.x + box.width / 2, box.y + share * box.height];
      if (document.elementFromPoint(...at) === patch) return at;
    }
  }
}"""
"""Where on the screen a band of the photo can be clicked."""


def upload(tab, *paths, way=None):
    """Choose photos and send them."""
    tab.locator("#photo").set_input_files([str(path) for path in paths])
    if way is not None:
        tab.locator("details.fold summary").first.click()
        tab.locator("#way").select_option(way)
    tab.get_by_role("button", name="Measure it").click()


def without_maker(document):
    """A document without who made it and what the photo is called."""
    return {
        **{key: value for key, value in document.items() if key != "made_by"},
        "photo": {**document["photo"], "name": ""},
    }


@pytest.fixture(scope="session")
def demo_address(chromium, own_page):
    """Where the demo cloth lies, once it is measured."""
    tab = chromium.new_page()
    tab.goto(own_page.address)
    tab.get_by_role("button", name="Begin with the demo cloth").click()
    tab.get_by_role("heading", name="What was found").wait_for(timeout=90_000)
    yield tab.url
    tab.close()


@pytest.fixture
def demo(browser_page, demo_address):
    """A tab with the demo cloth, measured."""
    browser_page.goto(demo_address)
    return browser_page


def test_from_a_photo_to_the_report(browser_page, own_page):
    """A photo is measured as by command, a stripe and a cut are answered, a report taken along."""
    tab = browser_page
    upload(tab, DEMO)
    tab.get_by_role("heading", name="What was found").wait_for()
    cloth = tab.url.split("/")[-1]
    kept = json.loads((own_page.folder / cloth / "measurement.json").read_text())
    assert without_maker(kept) == without_maker(to_document(tasks.measure(DEMO)))
    tab.mouse.click(*tab.evaluate(A_PLACE_IN, "U6"))
    assert tab.locator("#chosen").input_value() == "U6"
    tab.get_by_role("link", name="Go on").click()
    tab.locator("#chosen").fill("U6")
    tab.get_by_label("#8.5", exact=True).check()
    answer = tab.locator("#answer")
    answer.get_by_role("heading", name="Your cut, #8.5").wait_for()
    assert "is kept whole" in answer.inner_text()
    swatches = answer.locator("img")
    swatches.first.wait_for()
    sizes = swatches.evaluate_all("all => all.map(each => each.complete && each.naturalWidth)")
    assert len(sizes) == 4
    tab.wait_for_function(
        "[...document.querySelectorAll('#answer img')].every(e => e.naturalWidth)"
    )
    tab.reload()
    assert tab.get_by_label("#8.5", exact=True).is_checked()
    tab.get_by_role("link", name="Report").click()
    tab.get_by_role("button", name="Make the report").click()
    with tab.expect_download() as paper:
        tab.locator("a[href$='guide.pdf']").click()
    assert paper.value.suggested_filename == "demo-guide.pdf"
    assert paper.value.path().read_bytes().startswith(b"%PDF")


def test_bands_are_chosen_by_dragging_and_put_right(demo):
    """Dragging over neighbours chooses them; a width that was typed counts; undo takes it back."""
    tab = demo
    first, last = (
        tab.locator(f'.band[data-band="{band}"]').bounding_box() for band in ("U2", "U4")
    )
    tab.mouse.move(first["x"] + 4, first["y"] + 8)
    tab.mouse.down()
    tab.mouse.move(last["x"] + 4, last["y"] + 8, steps=5)
    tab.mouse.up()
    assert tab.locator("#chosen").input_value() == "U2-U4"
    assert tab.locator(".patch.chosen").count() > 3
    tab.locator('.band[data-band="U1"]').click()
    tab.locator("#value").fill("1 1/32 in")
    tab.get_by_role("button", name="Put it right").click()
    tab.get_by_text("width of U1").wait_for()
    tab.get_by_role("button", name="Take the last one back").click()
    tab.get_by_role("heading", name="What was found").wait_for()
    assert not tab.get_by_text("width of U1").count()


def test_a_missed_card_is_marked_by_hand(browser_page, own_page, tmp_path):
    """A photo without a card is refused; with four corners dragged it is measured as by command."""
    tab = browser_page
    hidden = tmp_path / "hidden.jpg"
    image = Image.open(DEMO)
    middle = [sum(corner[k] for corner in CARD) / 4 for k in (0, 1)]
    inner = [tuple(m + 0.94 * (c - m) for c, m in zip(xy, middle, strict=True)) for xy in CARD]
    ImageDraw.Draw(image).polygon(inner, fill="#b8b8b4")
    image.save(hidden, quality=95)
    upload(tab, hidden)
    tab.get_by_role("alert").wait_for()
    tab.get_by_role("link", name="Mark the card or ruler by hand").click()
    tab.locator("#size").fill("180 mm x 120 mm")
    photo = tab.locator(".photo svg").bounding_box()
    wide = tab.locator(".photo svg").evaluate("each => each.viewBox.baseVal.width")
    for number, (x, y) in enumerate(CARD):
        mark = tab.locator(".mark").nth(number).bounding_box()
        tab.mouse.move(mark["x"] + mark["width"] / 2, mark["y"] + mark["height"] / 2)
        tab.mouse.down()
        scale = photo["width"] / wide
        tab.mouse.move(photo["x"] + (x + 0.5) * scale, photo["y"] + (y + 0.5) * scale, steps=4)
        tab.mouse.up()
    typed = tab.locator("#corners").input_value()
    dragged = tuple(tuple(map(float, each.split(","))) for each in typed.split())
    for (x, y), (wanted_x, wanted_y) in zip(dragged, CARD, strict=True):
        assert abs(x - wanted_x) < 4
        assert abs(y - wanted_y) < 4
    tab.get_by_role("button", name="Measure with these marks").click()
    tab.get_by_role("heading", name="What was found").wait_for()
    kept = json.loads((own_page.folder / tab.url.split("/")[-1] / "measurement.json").read_text())
    how = tasks.HowToMeasure(scale=ByRectangle(size_mm=(180.0, 120.0), corners_xy_px=dragged))
    assert without_maker(kept) == without_maker(to_document(tasks.measure(hidden, how)))


def test_the_keyboard_alone_is_enough(browser_page):
    """From the first page to an answer without a mouse: widths typed, a band and a cut chosen."""
    tab = browser_page
    tab.keyboard.press("Tab")
    assert tab.evaluate("document.activeElement.textContent") == "To the content"
    tab.goto(tab.url.rstrip("/") + "/by-hand")
    tab.locator("#name").focus()
    tab.keyboard.type("Quarry kilt")
    tab.keyboard.press("Tab")
    tab.keyboard.type("red 1/2 in, yellow 1/8 in, navy 1 in")
    tab.keyboard.press("Enter")
    tab.get_by_role("heading", name="What do you want of it?").wait_for()
    tab.locator('.band[data-band="U3"]').focus()
    tab.keyboard.press("Enter")
    tab.locator("#answer").get_by_text("navy (U3)", exact=False).first.wait_for()
    tab.locator('input[name="wish"]:checked').focus()
    tab.keyboard.press("ArrowDown")
    tab.locator("#answer").get_by_text("strips of nothing else").wait_for()
    tab.locator('input[name="cut"]:checked').focus()
    tab.keyboard.press("ArrowLeft")
    tab.get_by_role("heading", name="Your cut, #7").wait_for()


def test_marks_are_moved_with_the_arrow_keys(demo):
    """A mark that is chosen moves with the arrows, and says where it is."""
    tab = demo
    tab.get_by_role("link", name="Mark the scale by hand").click()
    mark = tab.locator(".mark").first
    before = float(mark.get_attribute("cx"))
    mark.focus()
    tab.keyboard.press("ArrowRight")
    tab.keyboard.press("Shift+ArrowLeft")
    assert float(tab.locator(".mark").first.get_attribute("cx")) > before
    assert "Mark 1 of 4" in tab.locator("#mark-words").inner_text()


def test_the_cloth_is_drawn_round_by_hand(browser_page, own_page):
    """An outline with a mark added, moved and taken away again is what is measured."""
    tab = browser_page
    tab.get_by_role("button", name="Begin with the demo cloth").click()
    tab.get_by_role("link", name="Draw round the cloth").click()
    tab.locator(".mark").first.focus()
    tab.keyboard.press("+")
    assert tab.locator(".mark").count() == 5
    tab.keyboard.press("Delete")
    assert tab.locator(".mark").count() == 4
    tab.get_by_role("button", name="Measure what lies inside").click()
    tab.get_by_role("heading", name="What was found").wait_for()
    folder = own_page.folder / tab.url.split("/")[-1]
    settings = json.loads((folder / "measurement.json").read_text())["made_by"]["settings"]
    assert len(settings["outline_px"]) == 4


@pytest.mark.parametrize("wide", [1280, 390])
def test_no_serious_fault_and_nothing_too_wide(demo, wide):
    """Axe finds nothing serious on any step, at the desk and on a phone; nothing is cut off."""
    tab = demo
    tab.set_viewport_size({"width": wide, "height": 850})
    address = tab.url.split("#")[0]
    root = "/".join(address.split("/")[:3])
    for page in (f"{root}/", f"{root}/by-hand", address, *(f"{address}/{step}" for step in STEPS)):
        tab.goto(page)
        assert faults_of(tab) == [], page
        assert tab.evaluate("document.documentElement.scrollWidth") <= wide, page
        assert tab.evaluate(HIDDEN_LINKS) == [], page


HIDDEN_LINKS = """[...document.querySelectorAll("header a, nav a, .steps a")]
  .filter(link => !link.classList.contains("skip"))
  .filter(link => link.getBoundingClientRect().right > innerWidth)
  .map(link => link.textContent)"""
"""Ways to other rooms that lie off the screen."""

STEPS = ("cut", "scale", "outline")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("notes.txt", b"not a picture", "notes.txt is not a photo that can be read"),
        ("empty.jpg", b"", "No photo was chosen"),
        ("half.jpg", DEMO.read_bytes()[:200_000], "damaged or not whole"),
    ],
)
def test_what_is_no_photo_is_told_with_ways_on(browser_page, tmp_path, name, content, words):
    """A file that is no picture, or half of one, ends in a sentence and a way on."""
    path = tmp_path / name
    path.write_bytes(content)
    upload(browser_page, path)
    alert = browser_page.get_by_role("alert")
    alert.wait_for()
    assert words in alert.inner_text()
    assert "Traceback" not in browser_page.content()


def test_a_photo_of_101_megapixels_is_refused(browser_page, tmp_path):
    """One with more pixels than allowed is told so before it is decoded."""
    path = tmp_path / "huge.png"
    Image.new("1", (10_100, 10_000)).save(path)
    upload(browser_page, path)
    browser_page.get_by_role("alert").wait_for()
    assert "10100 × 10000" in browser_page.get_by_role("alert").inner_text()


def test_a_phones_heic_is_taken(browser_page, tmp_path):
    """A photo as phones save it is measured, and its preview is one that browsers show."""
    import pillow_heif

    path = tmp_path / "phone.heic"
    pillow_heif.from_pillow(Image.open(DEMO).reduce(2)).save(path, quality=85)
    upload(browser_page, path)
    browser_page.get_by_role("heading", name="What was found").wait_for()
    browser_page.wait_for_function("document.querySelector('.photo img').naturalWidth > 1000")


def test_two_tabs_work_side_by_side(demo, own_page):
    """Each tab has its own cloth; what is chosen in one leaves the other as it is."""
    other = demo.context.new_page()
    other.goto(f"{own_page.root}/by-hand")
    other.locator("#up").fill("red 1/2 in, black 1 in")
    other.locator("#up").press("Enter")
    other.get_by_role("heading", name="What do you want of it?").wait_for()
    demo.get_by_role("link", name="Go on").click()
    demo.get_by_label("#5", exact=True).check()
    demo.get_by_role("heading", name="Your cut, #5").wait_for()
    other.reload()
    assert other.get_by_role("heading", name="Your cut, #8").count() == 1


def test_a_page_that_is_stopped_goes_on_where_it_was(chromium, tmp_path):
    """Stopped while it measures and opened again, it measures the photo to the end."""
    first = open_page(tmp_path / "table")
    context = chromium.new_context()
    context.set_default_timeout(90_000)
    tab = context.new_page()
    tab.goto(first.address)
    upload(tab, DEMO)
    tab.get_by_role("heading", name="Measuring demo.jpg").wait_for()
    first.process.kill()
    first.process.wait()
    first.process.stdout.close()
    second = open_page(tmp_path / "table")
    try:
        tab.goto(second.address)
        tab.get_by_role("link", name="demo.jpg").click()
        tab.get_by_role("heading", name="What was found").wait_for()
    finally:
        context.close()
        second.process.terminate()
        second.process.wait()
        second.process.stdout.close()


def test_a_dozen_photos_at_once_all_come_to_an_end(browser_page, own_page, tmp_path):
    """None is lost: all are kept at once, wait in order, and end in an answer; one is stopped."""
    small = tmp_path / "small"
    small.mkdir()
    for number in range(12):
        Image.new("RGB", (120, 90), (number, 90, 200 - number)).save(small / f"p{number:02}.png")
    tab = browser_page
    upload(tab, *sorted(small.iterdir()))
    tab.get_by_role("heading", name="On the table").wait_for()
    names = tab.locator(".cloths a").all_inner_texts()
    assert {f"p{number:02}.png" for number in range(12)} <= set(names)
    tab.get_by_role("link", name="p11.png").click()
    if tab.get_by_role("button", name="Stop").count():
        tab.get_by_role("button", name="Stop").click()
        tab.get_by_role("heading", name="p11.png").wait_for()
    for _ in range(240):
        tab.goto(own_page.root + "/")
        words = " ".join(tab.locator(".cloths li").all_inner_texts())
        if "waits its turn" not in words and "being measured" not in words:
            break
        tab.wait_for_timeout(500)
    assert words.count("could not be measured") + words.count("stopped") >= 12
