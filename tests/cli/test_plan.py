"""``plan``: what it answers, writes and refuses."""

import csv

import jsonschema
import pytest
from PIL import Image

from plaidcut.documents.schemas import schema_of

BANDS = ["--by-hand", "black 2 in, yellow 1/8 in, green 1 in", "--across", "navy 1 in, red 1/8 in"]


def test_it_answers_with_a_valid_document(plaidcut):
    """Both directions, and what was asked for in each."""
    document = plaidcut("plan", *BANDS, "--keep", "U2 8.5", "--cut", "6", "--json").document
    jsonschema.validate(document, schema_of("plaidcut-plan"))
    up, across = document["ways"]
    assert up["keep"] == [{"bands": ["U2"], "cut": "8.5"}]
    assert (up["cut"], across["cut"]) == ("6", "6")
    assert {run["cut"] for run in up["runs"]} == {"8.5"}  # no other head is worth its change
    assert across["keep"] == [{"bands": ["X2"], "cut": "6"}]


def test_it_reads_like_instructions(plaidcut):
    """Tears from edges that can be seen, passes, piles, and what else the piece would give."""
    words = " ".join(plaidcut("plan", *BANDS, "--cut", "8", "--at", "U1", "--at", "X1").out.split())
    assert "whose left edge is along the left edge of black (U1)" in words
    assert "Snip and tear it" in words
    assert "one pass of three #8:" in words
    assert "yellow (U2) whole" in words
    assert "piles" in words
    assert "Each strip cut singly by hand would give no more" in words
    assert "Keep fingers back" in words
    assert "Where the piece begins matters" not in words


def test_without_a_place_it_says_where_to_begin(plaidcut):
    """The least, the best and the mean over all places."""
    words = " ".join(plaidcut("plan", *BANDS, "--cut", "8").out.split())
    assert "Tear out a piece 4 in wide and 16 in long, its left edge" in words
    assert "Where the piece begins matters: over 38 places the best plan gives from" in words


def test_files_hold_the_plan(plaidcut, tmp_path):
    """A document, a line for each strip, and a drawing."""
    out, table, drawing = (tmp_path / name for name in ("plan.json", "plan.csv", "plan.png"))
    answer = plaidcut("plan", *BANDS, "--json", "--out", out, "--csv", table, "--picture", drawing)
    assert out.read_text(encoding="utf-8") == answer.out
    strips = [
        strip
        for way in answer.document["ways"]
        for run in way["runs"]
        for strips in run["passes"]
        for strip in strips
    ]
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert [row["pile"] for row in rows] == [strip["pile"] for strip in strips]
    with Image.open(drawing) as picture:
        assert picture.width > 400


def test_her_settings_count(plaidcut, tmp_path):
    """Strips a pass, the least trim and tear, and the cut come from the settings."""
    file = tmp_path / "mine.toml"
    file.write_text(
        'cut = "8"\nleast_tear = "1 in"\nleast_trim = "1/2 in"\n[cuts.per_pass]\n8 = 2\n'
    )
    document = plaidcut("plan", *BANDS, "--settings", file, "--json").document
    assert document["handling"]["least_tear_mm"] == pytest.approx(25.4)
    assert document["handling"]["least_trim_mm"] == pytest.approx(12.7)
    sizes = {
        len(strips) for way in document["ways"] for run in way["runs"] for strips in run["passes"]
    }
    assert sizes == {1, 2}


def test_another_order_gives_another_plan(plaidcut):
    """With waste first no cloth is lost that could be a strip."""
    base = ["plan", *BANDS, "--cut", "8", "--at", "U1", "--piece", "8 in x 8 in", "--json"]
    usual = plaidcut(*base).document["ways"][0]["score"]
    thrifty = plaidcut(*base, "--order", "waste").document["ways"][0]["score"]
    assert thrifty["waste_mm"] <= usual["waste_mm"]
    assert thrifty["whole"] <= usual["whole"]


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        (["--keep", "U9"], "usage", 2),
        (["--keep", "U1 8"], "nothing-fits", 4),
        (["--only", "U2 8"], "nothing-fits", 4),
        (["--only", "U1-U2"], "usage", 2),
        (["--at", "left"], "usage", 2),
        (["--piece", "16"], "bad-length", 2),
        (["--piece", "1/8 in x 1/8 in"], "nothing-fits", 4),
        (["--order", "speed"], "usage", 2),
        (["--least-tear", "1"], "bad-length", 2),
        (["--picture", "plan.gif"], "usage", 2),
    ],
)
def test_what_it_can_not_do_is_refused(plaidcut, words, code, status):
    """Each with its code, its exit status and a way on."""
    answer = plaidcut("plan", *BANDS, "--cut", "8", *words, "--json")
    assert answer.status == status
    assert answer.error["code"] == code
    assert answer.error["hint"]


def test_no_word_of_it_is_cut_off(plaidcut, monkeypatch):
    """At 80 columns every strip has its pile, its share and what it reads in full."""
    monkeypatch.setenv("COLUMNS", "80")
    bands = ["--by-hand", "dark red 2 in, light brown 1/8 in, dark green 1 in"]
    told = plaidcut("plan", *bands, "--cut", "8", "--at", "U1 + 1/32 in").out
    assert "…" not in told
    rows = told[told.index("Margin") :].splitlines()[1:]
    assert [row.split()[0] for row in rows if "#8" in row][:3] == ["B", "B", "B"]
