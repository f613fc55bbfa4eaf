"""The yield document."""

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.cutting.cuts import cut_table
from plaidcut.cutting.yields import yields_of
from plaidcut.documents.schemas import schema_of
from plaidcut.documents.text import from_text, to_text
from plaidcut.documents.yields import NAME, check_document, to_document
from plaidcut.errors import FileTrouble
from tests.setts import cloth, system

CUTS = cut_table().cuts
SCHEMA = jsonschema.Draft202012Validator(schema_of(NAME))
setts = st.lists(
    st.tuples(st.sampled_from("KWRBGY"), st.floats(1, 60)), min_size=1, max_size=7
).map(lambda items: " ".join(f"{letter}{width}" for letter, width in items))


@settings(max_examples=40)
@given(setts, setts, st.booleans())
def test_a_document_fits_its_schema_and_reads_back(up, across, repeats):
    """Whatever the cloth yields, its document is valid and its text holds it whole."""
    document = to_document(yields_of(cloth(up, across, repeats=repeats), CUTS))
    assert from_text(to_text(document)) == document
    SCHEMA.validate(document)
    assert check_document(document).model_dump(mode="json") == document


def test_the_document_holds_what_the_design_says():
    """One band and one stripe of #8, field by field."""
    measured = cloth(system("K69.8 R25.4", edge_std_mm=0.0))
    document = to_document(yields_of(measured, [cut for cut in CUTS if cut.name == "8"]))
    assert document["wander_mm"] == pytest.approx(0.79375)
    assert document["overhang"] == {"share_of_cut": 0.125, "most_mm": 0.79375}
    assert document["cuts"] == [{"cut": "8", "width_mm": 6.35}]
    band = document["bands"][1]
    assert band["system"] == "up"
    assert band["band"] == "U2"
    assert band["strips"] == [
        {"cut": "8", "count": 4, "low": 4, "high": 4, "sure": 3, "spare_mm": 0.0}
    ]
    stripe = document["stripes"][0]
    assert stripe["bands"] == ["U2"]
    assert stripe["best_cut"] is None
    assert stripe["hand_width_mm"] == pytest.approx(25.4 + 25.4 / 16)
    assert stripe["cuts"][0]["state"] == "split"
    assert stripe["cuts"][0]["all_stripe"] == 3
    assert document["section"] is None


def test_a_section_is_told():
    """A section's bands, width, plain and whole counts."""
    measured = cloth("K4 Y3 K10 R3 K5.4 B60", edge_std_mm=0.0)
    found = yields_of(measured, CUTS, section=("U1", "U2", "U3", "U4", "U5"))
    section = to_document(found)["section"]
    assert section["bands"] == ["U1", "U2", "U3", "U4", "U5"]
    assert {"cut": "8", "plain": 4, "whole": 2} in section["cuts"]


def test_a_spoilt_document_is_refused_by_name():
    """The error says which field is wrong."""
    document = to_document(yields_of(cloth("K40 Y2"), CUTS))
    document["bands"][0]["strips"][0]["count"] = -1
    with pytest.raises(FileTrouble, match=r"bands\[0\]\.strips\[0\]\.count"):
        check_document(document)
