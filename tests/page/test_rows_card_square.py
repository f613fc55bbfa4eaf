"""Rows, the scale card and the test square on the page answer as the commands do."""

import json

import pytest

from plaidcut import tasks
from plaidcut.cli.app import run
from plaidcut.page import table as names
from plaidcut.page import worker
from plaidcut.settings_file import open_settings

PACKED = {"cut": "6", "hooked": "3 x 3 in", "strips": "16 of 16 in"}
NORMAL = {"cut": "6", "hooked": "3 x 3 in", "strips": "11 of 16 in"}


@pytest.fixture
def settings(tmp_path, monkeypatch):
    """Her settings: an empty file of her own."""
    path = tmp_path / "settings.toml"
    path.touch()
    monkeypatch.setenv("PLAIDCUT_SETTINGS", str(path))
    return path


def test_a_gap_is_filled_in_whole_rows(page, settings):
    """Four rows of #8 (1/4 in, A01) fill an inch and leave nothing."""
    text = page.get("/rows", params={"width": "1 in", "cut": ["8", "5"]}).text
    assert '<th scope="row">#8</th><td>4</td><td>nothing</td><td>1/4 in</td>' in text
    assert "#10</th>" not in text


def test_borders_and_letters_are_told(page, settings):
    """The same tables as the command's, with its notes."""
    asked = {"width": "1/2 in", "border": "24 in x 36 in", "space": "1/4 in"}
    text = page.get("/rows", params=asked).text
    for words in ("As a border, each corner counted once", "As the stroke of letters"):
        assert words in text


@pytest.mark.parametrize(
    "wrong",
    [
        {"width": "1"},
        {"width": "1/100 in"},
        {"width": "1 in", "cut": "99"},
        {"width": "1 in", "border": "1 in"},
        {"width": "3 in", "border": "4 in x 4 in"},
    ],
)
def test_a_gap_that_cannot_be_filled_is_said(page, settings, wrong):
    """In words, with what was typed still there."""
    answer = page.get("/rows", params={"space": "1/7 in", **wrong})
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert f'value="{wrong["width"]}"' in answer.text
    assert "plaidcut rug" not in answer.text


@pytest.fixture
def photo(table):
    """The demo's photo on the table, of which no stripes were asked for: only the card is on it."""
    cloth = table.new({"name": "pattern.jpg", "way": "card"})
    cloth.keep(names.PHOTO, tasks.demo_photo_bytes())
    upright = tasks.demo_photo()
    wide, high = upright.size_px
    cloth.keep(names.SIZE, {"width": str(wide), "height": str(high)})
    cloth.keep(names.PREVIEW, b"\xff\xd8")
    return cloth


def test_a_gap_is_measured_on_a_photo(page, settings, photo, tmp_path, capsys):
    """Two points on a photo without measured stripes give the gap that the command gives."""
    points = "1000,1300,1090,1310"
    picture = tmp_path / "pattern.jpg"
    picture.write_bytes(tasks.demo_photo_bytes())
    assert run(["rows", "--photo", str(picture), "--gap", points, "--json"]) == 0
    (gap,) = json.loads(capsys.readouterr().out)["gaps"]
    from plaidcut.units import Units, format_measured

    words = format_measured(gap["width_mm"], 2 * gap["std_mm"], Units.IN)
    answer = page.get("/rows", params={"photo": photo.id, "points": points})
    assert f"A gap of {words}, in whole rows" in answer.text
    beyond = page.get("/rows", params={"photo": photo.id, "points": "0,0,99999,0"})
    assert beyond.status_code == 400
    assert page.get("/rows", params={"photo": "no such", "points": points}).status_code == 404


def test_a_measured_photo_has_its_scale_already(page, settings, photo):
    """Once its stripes were measured, nothing is measured again for a gap."""
    assert worker.main("measure", str(photo.folder)) == 0
    photo.path(names.PHOTO).unlink()
    answer = page.get("/rows", params={"photo": photo.id, "points": "1000,1300,1090,1310"})
    assert "in whole rows" in answer.text


@pytest.mark.parametrize("size", ["sheet", "wallet"])
def test_the_card_is_the_commands_card(page, settings, tmp_path, size):
    """The same file as ``plaidcut card`` writes, of the size and for the paper that was chosen."""
    held = page.get("/card/scale-card.pdf", params={"size": size, "paper": "a4"})
    out = tmp_path / "card.pdf"
    assert run(["card", "--size", size, "--paper", "a4", "--out", str(out)]) == 0
    assert held.content == out.read_bytes()
    assert held.headers["content-type"] == "application/pdf"
    assert page.get(f"/card/pictures/{size}.png").content.startswith(b"\x89PNG")


def test_the_printer_is_corrected_for(page, settings, tmp_path):
    """Bars that came out short are heeded as with the options; half of it is refused."""
    asked = {"size": "sheet", "paper": "letter", "printed_width": "97 mm"}
    answer = page.get("/card/scale-card.pdf", params=asked)
    assert answer.status_code == 400
    assert 'value="97 mm"' in answer.text
    held = page.get("/card/scale-card.pdf", params={**asked, "printed_height": "3.9 in"})
    out = tmp_path / "card.pdf"
    words = ["--printed-width", "97 mm", "--printed-height", "3.9 in", "--paper", "letter"]
    assert run(["card", *words, "--out", str(out)]) == 0
    assert held.content == out.read_bytes()


def test_paper_follows_her_units(page, settings):
    """Inches go with Letter, millimetres with A4, until she chooses."""
    assert 'value="letter" checked' in page.get("/card").text
    page.cookies.set("units", "mm")
    assert 'value="a4" checked' in page.get("/card").text


@pytest.mark.parametrize("asked", [{"size": "huge"}, {"paper": "foolscap"}])
def test_a_card_that_there_isnt_is_refused(page, settings, asked):
    """In words, not with a fault."""
    assert page.get("/card/scale-card.pdf", params=asked).status_code == 400
    assert page.get("/card/pictures/huge.png").status_code == 400


def test_a_square_gives_her_own_figure(page, settings):
    """W11 and W12: eleven strips of 16 in in nine square inches of #6 are 3.67, sixteen 5.33."""
    for typed, figure in ((NORMAL, "3.67"), (PACKED, "5.33")):
        answer = page.post("/test-square", data=typed)
        assert f"You hook with {figure} times as much wool" in answer.text
    assert settings.read_text() == ""


def test_her_figure_is_kept(page, settings):
    """Only if she says so, as with --save."""
    page.post("/test-square", data={**NORMAL, "keep": "yes"})
    assert open_settings(settings).coverage == {"6": 3.67}
    assert "Cut 6: 3.67 times" in page.get("/test-square").text


def test_a_square_by_weight(page, settings):
    """Half of an 80 sq in piece in nine square inches: 40 / 9."""
    weighed = {"piece": "8 x 10 in", "before": "40 g", "after": "20 g"}
    answer = page.post("/test-square", data={"cut": "8", "hooked": "3 in x 3 in", **weighed})
    assert "You hook with 4.44 times as much wool" in answer.text


@pytest.mark.parametrize(
    "wrong",
    [
        {"hooked": ""},
        {"hooked": "3 in"},
        {"strips": ""},
        {"strips": "many"},
        {"piece": "8 x 10 in"},
        {"cut": "99"},
    ],
)
def test_what_is_wrong_with_a_square_is_said(page, settings, wrong):
    """All that was typed stays, and nothing is kept."""
    answer = page.post("/test-square", data={**NORMAL, "keep": "yes", **wrong})
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert settings.read_text() == ""
