"""The rug: what the form says is what the command answers."""

import io
import json
import re
import zipfile
from pathlib import Path

import pytest

from plaidcut.page.rugs import rug_values, typed_rug

DOCS = Path(__file__).parents[2] / "docs/reference/rug-files.md"


@pytest.fixture
def form(by_hand):
    """A rug of three areas, and three kinds of wool; one is a cloth of the table."""
    return {
        "rug": "harbour runner",
        "reserve": "10 %",
        "area-0-shape": "line",
        "area-0-name": "waves",
        "area-0-length": "60 in",
        "area-0-rows": "2",
        "area-0-from": "the kilt",
        "area-0-stripe": "U2",
        "area-4-shape": "border",
        "area-4-width": "24 in",
        "area-4-height": "36 in",
        "area-4-thick": "1 in",
        "area-4-oval": "yes",
        "area-4-colour": "navy",
        "area-4-within": "30",
        "area-5-shape": "area",
        "area-5-name": "ground",
        "area-5-area": "360 sq in",
        "area-5-cut": "7",
        "supply-1-kind": "cloth",
        "supply-1-name": "the kilt",
        "supply-1-cloth": f"table:{by_hand.rsplit('/', 1)[-1]}",
        "supply-1-pieces": "2 of 17 x 25 in",
        "supply-2-kind": "yards",
        "supply-2-name": "yardage",
        "supply-2-yards": "1.5",
        "supply-2-again": "yes",
        "supply-3-kind": "strips",
        "supply-3-name": "bundle",
        "supply-3-strips": "40 of 16 in",
        "supply-3-cut": "8",
        "supply-3-colour": "navy",
    }


def asked(page, form, **more):
    """The answer to a form."""
    return page.post("/rug", data={**form, "do": "answer", **more})


def taken(page, folder):
    """The files of the rug, in a folder; the rug's own file."""
    answer = page.get("/rug/rug.zip")
    assert answer.headers["content-disposition"] == 'attachment; filename="rug.zip"'
    zipfile.ZipFile(io.BytesIO(answer.content)).extractall(folder)
    return folder / "rug.toml"


def test_the_answer_is_that_of_the_command(page, form, tmp_path, command):
    """The files that are taken along give the same document by the command."""
    answer = asked(page, form)
    assert answer.status_code == 200
    document = command("rug", taken(page, tmp_path))
    assert document == json.loads(page.get("/rug/rug.json").text)
    assert page.get("/rug/rug.toml").text == (tmp_path / "rug.toml").read_text()


def test_pieces_of_the_cloths_own_step_are_taken(page, by_hand, form, tmp_path, command):
    """A cloth without pieces here has those of its own step, half-way too."""
    form |= {"supply-1-pieces": "", "hooked": "40 %", "supply-3-left": "20 of 16 in"}
    answer = asked(page, form)
    assert answer.status_code == 400
    assert "has no pieces yet" in answer.text
    piece = {"piece-0-shape": "rectangle", "piece-0-width": "18 in", "piece-0-height": "30 in"}
    page.post(f"{by_hand}/pieces", data={**piece, "do": "count"})
    assert asked(page, form).status_code == 200
    words = ["rug", taken(page, tmp_path), "--hooked", "40 %", "--left", "bundle=20 of 16 in"]
    assert command(*words) == json.loads(page.get("/rug/rug.json").text)


def test_the_answer_stands_first(page, form):
    """Enough, or short by how much, before anything else."""
    text = asked(page, form, **{"area-5-area": "36 sq ft"}).text
    assert text.index("Short: ") < text.index("What the rug needs")
    assert "ground lacks about" in text
    assert "Short: " in page.get("/rug").text
    assert "Short: " not in page.get("/rug?form=1").text


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"area-0-length": ""}, "Area 1: length is missing."),
        ({"area-0-rows": "two"}, "Area 1: rows: it must be a whole number"),
        ({"area-0-from": "the scarf"}, "there is no supply called"),
        ({"area-0-stripe": "U9"}, "U9"),
        ({"area-4-thick": "20 in"}, "nothing is inside it"),
        ({"area-4-colour": "sort of"}, "is no colour"),
        ({"supply-1-cloth": ""}, "which cloth"),
        ({"supply-1-cloth": "table:../.."}, "no longer on the table"),
        ({"supply-1-pieces": "some"}, "some"),
        ({"supply-2-yards": "-1"}, "Supply 2: yards: it must be a number above 0"),
        ({"supply-2-name": "bundle"}, "comes twice"),
        ({"supply-3-left": "few"}, "few"),
        ({"hooked": "100 %"}, "100 %"),
    ],
)
def test_what_is_wrong_is_said_and_all_else_stays(page, form, more, words):
    """A field's fault stands above the form, in which everything is as she typed it."""
    answer = asked(page, form, **more)
    assert answer.status_code in (400, 404)
    assert words in answer.text
    assert 'value="harbour runner"' in page.get("/rug?form=1").text


def test_a_rug_file_can_be_loaded(page, form, by_hand):
    """The file of the reference comes into the form; cloths that are at hand are found again."""
    text = re.search(r"```toml\n(.*?)```", DOCS.read_text(), re.DOTALL)[1]
    text = text.replace('"skirt.json"', '"quarry-kilt.json"')
    answer = page.post("/rug/load", files={"file": ("harbour.toml", text)})
    assert answer.status_code == 303
    shown = page.get(answer.headers["location"]).text
    assert 'value="my runner"' in shown
    assert f'value="table:{by_hand.rsplit("/", 1)[-1]}" selected' in shown
    refused = page.post("/rug/load", files={"file": ("harbour.toml", 'rug = "x"')})
    assert refused.status_code == 400
    assert 'value="my runner"' in page.get("/rug?form=1").text


def test_what_a_file_says_comes_back():
    """Fields of a file that are typed into the form are the same fields again."""
    areas = [
        {"shape": "border", "width": "9 in", "height": "8 in", "rows": 4, "oval": True},
        {"shape": "polygon", "points": [["0 in", "0 in"], ["6 in", "0 in"], ["3 in", "8 in"]]},
        {"shape": "circle", "across": "6 in", "colour": "red", "within": 2.5, "value": "dark"},
    ]
    supplies = [
        {"name": "a", "cloth": "kilt.json", "pieces": ["2 of 17 x 25 in"], "direction": "up"},
        {"name": "b", "weight": "6 oz", "yard_weight": "15 oz", "again": True},
        {"name": "c", "fat_quarters": 3, "size": "15 x 28 in"},
    ]
    values = {"rug": "runner", "area": areas, "supply": supplies}
    typed = typed_rug(values, lambda stem: f"table:{stem}")
    assert typed["supply-0-cloth"] == "table:kilt"
    assert rug_values(typed, lambda _: {"cloth": "kilt.json"}) == values


def test_areas_can_be_made_more_important(page, form):
    """An area moves before the one that stood before it."""
    page.post("/rug", data={**form, "do": "raise:area-5"})
    text = page.get("/rug?form=1").text
    assert text.index('value="waves"') < text.index('value="ground"') < text.index('value="1 in"')
    page.post("/rug", data={**form, "do": "remove:area-0"})
    assert 'value="waves"' not in page.get("/rug?form=1").text
    assert page.post("/rug", data={**form, "do": "area:moon"}).status_code == 400


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """An empty shelf, for the page and for the commands."""
    path = tmp_path / "shelf.db"
    monkeypatch.setenv("PLAIDCUT_SHELF", str(path))
    monkeypatch.setattr("plaidcut.page.rug_supplies.shelf_path", lambda: path)
    return path


def test_a_cloth_of_the_shelf_gives_wool(page, form, table, shelf, command):
    """A cloth on the shelf is chosen by its name, as the command finds it there."""
    (cloth,) = table.cloths()
    command("shelf", "add", cloth.path("measurement.json"), "--name", "Old kilt")
    form["supply-1-cloth"] = "shelf:Old kilt"
    answer = asked(page, form)
    assert answer.status_code == 200
    assert 'value="shelf:Old kilt" selected' in answer.text
    document = command("rug", taken(page, shelf.with_name("rug")))
    assert document == json.loads(page.get("/rug/rug.json").text)
    assert asked(page, form, **{"supply-1-pieces": ""}).status_code == 400


@pytest.mark.parametrize("fields", [{"area-0-name": "x"}, {"supply-007-kind": "cloth"}, {"do": ""}])
def test_a_form_that_the_page_did_not_send_is_refused(page, fields):
    """What lacks the page's own fields is told as wrong, and breaks nothing."""
    assert page.post("/rug", data={"do": "answer", **fields}).status_code == 400
    assert page.get("/rug?form=1").status_code == 200
