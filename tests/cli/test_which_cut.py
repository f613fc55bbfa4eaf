"""``which-cut``, and ``cuts`` measured from a photo, as a user runs them."""

import csv
import io
from pathlib import Path

import jsonschema
import pytest
from PIL import Image

from plaidcut.documents.schemas import schema_of
from tests.strip_photos import KEPT, photograph, rows

EIGHTS = rows(6.1, 6.08, 6.13, 6.1)
"""What a cutter makes whose #8 is a little narrow."""


@pytest.fixture
def strips():
    """The file of a photo of four strips."""
    return KEPT / photograph("eights", EIGHTS).name


def test_everything_is_written_and_agrees(plaidcut, strips, tmp_path):
    """Document, table and picture tell of the same four strips, and the schema holds."""
    table, marked = tmp_path / "strips.csv", tmp_path / "marked.png"
    answer = plaidcut("which-cut", strips, "--csv", table, "--picture", marked, "--json")
    assert answer.status == 0
    jsonschema.validate(answer.document, schema_of("plaidcut-loose"))
    assert answer.document["counts"] == [{"cut": "8", "width_mm": 6.35, "count": 4}]
    assert answer.document["uncounted"] == 0
    lines = list(csv.DictReader(io.StringIO(table.read_text())))
    assert [line["cut"] for line in lines] == ["8"] * 4
    told = [strip["width_mm"] for strip in answer.document["strips"]]
    assert [float(line["width_mm"]) for line in lines] == told
    with Image.open(strips) as photo, Image.open(marked) as picture:
        assert photo.size == picture.size


def test_the_width_comes_before_the_name(plaidcut, strips):
    """People read what was measured first, then what it is called and how sure that is."""
    words = plaidcut("which-cut", strips, "--units", "mm").out
    assert "4 loose strips in eights.jpg" in words
    (row,) = [line for line in words.splitlines() if line.startswith("1 ")]
    assert row.index(" mm") < row.index("#8") < row.index("%")


def test_nothing_is_written_over(plaidcut, strips):
    """A picture that is there stays; nothing is measured before that is known."""
    answer = plaidcut("which-cut", strips, "--picture", strips, "--json")
    assert answer.status == 2
    assert answer.error["code"] == "exists"


def test_no_strips_is_an_answer(plaidcut):
    """A bare table is refused, with what to do."""
    photo = KEPT / photograph("bare", (), table="wood").name
    answer = plaidcut("which-cut", photo, "--json")
    assert answer.status == 4
    assert answer.error["code"] == "no-cloth"
    assert "table of another colour" in answer.error["hint"]


def test_her_cutter_is_measured_and_used(plaidcut, strips, tmp_path):
    """The real width is kept with her settings, and her #8 is then sure where the book's isn't."""
    mine = tmp_path / "mine.toml"
    before = plaidcut("which-cut", strips, "--json").document["strips"]
    answer = plaidcut("cuts", "--photo", f"8 = {strips}", "--settings", mine, "--json")
    assert answer.status == 0
    (eight,) = [cut for cut in answer.document["cuts"] if cut["cut"] == "8"]
    assert eight["own"]
    assert eight["width_mm"] == pytest.approx(6.1, abs=0.15)
    after = plaidcut("which-cut", strips, "--settings", mine, "--json").document["strips"]
    for one, other in zip(before, after, strict=True):
        assert other["certainty"] > one["certainty"]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--photo", "strips.jpg"], "usage"),
        (["--photo", "8 = nowhere.jpg"], "not-found"),
        (["--ruler", "in"], "usage"),
    ],
)
def test_what_cannot_be_measured_changes_nothing(plaidcut, tmp_path, words, code):
    """A slip leaves the settings as they were: not there."""
    mine = Path(tmp_path / "mine.toml")
    answer = plaidcut("cuts", *words, "--settings", mine, "--json")
    assert answer.error["code"] == code
    assert not mine.exists()
