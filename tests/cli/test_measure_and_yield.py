"""``measure`` and ``yield`` on typed widths and documents: what they answer and write."""

import csv
import json

import jsonschema
import pytest

from plaidcut.documents.schemas import schema_of

BANDS = "red 1 in, yellow 1/8 in, navy 1 1/2 in"


def test_a_measurement_is_a_valid_document(plaidcut):
    """What ``measure --json`` answers holds to its schema, and holds what was typed."""
    document = plaidcut("measure", "--by-hand", BANDS, "--washed", "yes", "--json").document
    jsonschema.validate(document, schema_of("plaidcut-measurement"))
    assert document["scale"]["method"] == "hand"
    assert document["photo"] is None
    assert document["cloth"]["washed"] == "yes"
    assert [band["width_mm"] for band in document["up"]["bands"]] == [25.4, 3.175, 38.1]


def test_a_yield_is_a_valid_document(plaidcut):
    """T15: a 1 in band gives four #8 strips, three for sure, through the command line too."""
    document = plaidcut("yield", "--by-hand", BANDS, "--cut", "8", "--json").document
    jsonschema.validate(document, schema_of("plaidcut-yield"))
    (red,) = (each for each in document["bands"] if each["band"] == "U1")
    (eight,) = (each for each in red["strips"] if each["cut"] == "8")
    assert (eight["count"], eight["sure"]) == (4, 3)


def test_a_document_is_as_good_as_what_it_was_made_of(plaidcut, tmp_path):
    """Measured once and kept, it yields the same as measured and counted at once."""
    kept = tmp_path / "cloth.json"
    assert plaidcut("measure", "--by-hand", BANDS, "--out", kept).status == 0
    options = ["--cut", "6", "--keep", "U2", "--from", "U1", "--to", "U2", "--json"]
    assert (
        plaidcut("yield", kept, *options).out == plaidcut("yield", "--by-hand", BANDS, *options).out
    )


def test_files_hold_what_was_answered(plaidcut, tmp_path):
    """--out holds the very document, --csv one line for each band and cut."""
    out, table = tmp_path / "yield.json", tmp_path / "strips.csv"
    answer = plaidcut("yield", "--by-hand", BANDS, "--json", "--out", out, "--csv", table)
    assert json.loads(out.read_text()) == answer.document
    assert f"Wrote {out}, {table}." in answer.err
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    counted = {
        (band["band"], strip["cut"]): strip["count"]
        for band in answer.document["bands"]
        for strip in band["strips"]
    }
    assert {(row["band"], row["cut"]): int(row["count"]) for row in rows if row["cut"]} == counted


def test_own_cuts_come_first_and_the_table_s_remain(plaidcut):
    """A width given outright is answered for beside all cuts of the table."""
    answer = plaidcut("yield", "--by-hand", BANDS, "--cut", "5 mm", "--cut", "8", "--json")
    cuts = {cut["cut"]: cut["width_mm"] for cut in answer.document["cuts"]}
    assert cuts["5 mm"] == 5.0
    assert {"2", "8", "8.5", "9", "9.5", "10"} <= cuts.keys()
    words = plaidcut("yield", "--by-hand", BANDS, "--cut", "5 mm", "--cut", "8").out
    assert (
        words.index("Your cut, 5 mm") < words.index("Your cut, #8") < words.index("left to right")
    )


def test_a_stripe_can_be_kept_that_is_not_bold(plaidcut):
    """--keep replaces the bold stripes by the one that was named."""
    document = plaidcut("yield", "--by-hand", BANDS, "--keep", "U1-U2", "--json").document
    assert [stripe["bands"] for stripe in document["stripes"]] == [["U1", "U2"]]


def test_a_wandering_hand_costs_strips(plaidcut):
    """The more an edge may stray, the fewer strips are sure; by nothing, all that fit are."""

    def sure(wander):
        words = ["yield", "--by-hand", "red 25.4 mm, navy 50 mm", "--wander", wander, "--json"]
        bands = plaidcut(*words).document["bands"]
        return [strip["sure"] for strip in bands[1]["strips"]]

    assert all(a >= b for a, b in zip(sure("0 mm"), sure("1/16 in"), strict=True))
    assert sure("0 mm") != sure("1/16 in")


@pytest.mark.parametrize(("width", "agrees"), [("26 mm", True), ("22 mm", False)])
def test_a_ruler_is_heeded(plaidcut, width, agrees):
    """--check tells in words and in JSON whether the ruler and the measurement agree."""
    words = ["measure", "--by-hand", BANDS, "--check", f"U1 = {width}"]
    said = " ".join(plaidcut(*words).out.split())
    assert ("they agree" in said) is agrees
    assert ("don't cut by these numbers" in said) is not agrees
    answer = plaidcut(*words, "--json")
    assert answer.document["check"]["agrees"] is agrees
    assert answer.err.strip()


def test_plain_words_tell_of_what_is_unknown(plaidcut):
    """Washing unknown is said in the answer, and so is what a count means."""
    said = " ".join(plaidcut("yield", "--by-hand", BANDS, "--cut", "8").out.split())
    assert "wash" in said
    assert "count on 3, maybe 4" in said
