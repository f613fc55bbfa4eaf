"""The plan document."""

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.cutting.both_ways import WhatToPlan, plan_both_ways
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.documents.measurement import from_document, hash_of
from plaidcut.documents.measurement import to_document as measurement_document
from plaidcut.documents.plan import NAME, check_document, to_document
from plaidcut.documents.schemas import schema_of
from plaidcut.documents.text import from_text, to_text
from plaidcut.errors import FileTrouble
from tests.setts import cloth

TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)
SCHEMA = jsonschema.Draft202012Validator(schema_of(NAME))
setts = st.lists(
    st.tuples(st.sampled_from("KWRBGY"), st.floats(2, 40)), min_size=1, max_size=6
).map(lambda items: " ".join(f"{letter}{width}" for letter, width in items))


@settings(max_examples=20, deadline=None)
@given(setts, setts, st.floats(20, 120))
def test_a_document_fits_its_schema_and_reads_back(up, across, width_mm):
    """Whatever is planned, its document is valid and its text holds it whole."""
    measured = cloth(up, across)
    plan = plan_both_ways(
        measured, WhatToPlan(cut=EIGHT, piece_mm=(width_mm, width_mm), at=("U1", "X1"))
    )
    document = to_document(plan, measured)
    assert from_text(to_text(document)) == document
    SCHEMA.validate(document)
    assert check_document(document).model_dump(mode="json") == document


def test_a_plan_refers_to_its_measurement():
    """The hash is that of the measurement, kept or not, and of no other."""
    measured = cloth("K31 Y3", "B20")
    document = to_document(plan_both_ways(measured, WhatToPlan(cut=EIGHT)), measured)
    kept = from_document(from_text(to_text(measurement_document(measured))))
    assert document["measurement_sha256"] == hash_of(kept)
    assert hash_of(kept) != hash_of(cloth("K31 Y3.01", "B20"))


def test_it_holds_passes_and_what_else_could_be():
    """Runs, their passes and strips, what cutting singly would give, and the least and best."""
    measured = cloth("K47.6 Y3.2", "B20")
    what = WhatToPlan(cut=EIGHT, keep=("U2 8",), piece_mm=(101.6, 200.0))
    up = to_document(plan_both_ways(measured, what), measured)["ways"][0]
    assert up["keep"] == [{"bands": ["U2"], "cut": "8"}]
    assert up["score"]["whole"] == up["over_places"]["best"]["whole"] == 2
    strips = [strip for run in up["runs"] for strips in run["passes"] for strip in strips]
    assert [strip["holds"] for strip in strips].count("whole") == 2
    assert up["by_hand"]["whole"] >= 2
    assert 0 < up["unaligned"]["whole"] < 2


def test_what_is_wrong_is_named():
    """A field that is missing is named with its place."""
    measured = cloth("K31 Y3", "B20")
    document = to_document(plan_both_ways(measured, WhatToPlan(cut=EIGHT)), measured)
    del document["ways"][0]["wander_mm"]
    with pytest.raises(FileTrouble, match=r"ways\[0\]\.wander_mm"):
        check_document(document)
