"""``--corrections`` wherever a cloth is measured, opened or typed."""

import csv
import json

import pytest

from plaidcut.tasks import measure_by_hand

BANDS = "red 1 in, yellow 1/8 in, navy 1 1/2 in"

TYPED = ("--by-hand", BANDS)


@pytest.fixture
def file(tmp_path):
    """Write corrections into a file."""

    def write(*corrections, **more):
        path = tmp_path / "put-right.json"
        document = {"document": "plaidcut-corrections", "version": 1, **more}
        path.write_text(json.dumps(document | {"corrections": corrections}), encoding="utf-8")
        return path

    return write


WIDER = {"kind": "width", "band": "U2", "width_mm": 25.4}
NAMED = {"kind": "rename", "band": "U2", "name": "Gorse & broom"}


def test_typed_widths_are_corrected(plaidcut, file):
    """The answer holds the corrected band, what was set, and what was typed."""
    words = ["measure", *TYPED, "--corrections", file(WIDER, NAMED)]
    document = plaidcut(*words, "--json").document
    band = document["up"]["bands"][1]
    assert (band["width_mm"], band["by_hand"]) == (25.4, ["name", "width"])
    assert document["up"]["repeat_mm"] == pytest.approx(3.5 * 25.4)
    assert document["corrected"]["up"]["bands"][1]["width_mm"] == 3.175
    said = " ".join(plaidcut(*words).out.split())
    assert "Put right by hand: Gorse & broom (U2), its name and width." in said


def test_every_command_that_takes_a_cloth_corrects_it(plaidcut, file, tmp_path):
    """Yield, plan, garment and report count by the corrected width."""
    put_right = ["--corrections", file(WIDER)]
    out = tmp_path / "report"
    counted = plaidcut("yield", *TYPED, *put_right, "--cut", "8", "--json").document
    assert [band["band"] for band in counted["bands"] if band["by_hand"]] == ["U2"]
    (eight,) = (s for s in counted["bands"][1]["strips"] if s["cut"] == "8")
    assert eight["count"] == 4
    piece = ["--piece", "4 in x 16 in", "--at", "U1", "--at", "X1"]
    commands = (
        ["plan", *TYPED, "--cut", "8", *piece],
        ["garment", *TYPED, "--cut", "8", "--piece", "2 of 10 x 16 in"],
    )
    for command in commands:
        with_them = plaidcut(*command, *put_right, "--json")
        assert with_them.status == 0, with_them.out
        assert with_them.document != plaidcut(*command, "--json").document
        assert "Put right by hand" in plaidcut(*command, *put_right).out
    told = plaidcut("report", *TYPED, "--cut", "8", *piece, *put_right, "--out", out)
    assert told.status == 0, told.err
    kept = json.loads((out / "measurement.json").read_text(encoding="utf-8"))
    assert kept["corrected"]["corrections"][0]["width_mm"] == 25.4
    assert "Put right by hand" in (out / "report.html").read_text(encoding="utf-8")


def test_a_document_is_corrected_like_what_it_was_made_of(plaidcut, file, tmp_path):
    """Kept uncorrected or corrected, a measurement gives the same with the same corrections."""
    kept, again = tmp_path / "kept.json", tmp_path / "again.json"
    put_right = ["--corrections", file(WIDER, NAMED)]
    assert plaidcut("measure", *TYPED, "--out", kept).status == 0
    at_once = plaidcut("measure", *TYPED, *put_right, "--json", "--out", again).document
    for source in (kept, again):
        assert plaidcut("measure", source, *put_right, "--json").document == at_once
    assert plaidcut("measure", again, "--json").document == at_once
    undone = plaidcut("measure", again, "--corrections", file(), "--json").document
    assert undone == plaidcut("measure", kept, "--json").document


def test_a_table_tells_what_was_set(plaidcut, file, tmp_path):
    """Its last column names it, for a band with counts and for one without."""
    table = tmp_path / "bands.csv"
    plaidcut("measure", *TYPED, "--corrections", file(WIDER, NAMED), "--csv", table)
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert [row["by_hand"] for row in rows if row["system"] == "up"] == ["", "name width", ""]


@pytest.mark.parametrize(
    ("correction", "says"),
    [
        ({"kind": "width", "band": "U9", "width_mm": 3.0}, "there is no band U9"),
        ({"kind": "width", "band": "U1", "width_mm": -3.0}, "correction 1 (width), width_mm"),
        ({"kind": "rename", "band": "U1", "name": "red\x1b[2J"}, "is no name"),
        ({"kind": "merge", "bands": ["U1", "U3", "U2"]}, "U3 doesn't follow U1"),
    ],
)
def test_what_is_wrong_is_a_bad_file(plaidcut, file, tmp_path, correction, says):
    """The error names file and correction, says what to do, and nothing is written."""
    out = tmp_path / "out.json"
    words = ["measure", *TYPED, "--corrections", file(correction), "--out", out, "--json"]
    answer = plaidcut(*words)
    assert answer.status == 3
    assert answer.error["code"] == "bad-file"
    assert says in answer.error["message"]
    assert "put-right.json" in answer.error["message"]
    assert "orrection 1" in answer.error["message"]
    assert answer.error["hint"]
    assert "\x1b" not in answer.out
    assert not out.exists()


def test_corrections_of_a_photo_are_not_for_typed_widths(plaidcut, file):
    """Bound to a photo, they are refused for anything else."""
    answer = plaidcut("measure", *TYPED, "--corrections", file(WIDER, photo_sha256="0" * 64))
    assert answer.status == 3
    assert "typed by hand" in answer.err


@pytest.mark.parametrize(("name", "code"), [("none.json", "not-found"), ("", "bad-file")])
def test_a_file_that_is_not_there(plaidcut, tmp_path, name, code):
    """No file, or a folder, is told before anything is measured."""
    words = ["measure", "photo.jpg", "--corrections", tmp_path / name, "--json"]
    assert plaidcut(*words).error["code"] == code


def test_a_name_that_looks_like_markup_is_a_name(plaidcut, file, tmp_path):
    """Names go into terminal and page as they are."""
    name = "[red]<b>x</b>[/red]"
    put_right = ["--corrections", file({"kind": "rename", "band": "U2", "name": name})]
    assert name in " ".join(plaidcut("measure", *TYPED, *put_right).out.split())
    out = tmp_path / "report"
    told = plaidcut(
        *("report", *TYPED, "--cut", "8", *put_right, "--at", "U1", "--at", "X1", "--out", out)
    )
    assert told.status == 0, told.err
    assert "<b>x</b>" not in (out / "report.html").read_text(encoding="utf-8")


def test_python_does_the_same(plaidcut, file):
    """What the command line corrects, `tasks.correct` does."""
    from plaidcut import tasks
    from plaidcut.stripes.corrections import SetWidth

    cloth = tasks.correct(measure_by_hand(BANDS), [SetWidth(band="U2", width_mm=25.4)])
    words = ["measure", *TYPED, "--corrections", file(WIDER), "--json"]
    bands = plaidcut(*words).document["up"]["bands"]
    assert [band.width_mm for band in cloth.up.bands] == [band["width_mm"] for band in bands]
