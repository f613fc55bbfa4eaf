"""The step of pieces: typed, drawn or loaded, with the strips that the command counts too."""

import json
import re
from pathlib import Path

import pytest

from plaidcut import tasks
from plaidcut.cutting.garment_file import parse_garment
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.page.forms import parts_of, with_part, with_part_before, without_part
from plaidcut.page.garments import garment_values, typed_garment
from plaidcut.page.table import Phase, State

DOCS = Path(__file__).parents[2] / "docs/reference/garment-files.md"

FORM = {
    "piece-0-shape": "rectangle",
    "piece-0-count": "5",
    "piece-0-width": "20 in",
    "piece-0-height": "14 in",
    "piece-0-at_left": "U3 + 1/4 in",
    "piece-0-hole-0-wide": "1 in",
    "piece-0-hole-0-high": "",
    "piece-0-hole-0-left": "5 in",
    "piece-0-hole-0-top": "5 in",
    "piece-3-shape": "polygon",
    "piece-3-name": "yoke",
    "piece-3-points": "0 in; 0 in\n18 in; 0 in\n16 in; 7 in\n2 in; 7 in",
    "piece-3-hole-2-points": "3 in; 1 in\n4 in; 1 in\n4 in; 2 in",
    "piece-3-seam": "1/4 in",
    "piece-4-shape": "sleeve",
    "piece-4-count": "2",
    "cuts": "8",
}


def typed(page, address, **more):
    """The answer to a form of pieces."""
    return page.post(f"{address}/pieces", data={**FORM, "do": "count", **more})


def kept(page, address, kind):
    """A file that is taken away from the step, which a browser never shows as a page."""
    answer = page.get(f"{address}/pieces/strips.{kind}")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == (
        f'attachment; filename="quarry-kilt-pieces.{kind}"'
    )
    return answer.text


def test_the_strips_are_those_of_the_command(page, by_hand, table, tmp_path, command):
    """The garment file that was made gives the same document and table by the command."""
    page.get(f"{by_hand}/cut?wish=whole&bands=U2&cut=8")
    assert typed(page, by_hand, cuts="").status_code == 200  # the cut she chose, and its neighbours
    (tmp_path / "kilt.toml").write_text(kept(page, by_hand, "toml"))
    (cloth,) = table.cloths()
    words = ["garment", tmp_path / "kilt.toml", "--cloth", cloth.path("measurement.json")]
    words += ["--cut", "8", "--cut", "7", "--cut", "8.5", "--keep", "U2"]
    words += ["--csv", tmp_path / "kilt.csv"]
    assert command(*words) == json.loads(kept(page, by_hand, "json"))
    assert (tmp_path / "kilt.csv").read_bytes().decode() == kept(page, by_hand, "csv")


def test_the_cloth_in_the_photo_is_a_piece(page, table, command):
    """The outline that the photo shows gives the strips that the command counts of it."""
    cloth = table.new({"name": "Harbour skirt"})
    cloth.keep("measurement.json", to_text(to_document(tasks.measure(tasks.demo_photo()))))
    cloth.set_state(State(phase=Phase.DONE))
    address = f"/cloths/{cloth.id}/pieces"
    assert page.post(address, data={"photo": "yes", "cuts": "8", "do": "count"}).status_code == 200
    words = ["garment", "--cloth", cloth.path("measurement.json"), "--piece", "photo", "--cut", "8"]
    assert page.get(f"{address}/strips.json").json()["ways"] == command(*words)["ways"]


def test_a_garment_file_can_be_loaded(page, by_hand):
    """The file of the reference is read into the form, and comes out with the same pieces."""
    text = re.search(r"```toml\n(.*?)```", DOCS.read_text(), re.DOTALL)[1]
    text = re.sub(r"\[shrinkage\].*?\n\n", "", text, flags=re.DOTALL)
    answer = page.post(f"{by_hand}/pieces/load", files={"file": ("skirt.toml", text)})
    assert answer.status_code == 303
    assert page.get(f"{by_hand}/pieces").status_code == 200
    before = parse_garment(text, file_name="skirt.toml")
    after = parse_garment(kept(page, by_hand, "toml"), file_name="skirt.toml")
    assert after.name == before.name == "my grey skirt"
    for one, other in zip(before.pieces, after.pieces, strict=True):
        assert (one.name, one.count, one.at) == (other.name, other.count, other.at)
        assert one.true_edge == other.true_edge
        assert one.cloth.symmetric_difference(other.cloth).area == 0


def test_what_a_file_says_comes_back(page):
    """Fields of a file that are typed into the form are the same fields again."""
    piece = {"shape": "trapezoid", "top": "9 in", "bottom": "1 ft", "height": "25 in", "count": 2}
    piece |= {"threads": "12 deg", "at": ["U3 + 1/4 in", "X1"], "torn": False, "hem": "2 in"}
    values = {"garment": "skirt", "shrinkage": {"lengthwise": "8 %"}, "piece": [piece]}
    assert garment_values(typed_garment(values)) == values


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"piece-0-width": "20"}, "Piece 1: width: "),
        ({"piece-0-width": ""}, "Piece 1: width is missing."),
        ({"piece-0-count": "two"}, "Piece 1: count: it must be a whole number"),
        ({"piece-0-hole-0-left": "50 in"}, "hole 1 lies outside the piece"),
        ({"piece-3-points": "0 in; 0 in\n9 in; 9 in\n9 in; 0 in\n0 in; 9 in"}, "crosses itself"),
        ({"piece-3-points": "0 in\n9 in; 9 in"}, "is no point"),
        ({"piece-0-at_left": "Q9"}, "is no place in the cloth"),
        ({"lengthwise": "8 %"}, "crosswise is missing"),
        ({"photo": "yes"}, "no photo"),
        ({"cuts": "99999 mm"}, "99999"),
    ],
)
def test_what_is_wrong_is_said_and_all_else_stays(page, by_hand, more, words):
    """A field's fault stands above the form, in which everything is as she typed it."""
    answer = typed(page, by_hand, **more)
    assert answer.status_code == 400
    assert words in answer.text.replace("&#34;", '"')
    assert 'value="U3 + 1/4 in"' in answer.text or "piece-0-at_left" in more
    assert "yoke" in answer.text
    assert "yoke" in page.get(f"{by_hand}/pieces").text


def test_buttons_add_and_take_away(page, by_hand):
    """Pieces and holes come and go one by one; nothing else that was typed changes."""
    page.post(f"{by_hand}/pieces", data={**FORM, "do": "add:scarf"})
    assert 'name="piece-5-shape" value="scarf"' in page.get(f"{by_hand}/pieces").text
    page.post(f"{by_hand}/pieces", data={**FORM, "do": "hole:piece-3"})
    assert 'name="piece-3-hole-3-wide"' in page.get(f"{by_hand}/pieces").text
    page.post(f"{by_hand}/pieces", data={**FORM, "do": "remove:piece-3"})
    text = page.get(f"{by_hand}/pieces").text
    assert "piece-3-" not in text
    assert 'value="U3 + 1/4 in"' in text
    assert page.post(f"{by_hand}/pieces", data={**FORM, "do": "burn:all"}).status_code == 400


def test_parts_keep_their_own_fields():
    """A part more, one less, and two exchanged leave the fields of the others as they were."""
    form = {"a": "1", "area-0-name": "x", "area-7-name": "y", "area-70-name": "z"}
    assert [each["name"] for each in parts_of(form, "area")] == ["x", "y", "z"]
    assert with_part(form, "area", {"name": "w"})["area-71-name"] == "w"
    assert without_part(form, "area-7") == {"a": "1", "area-0-name": "x", "area-70-name": "z"}
    moved = with_part_before(form, "area-70")
    assert [each["name"] for each in parts_of(moved, "area")] == ["x", "z", "y"]
    assert with_part_before(form, "area-0") == form


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"piece = 1", b"x" * 1_000_001])
def test_what_is_no_garment_file_is_refused(page, by_hand, content):
    """The pieces stay as they were."""
    typed(page, by_hand, do="add:scarf")
    answer = page.post(f"{by_hand}/pieces/load", files={"file": ("skirt.toml", content)})
    assert answer.status_code == 400
    assert "yoke" in page.get(f"{by_hand}/pieces").text


def test_a_form_that_the_page_did_not_send_is_refused(page, by_hand):
    """A piece without a shape is told as wrong, and breaks nothing."""
    answer = page.post(f"{by_hand}/pieces", data={"piece-0-width": "9 in", "do": "count"})
    assert answer.status_code == 400
    assert page.get(f"{by_hand}/pieces").status_code == 200
