"""``garment``: what it answers, writes and refuses."""

import csv
from pathlib import Path

import jsonschema
import pytest

from plaidcut.documents.schemas import schema_of

FIXTURES = Path(__file__).parents[2] / "fixtures"
SKIRT = FIXTURES / "garment-harbour-skirt.toml"
CLOTH = ["--by-hand", "blue 2 in, white 1/8 in, red 1 in", "--across", "navy 3 in, white 1/8 in"]


def test_from_file_to_strip_table(plaidcut, tmp_path):
    """The skirt that ships: a valid document, a table, and words on every piece."""
    out, table = tmp_path / "skirt.json", tmp_path / "skirt.csv"
    files = ["--out", out, "--csv", table]
    answer = plaidcut("garment", SKIRT, *CLOTH, "--cut", "8", "--json", *files)
    document = answer.document
    jsonschema.validate(document, schema_of("plaidcut-garment"))
    assert document["garment"] == "the Harbour skirt"
    assert out.read_text(encoding="utf-8") == answer.out
    assert [way["direction"] for way in document["ways"]] == ["up", "across"]
    for way in document["ways"]:
        assert len(way["pieces"]) == 6
        assert way["strips"]["low"] > 100
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    kinds = sum(len(way["kinds"]) + 1 for way in document["ways"])
    assert len(rows) == kinds


def test_it_reads_at_a_kitchen_table(plaidcut):
    """Kinds with counts and lengths, bits apart, and the order of cutting of each piece."""
    words = " ".join(plaidcut("garment", SKIRT, *CLOTH, "--cut", "8").out.split())
    for told in (
        "Strips of the Harbour skirt",
        "8 pieces",
        "Bits besides",
        "In no strip",
        "front gore, 2 of it: each gives",
        "Cut seams and hem away",
        "Trim its left edge along a thread",
        "air the cloth outdoors",
    ):
        assert told.lower() in words.lower()


def test_cuts_stand_side_by_side(plaidcut):
    """Without --cut her own and its neighbours; the order is told for her own."""
    out = plaidcut("garment", "--piece", "2 of 9 x 12 in", *CLOTH).out
    heads = [line.split() for line in out.splitlines() if line.startswith("Kind")]
    assert heads == 2 * [["Kind", "#7", "#8", "#8.5"]]
    assert "The order of cutting, for #8 running up and down" in out


def test_lengths_can_be_chosen(plaidcut):
    """What is liked and what is too short are hers to say."""
    base = ["garment", "--piece", "9 x 24 in", *CLOTH, "--cut", "8", "--json"]
    usual = plaidcut(*base).document["ways"][0]
    longer = plaidcut(*base, "--length", "24 in").document["ways"][0]
    choosy = plaidcut(*base, "--shortest", "25 in").document["ways"][0]
    assert usual["strips"]["mean"] == pytest.approx(2 * longer["strips"]["mean"], rel=0.1)
    assert choosy["strips"]["mean"] == 0
    assert choosy["bits"]["mean"] > 0


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        ([], "usage", 2),
        (["--piece", "9 x 12"], "bad-length", 2),
        (["--piece", "photo"], "usage", 2),
        ([SKIRT, "--piece", "9 x 12 in"], "usage", 2),
        (["nowhere.toml"], "not-found", 3),
        (["--piece", "9 x 12 in", "--keep", "U1"], "nothing-fits", 4),
    ],
)
def test_what_it_can_not_do_is_refused(plaidcut, words, code, status):
    """Each with its code, its exit status and a way on."""
    answer = plaidcut("garment", *words, *CLOTH, "--cut", "8", "--json")
    assert answer.status == status
    assert answer.error["code"] == code
    assert answer.error["hint"]


def test_a_garment_needs_its_cloth(plaidcut):
    """Without a cloth nobody knows its bands."""
    answer = plaidcut("garment", "--piece", "9 x 12 in", "--json")
    assert answer.status == 2
    assert "cloth" in answer.error["hint"]
