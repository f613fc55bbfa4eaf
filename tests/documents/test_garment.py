"""The garment document."""

import jsonschema

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.garment import Garment, WhatToCut
from plaidcut.cutting.garment_file import parse_piece
from plaidcut.cutting.garment_strips import strips_of_garment
from plaidcut.documents.garment import NAME, check_document, to_document
from plaidcut.documents.measurement import hash_of
from plaidcut.documents.schemas import schema_of
from plaidcut.documents.text import from_text, to_text
from tests.setts import cloth

TABLE = cut_table()


def test_it_fits_its_schema_and_reads_back():
    """Two cuts, two directions, pieces of which one is rough."""
    measured = cloth("K31 Y3 G17", "B40 W3")
    garment = Garment(name="g", pieces=(parse_piece("2 of 9 x 12 in"), parse_piece("sleeve")))
    cuts = tuple(parse_cut(name, TABLE) for name in ("8", "6"))
    strips = strips_of_garment(measured, garment, WhatToCut(cuts=cuts))
    document = to_document(strips, measured)
    jsonschema.validate(document, schema_of(NAME))
    assert from_text(to_text(document)) == document
    assert check_document(document).model_dump(mode="json") == document
    assert document["measurement_sha256"] == hash_of(measured)
    assert [(way["direction"], way["cut"]) for way in document["ways"]] == [
        ("up", "8"),
        ("up", "6"),
        ("across", "8"),
        ("across", "6"),
    ]
    assert [piece["rough"] for piece in document["ways"][0]["pieces"]] == [False, True]
    assert {warning["code"] for warning in document["warnings"]} >= {"rough-size"}
