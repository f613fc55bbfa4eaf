"""The shelf on the page: what is kept there, found, changed and carried away."""

import io
import json
import zipfile
from dataclasses import replace

import pytest

from plaidcut import tasks
from plaidcut.documents.text import to_text
from plaidcut.page import table as names
from plaidcut.page import worker
from plaidcut.page.said import about_typed, typed_of
from plaidcut.page.shelf_cloth import lay
from plaidcut.shelf.opening import open_shelf
from plaidcut.shelf.pictures import pictures_of_photo
from plaidcut.shelf.putting import cloth_measured
from plaidcut.shelf.store import entries, load
from plaidcut.shelved import About, Pieces
from plaidcut.shelved_typed import parse_pieces
from plaidcut.units import Units
from tests.shelf.wool import CORRECTIONS, held, kept, shelve

SAID = {
    "name": "Quarry kilt",
    "place": "cedar chest",
    "note": "thrifted & soft",
    "pieces": "5 of 20 x 14 in\r\n2 of 300 x 200 mm",
    "weight": "12 oz",
    "garments": "1",
    "weave": "woollen",
    "washed_on": "2026-05-03",
}


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """Where the shelf is: a file that isn't there yet."""
    path = tmp_path / "room" / "shelf.db"
    monkeypatch.setenv("PLAIDCUT_SHELF", str(path))
    return path


@pytest.fixture
def on_shelf(shelf):
    """The shelf with a cloth with its photo and corrections, and another of typed widths."""
    cloth, pictures = kept("Harbour skirt", photo=True, about=About(note="from Marrow Lane"))
    shelf.parent.mkdir()
    shelve(shelf, (cloth, pictures), kept("Lantern scarf", up="R10 W10"))
    return shelf


def lines(path):
    """What lies on the shelf, by name."""
    with open_shelf(path) as connection:
        return {entry.name: entry for entry in entries(connection)}


def test_what_is_kept_is_as_it_was_said(page, by_hand, shelf):
    """Every field of the form comes onto the shelf as the command would put it there."""
    answer = page.post(f"{by_hand}/keep", data=SAID)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/shelf/cloths/Quarry%20kilt"
    about = lines(shelf)["Quarry kilt"].about
    assert (about.place, about.note, about.garments) == ("cedar chest", "thrifted & soft", 1)
    assert about.pieces == (parse_pieces("5 of 20 x 14 in"), parse_pieces("2 of 300 x 200 mm"))
    assert about.weight_g == pytest.approx(340.19, abs=0.01)  # avoirdupois ounce, 28.3495 g
    assert about.washed_on == "2026-05-03"
    assert "thrifted &amp; soft" in page.get(answer.headers["location"]).text


def test_corrections_are_kept_apart_from_what_was_measured(page, table, by_hand, shelf):
    """The shelf has the measurement as it was made, and beside it what was put right."""
    page.post(f"{by_hand}/corrections", data={"bands": "U1", "kind": "width", "value": "15 mm"})
    assert page.post(f"{by_hand}/keep", data=SAID).status_code == 303
    with open_shelf(shelf) as connection:
        cloth = load(connection, "quarry kilt")
    (on_table,) = table.cloths()
    assert cloth.document == json.loads(on_table.path(names.MEASURED).read_text())
    assert cloth.corrections["corrections"][0]["width_mm"] == 15.0


def test_a_name_that_is_taken_is_said_and_nothing_typed_is_lost(page, by_hand, on_shelf):
    """She may give another name; the cloth of that name stays as it is."""
    before = held(on_shelf)
    answer = page.post(f"{by_hand}/keep", data={**SAID, "name": "harbour SKIRT"})
    assert answer.status_code == 400
    assert "There is a cloth called" in answer.text
    assert "cedar chest" in answer.text
    assert 'name="again"' in answer.text
    assert held(on_shelf) == before
    assert page.post(f"{by_hand}/keep", data=SAID).status_code == 303
    assert set(lines(on_shelf)) == {"Harbour skirt", "Lantern scarf", "Quarry kilt"}


def test_measured_anew_it_takes_the_old_ones_place(page, by_hand, on_shelf):
    """Only if she says so; what was said of it stays where nothing else is said."""
    typed = {"name": "Harbour skirt", "place": "cedar chest", "again": "yes"}
    assert page.post(f"{by_hand}/keep", data=typed).status_code == 303
    about = lines(on_shelf)["Harbour skirt"].about
    assert (about.note, about.place) == ("from Marrow Lane", "cedar chest")
    with open_shelf(on_shelf) as connection:
        assert load(connection, "Harbour skirt").document["photo"] is None


def test_the_same_cloth_kept_twice_is_one(page, by_hand, shelf):
    """Kept again it changes what lies there, its name too."""
    page.post(f"{by_hand}/keep", data=SAID)
    assert "It lies on the shelf as" in page.get(f"{by_hand}/keep").text
    page.post(f"{by_hand}/corrections", data={"bands": "U1", "kind": "width", "value": "15 mm"})
    assert page.post(f"{by_hand}/keep", data={**SAID, "name": "Old kilt"}).status_code == 303
    assert set(lines(shelf)) == {"Old kilt"}
    with open_shelf(shelf) as connection:
        assert load(connection, "Old kilt").corrections is not None


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": "../up"},
        {"name": ""},
        {"pieces": "many"},
        {"weight": "12"},
        {"garments": "-1"},
        {"garments": "²"},
        {"weave": "felt"},
        {"washed_on": "yesterday"},
        {"note": "x" * 5000},
    ],
)
def test_what_cannot_be_read_is_said_above_what_was_typed(page, by_hand, shelf, wrong):
    """Nothing comes onto the shelf, and nothing has to be typed again."""
    answer = page.post(f"{by_hand}/keep", data={**SAID, **wrong})
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert "cedar chest" in answer.text
    assert "--" not in answer.text
    assert not shelf.is_file() or not lines(shelf)


def test_an_empty_shelf_is_empty(page, shelf):
    """Looking makes nothing; she is told how a cloth comes there."""
    answer = page.get("/shelf")
    assert answer.status_code == 200
    assert "The shelf is empty" in answer.text
    assert not shelf.exists()


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, {"Harbour skirt", "Lantern scarf"}),
        ({"words": "marrow"}, {"Harbour skirt"}),
        ({"words": "lantern"}, {"Lantern scarf"}),
        ({"words": "nowhere"}, set()),
        ({"kind": "tweed"}, set()),
        ({"width": "1 mm to 30 mm", "value": "dark"}, {"Harbour skirt"}),
        ({"at_least": "3"}, set()),
    ],
)
def test_it_finds_what_the_command_finds(page, plaidcut_found, on_shelf, asked, found):
    """The page's fields ask what the options of ``shelf find`` ask."""
    answer = page.get("/shelf", params=asked)
    assert {name for name in ("Harbour skirt", "Lantern scarf") if name in answer.text} == found
    assert set(plaidcut_found(asked)) == found


@pytest.fixture
def plaidcut_found(capsys):
    """What ``plaidcut shelf find`` finds with the same words."""
    from plaidcut.cli.app import run

    def found(asked):
        words = [asked["words"]] if "words" in asked else []
        for name, text in asked.items():
            if name != "words":
                words += [f"--{name.replace('_', '-')}", text]
        assert run(["shelf", "find", *words, "--json"]) == 0
        return [each["name"] for each in json.loads(capsys.readouterr().out)["cloths"]]

    return found


def test_what_cannot_be_looked_for_is_said(page, on_shelf):
    """The words that were typed stay, and so does the rest of the page."""
    answer = page.get("/shelf", params={"colour": "no such colour", "words": "skirt"})
    assert answer.status_code == 400
    assert "no such colour" in answer.text
    assert 'value="skirt"' in answer.text


def test_a_search_is_answered_with_a_part(page, on_shelf):
    """While she types, only the answer is sent."""
    headers = {"x-plaidcut-part": "found"}
    answer = page.get("/shelf", params={"words": "lantern"}, headers=headers).text
    assert "Lantern scarf" in answer
    assert "<html" not in answer


def test_a_cloth_is_shown_with_its_photo(page, on_shelf):
    """Its copy and its thumbnail are JPEG; where none is kept, there is none."""
    assert "from Marrow Lane" in page.get("/shelf/cloths/harbour skirt").text
    for name in ("photo.jpg", "thumbnail.jpg"):
        picture = page.get(f"/shelf/cloths/Harbour skirt/pictures/{name}")
        assert picture.headers["content-type"] == "image/jpeg"
        assert picture.content.startswith(b"\xff\xd8")
        assert page.get(f"/shelf/cloths/Lantern scarf/pictures/{name}").status_code == 404
    assert page.get("/shelf/cloths/Harbour skirt/pictures/shelf.db").status_code == 404
    assert page.get("/shelf/cloths/no such").status_code == 404


def test_more_is_said_of_a_cloth(page, on_shelf):
    """What the form says takes the place of what was said, and it can be called otherwise."""
    address = "/shelf/cloths/Harbour skirt"
    answer = page.post(f"{address}/said", data={**SAID, "name": "Old #2 & co"})
    assert answer.status_code == 303
    assert page.get(answer.headers["location"]).status_code == 200
    assert lines(on_shelf)["Old #2 & co"].about.note == "thrifted & soft"
    wrong = page.post(f"{answer.headers['location']}/said", data={**SAID, "name": "Lantern scarf"})
    assert wrong.status_code == 400
    assert "There is a cloth called" in wrong.text


def test_units_are_changed_where_she_is(page, on_shelf):
    """The page of a cloth whose name holds marks comes back after its units were changed."""
    page.post("/shelf/cloths/Harbour skirt/said", data={**SAID, "name": "Old #2 & co"})
    shown = page.get("/shelf/cloths/Old%20%232%20%26%20co").text
    back = shown.split('name="back" value="')[1].split('"')[0]
    answer = page.post("/units", data={"units": "mm", "back": back})
    assert page.get(answer.headers["location"]).status_code == 200


def test_what_becomes_of_a_cloth_is_noted(page, on_shelf):
    """Strips kept for a rug, released again, and what was cut, with its day."""
    used = "/shelf/cloths/Harbour skirt/used"
    page.post(used, data={"what": "reserve", "rug": "hearth rug", "strips": "40"})
    page.post(used, data={"what": "reserve", "rug": "stair rug", "strips": ""})
    cut = {"what": "cut", "for": "the border", "how_much": "12 strips of #8", "on": "2026-05-04"}
    page.post(used, data=cut)
    about = lines(on_shelf)["Harbour skirt"].about
    assert [(each.rug, each.strips) for each in about.reserved] == [
        ("hearth rug", 40),
        ("stair rug", None),
    ]
    assert [(each.on, each.what) for each in about.taken] == [("2026-05-04", "the border")]
    assert about.note == "from Marrow Lane"
    page.post(used, data={"what": "release", "rug": "hearth rug"})
    assert [each.rug for each in lines(on_shelf)["Harbour skirt"].about.reserved] == ["stair rug"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"what": "reserve", "rug": "", "strips": "4"},
        {"what": "reserve", "rug": "hearth rug", "strips": "forty"},
        {"what": "cut", "for": "", "how_much": "2"},
        {"what": "cut", "for": "border", "how_much": "2", "on": "today"},
        {"what": "release", "rug": "no rug"},
        {"what": "burn"},
    ],
)
def test_what_cannot_be_noted_is_said(page, on_shelf, wrong):
    """The shelf stays as it is."""
    before = held(on_shelf)
    answer = page.post("/shelf/cloths/Harbour skirt/used", data=wrong)
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert held(on_shelf) == before


def test_nothing_is_taken_off_without_being_asked(page, on_shelf):
    """Asking takes nothing off; saying so does."""
    assert "for good" in page.get("/shelf/cloths/Harbour skirt/remove").text
    assert "Harbour skirt" in lines(on_shelf)
    assert page.post("/shelf/cloths/Harbour skirt/remove").status_code == 303
    assert set(lines(on_shelf)) == {"Lantern scarf"}


def test_a_cloth_is_opened_on_the_table(page, table, shelf):
    """With the measurement, what was put right, and the copy of its photo."""
    cloth, pictures = kept("Harbour skirt", photo=True)
    shelf.parent.mkdir()
    shelve(shelf, (replace(cloth, corrections=CORRECTIONS), pictures))
    answer = page.post("/shelf/cloths/Harbour skirt/table")
    assert answer.status_code == 303
    (laid,) = table.cloths()
    assert laid.path(names.MEASURED).read_text() == to_text(cloth.document)
    assert laid.path(names.PREVIEW).read_bytes() == pictures.copy
    assert not laid.has(names.PHOTO)
    measured = page.app.state.desk.opener.measurement(laid)
    assert measured.up.band("U2").width_mm == 4.5


def test_a_cloth_of_typed_widths_is_opened_at_once(page, on_shelf):
    """There is nothing to draw, so nothing to wait for; kept again it is the same."""
    answer = page.post("/shelf/cloths/Lantern scarf/table")
    address = answer.headers["location"].removesuffix("/cut")
    assert page.get(f"{address}/cut").status_code == 200
    assert "It lies on the shelf as" in page.get(f"{address}/keep").text


def test_the_shelf_is_carried_to_another_computer(page, table, on_shelf, tmp_path, monkeypatch):
    """The archive of one shelf fills another, and leaves no file behind."""
    archive = page.get("/shelf/archive").content
    assert "shelf.json" in zipfile.ZipFile(io.BytesIO(archive)).namelist()
    other = tmp_path / "other" / "shelf.db"
    monkeypatch.setenv("PLAIDCUT_SHELF", str(other))
    answer = page.post("/shelf/archive", files={"archive": ("shelf.zip", archive)})
    assert answer.status_code == 200
    assert lines(other) == lines(on_shelf)
    again = page.post("/shelf/archive", files={"archive": ("shelf.zip", archive)})
    assert "On the shelf before" in again.text
    assert not list(table.root.glob("*.zip"))


def test_what_is_no_archive_changes_nothing(page, table, on_shelf):
    """A broken file is refused in words, and none of it is kept."""
    before = held(on_shelf)
    answer = page.post("/shelf/archive", files={"archive": ("shelf.zip", b"PK not really")})
    assert answer.status_code == 400
    assert "no archive of a shelf" in answer.text
    assert page.post("/shelf/archive").status_code == 400
    assert held(on_shelf) == before
    assert not list(table.root.glob("*.zip"))


def test_a_shelf_is_looked_over(page, on_shelf):
    """What is missing is mended; what isn't is told with a way that needs no command."""
    assert "All is well" in page.post("/shelf/check").text
    with open_shelf(on_shelf) as connection:
        connection.execute("DELETE FROM band")
        connection.execute("DELETE FROM picture")
    told = page.post("/shelf/check").text
    assert "are found again" in told
    assert "Measure the cloth anew" in told
    assert "--" not in told


def test_what_is_read_back_unchanged_stays_exact():
    """A form that shows rounded pieces and weights doesn't round them by being sent."""
    pieces = (Pieces(count=3, width_mm=333.3333333, height_mm=254.0123456),)
    about = About(pieces=pieces, weight_g=340.1942775, note="a\nb", garments=2)
    for units in Units:
        assert about_typed(typed_of(about, units), about, units) == about


def test_drawing_from_the_shelfs_copy_shows_the_swatches(page, table, shelf):
    """A cloth of the shelf has its hooked look again, drawn on the copy of its photo."""
    photo = tasks.demo_photo()
    measured = tasks.measure(photo)
    pictures = pictures_of_photo(photo.pixels)
    cloth = cloth_measured(measured, "Harbour skirt", About(), unusual={})
    laid = lay(table, cloth, pictures)
    assert worker.main("draw", str(laid.folder)) == 0
    text = page.get(f"/cloths/{laid.id}/cut").text
    assert "Roughly what they look like hooked" in text
    assert page.get(f"/cloths/{laid.id}").status_code == 200
    assert page.post(f"/cloths/{laid.id}/keep", data={"name": "Harbour skirt"}).status_code == 303
