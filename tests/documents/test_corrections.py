"""The corrections document, and corrected measurements: round trips, and what is refused."""

import copy
from dataclasses import replace

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.documents import measurement
from plaidcut.documents.corrections import NAME, from_document, to_document
from plaidcut.documents.schemas import schema_of
from plaidcut.documents.text import from_text, to_text
from plaidcut.errors import Caution, FileTrouble
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.correct import as_measured, corrected
from plaidcut.stripes.corrections import Merge, MoveStart, Rename, SetColour, SetWidth, Split
from plaidcut.stripes.measurement import PhotoRecord
from tests.setts import cloth, system

SCHEMA = jsonschema.Draft202012Validator(schema_of(NAME))

ids = st.from_regex(r"[UX][1-9][0-9]?", fullmatch=True)
lengths = st.floats(0.1, 1e5)
hexes = st.from_regex(r"#[0-9a-fA-F]{6}", fullmatch=True)
kinds = (
    st.builds(Rename, band=ids, name=st.text(min_size=1, max_size=40), alone=st.booleans())
    | st.builds(Merge, bands=st.lists(ids, min_size=2, max_size=4).map(tuple), alone=st.booleans())
    | st.builds(
        Split,
        band=ids,
        at_mm=st.lists(lengths, min_size=1, max_size=3).map(tuple),
        hexes=st.lists(st.none() | hexes, max_size=4).map(tuple),
        alone=st.booleans(),
    )
    | st.builds(SetWidth, band=ids, width_mm=lengths, alone=st.booleans())
    | st.builds(
        SetColour,
        band=ids,
        hex=st.none() | hexes,
        reads_hex=st.none() | hexes,
        alone=st.booleans(),
    )
    | st.builds(MoveStart, band=ids)
)

CLOTH = replace(
    cloth(system("R20 Y2 K6 W4 B12", mirrored=True), "R3 W40 K8"),
    photo=PhotoRecord(name="x.jpg", width_px=100, height_px=80, sha256="ab" * 32),
    scale=Scale(
        method=Method.GIVEN,
        size_px=(100, 80),
        plane_to_px=np.eye(3),
        lens=Lens.of_size(100, 80, 0.0),
        relative_std=0.0,
        tilt_deg=None,
    ),
    cautions=(Caution("tilted", "..."),),
)

MADE = (
    Rename(band="U2", name="heather"),
    Split(band="U3", at_mm=(2.0,), hexes=("#E2B93B", None)),
    SetWidth(band="X2", width_mm=39.0),
    SetColour(band="X2", hex="#e9e5d8", reads_hex="#8a8883"),
    Merge(bands=("X3", "X1")),
    MoveStart(band="U2"),
)
"""One of each kind."""


def written(**changes):
    """A document of two corrections, with the second changed."""
    document = {
        "document": NAME,
        "version": 1,
        "corrections": [
            {"kind": "rename", "band": "U1", "name": "cherry"},
            {"kind": "width", "band": "U2", "width_mm": 3.0} | changes,
        ],
    }
    return copy.deepcopy(document)


@settings(max_examples=40)
@given(st.lists(kinds, max_size=5))
def test_corrections_come_back_as_they_went(made):
    """Written as text and read again they are the same, and fit the schema."""
    document = to_document(made, CLOTH)
    SCHEMA.validate(document)
    back = from_document(from_text(to_text(document)))
    assert back.corrections == tuple(made)
    assert back.photo_sha256 == CLOTH.photo.sha256


def test_a_short_document_by_hand_is_enough():
    """Who wrote it and which photo it is for may be left out."""
    held = from_document(written())
    assert held.photo_sha256 is None
    assert held.corrections == (
        Rename(band="U1", name="cherry"),
        SetWidth(band="U2", width_mm=3.0),
    )


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"width_mm": -3.0}, r"correction 2 \(width\), width_mm: .*greater than 0 \(it is -3"),
        ({"width_mm": "3 mm"}, r"correction 2 \(width\), width_mm"),
        ({"width_mm": True}, r"correction 2 \(width\), width_mm"),
        ({"width_mm": None}, r"correction 2 \(width\), width_mm"),
        ({"band": "B2"}, r"correction 2 \(width\), band"),
        ({"band": 2}, r"correction 2 \(width\), band"),
        ({"alone": "yes"}, r"correction 2 \(width\), alone"),
        ({"allone": True}, r"correction 2 \(width\), allone"),
        ({"kind": "widen"}, r"correction 2: .*'widen'"),
        ({"kind": "merge"}, r"correction 2 \(merge\), bands"),
        ({"kind": ["width"]}, r"correction 2"),
    ],
)
def test_what_is_wrong_is_told_with_its_number(changes, says):
    """The second correction, which is wrong, is told as the second, with where to read more."""
    with pytest.raises(FileTrouble, match=says) as refused:
        from_document(written(**changes))
    assert "reference/corrections.md" in refused.value.hint


@pytest.mark.parametrize(
    ("top", "says"),
    [
        ({"corrections": {"kind": "width"}}, "corrections"),
        ({"corrections": [3]}, "correction 1"),
        ({"corrections": [{"kind": "start", "band": "U1"}] * 201}, "at most 200"),
        ({"photo_sha256": "abc"}, "photo_sha256"),
        ({"version": 0}, "version"),
        ({"document": "plaidcut-measurement"}, "plaidcut-measurement"),
        ({"for": "the skirt"}, "for"),
    ],
)
def test_a_wrong_document_is_refused(top, says):
    """What isn't such a document, or says more than this version knows, is refused."""
    with pytest.raises(FileTrouble, match=says):
        from_document(written() | top)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e999"])
def test_no_number_is_no_width(number):
    """What JSON hasn't, or floats don't hold, is refused."""
    text = to_text(written()).replace("3.0", number)
    with pytest.raises(FileTrouble):
        from_document(from_text(text))


def test_corrections_of_another_photo_are_refused():
    """Bound to one photo they can't be made in another, nor in widths typed by hand."""
    held = from_document(to_document(MADE, CLOTH))
    assert held.made_in(CLOTH).corrections == MADE
    other = replace(CLOTH, photo=replace(CLOTH.photo, name="y.jpg", sha256="cd" * 32))
    with pytest.raises(FileTrouble, match=r"not of y\.jpg"):
        held.made_in(other)
    with pytest.raises(FileTrouble, match="typed by hand"):
        held.made_in(replace(CLOTH, photo=None, scale=None))
    unbound = replace(held, photo_sha256=None)
    assert unbound.made_in(other).corrections == MADE


def test_what_cannot_be_made_is_a_bad_file():
    """A band that isn't there is told with the correction's number."""
    held = from_document(written(band="U22"))
    with pytest.raises(FileTrouble, match=r"Correction 2 \(width of U22\): there is no band U22"):
        held.made_in(CLOTH)


def test_the_same_file_twice_changes_nothing_more():
    """Corrections take the place of those that were made before; none give back the measured."""
    held = from_document(to_document(MADE, CLOTH))
    once = held.made_in(CLOTH)
    assert measurement.to_document(held.made_in(once)) == measurement.to_document(once)
    assert replace(held, corrections=()).made_in(once) is CLOTH


def test_a_corrected_measurement_comes_back_as_it_went():
    """Its document holds the corrected bands, what was set, and all that was measured."""
    after = corrected(CLOTH, MADE)
    document = measurement.to_document(after)
    jsonschema.validate(document, schema_of(measurement.NAME))
    back = measurement.from_document(from_text(to_text(document)))
    assert measurement.to_document(back) == document
    assert measurement.hash_of(back) == measurement.hash_of(after)
    assert back.corrections == MADE
    assert measurement.to_document(as_measured(back)) == measurement.to_document(CLOTH)
    assert [band["by_hand"] for band in document["across"]["bands"]] == [
        ["extent"],
        ["width", "colour", "reads"],
    ]


def test_what_was_measured_must_hang_together_too():
    """A spoilt record of what was measured is refused by the name of its field."""
    document = measurement.to_document(corrected(CLOTH, MADE))
    document["corrected"]["up"] = document["corrected"]["across"]
    with pytest.raises(FileTrouble, match="ids start with U"):
        measurement.from_document(document)
