"""The measurement document: round trips, and what is refused."""

import copy
import json
import math

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.cloth.lattice import Structure
from plaidcut.documents.measurement import NAME, from_document, to_document
from plaidcut.documents.schemas import schema_of
from plaidcut.documents.text import from_text, to_text
from plaidcut.errors import Caution, FileTrouble
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.shown import shown
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.measurement import (
    Band,
    ClothRecord,
    ColumnsRecord,
    Direction,
    Kind,
    LeftOut,
    Measurement,
    PhotoRecord,
    Stripe,
    ThreadPitch,
    ThreadSystem,
    TwillWay,
    ValueShares,
    Washed,
    WeaveRecord,
)
from tests.setts import cloth

SCHEMA = jsonschema.Draft202012Validator(schema_of(NAME))

number = st.floats(-1e6, 1e6)
positive = st.floats(1e-3, 1e6)
share = st.floats(0, 1)
word = st.text(max_size=12).map(shown)
points = st.lists(st.tuples(number, number), max_size=4).map(
    lambda pairs: np.array(pairs, float).reshape(-1, 2)
)
colours = st.builds(
    Colour,
    lab=st.tuples(number, number, number),
    hex=st.from_regex(r"#[0-9a-f]{6}", fullmatch=True),
    name=word,
    value=st.sampled_from(["light", "medium", "dark"]),
)


@st.composite
def systems(draw, direction):
    """Any thread system of a direction."""
    widths = draw(st.lists(positive, min_size=1, max_size=4))
    bands = tuple(
        Band(
            id=f"{direction.letter}{k + 1}",
            start_mm=draw(number),
            width_mm=width,
            width_edge_std_mm=draw(share),
            width_std_mm=draw(share),
            partial=draw(st.booleans()),
            yarn=draw(colours),
            reads=draw(colours),
        )
        for k, width in enumerate(widths)
    )
    ids = st.sampled_from([band.id for band in bands])
    edges = draw(st.lists(points, max_size=3))
    return ThreadSystem(
        direction=direction,
        angle_px_deg=draw(st.none() | st.floats(0, 180, exclude_max=True)),
        repeat_mm=draw(st.sampled_from([None, sum(widths)])),
        repeat_std_mm=draw(st.none() | share),
        mirrored=draw(st.booleans()),
        origin_mm=draw(number),
        bands=bands,
        stripes=tuple(
            Stripe(bands=(band_id,), bold=draw(share))
            for band_id in draw(st.lists(ids, max_size=2))
        ),
        edges_px=tuple(edges),
        edge_bands=tuple((draw(st.none() | ids), draw(st.none() | ids)) for _ in edges),
    )


@st.composite
def scales(draw, photo):
    """Any scale of a photo that can be turned round."""
    k = draw(st.floats(0.5, 20))
    return Scale(
        method=draw(st.sampled_from(Method)),
        size_px=(photo.width_px, photo.height_px),
        plane_to_px=np.array(
            [[k, draw(share), draw(number)], [-draw(share) / 2, k, draw(number)], [0, 0, 1]]
        ),
        lens=Lens.of_size(photo.width_px, photo.height_px, draw(st.floats(-0.1, 0.1))),
        relative_std=draw(share),
        tilt_deg=draw(st.none() | st.floats(0, 89)),
        mark_px=draw(st.none() | points),
    )


pitches = st.none() | st.builds(ThreadPitch, mm=positive, std_mm=share)
weaves = st.builds(
    WeaveRecord,
    structure=st.none() | st.sampled_from(Structure),
    twill=st.none() | st.sampled_from(TwillWay),
    up=pitches,
    across=pitches,
    columns=st.none()
    | st.builds(ColumnsRecord, along=st.sampled_from(Direction), width_mm=positive, std_mm=share),
    check_threads=st.none() | st.tuples(st.integers(1, 12), st.integers(1, 12)),
)
values = st.builds(ValueShares, light=share, medium=share, dark=share)


@st.composite
def measurements(draw):
    """Any measurement, with a photo or typed by hand."""
    photo = draw(
        st.none()
        | st.builds(
            PhotoRecord,
            name=word,
            width_px=st.integers(1, 10_000),
            height_px=st.integers(1, 10_000),
            sha256=st.from_regex(r"[0-9a-f]{64}", fullmatch=True),
        )
    )
    return Measurement(
        photo=photo,
        scale=None if photo is None else draw(scales(photo)),
        cloth=ClothRecord(
            kind=draw(st.sampled_from(Kind)),
            kind_confidence=draw(share),
            outline_px=draw(points),
            skew_deg=draw(st.none() | number),
            bow=draw(st.none() | number),
            sharpness_mm=draw(st.none() | number),
            washed=draw(st.sampled_from(Washed)),
            left_out=tuple(
                draw(st.lists(st.builds(LeftOut, code=word, outline_px=points), max_size=2))
            ),
            word=draw(st.none() | word),
            weave=draw(st.none() | weaves),
            values=draw(st.none() | values),
            strips_differ=draw(st.none() | st.tuples(share, share)),
        ),
        up=draw(systems(Direction.UP)),
        across=draw(systems(Direction.ACROSS)),
        warp=draw(st.none() | st.sampled_from(Direction)),
        cautions=tuple(draw(st.lists(st.builds(Caution, code=word, message=word), max_size=2))),
    )


@settings(max_examples=40)
@given(measurements())
def test_a_document_comes_back_as_it_went(measured):
    """Written as text and read again, a measurement makes the very same document."""
    document = to_document(measured)
    back = from_document(from_text(to_text(document)))
    assert to_document(back) == document
    assert [b.width_mm for b in back.up.bands] == [b.width_mm for b in measured.up.bands]
    assert back.warp is measured.warp
    assert back.cloth.weave == measured.cloth.weave
    assert back.cloth.values == measured.cloth.values
    assert back.cautions == measured.cautions
    for ours, theirs in zip(back.up.edges_px, measured.up.edges_px, strict=True):
        np.testing.assert_array_equal(ours, theirs)


@settings(max_examples=40)
@given(measurements())
def test_a_document_fits_its_schema(measured):
    """Whatever is measured, its document is one that the schema describes."""
    SCHEMA.validate(to_document(measured))


def test_the_scale_maps_as_before():
    """A point in the picture is the same point of the cloth after a round trip."""
    photo = PhotoRecord(name="x.jpg", width_px=400, height_px=300, sha256="0" * 64)
    scale = Scale(
        method=Method.CARD,
        size_px=(400, 300),
        plane_to_px=np.array([[2.0, 0.1, 30.0], [-0.1, 2.1, 20.0], [1e-4, 2e-4, 1.0]]),
        lens=Lens.of_size(400, 300, -0.03),
        relative_std=0.002,
    )
    hand = cloth("K40 Y2", "R3 W40")
    measured = Measurement(
        photo=photo, scale=scale, cloth=hand.cloth, up=hand.up, across=hand.across
    )
    back = from_document(to_document(measured)).scale
    assert back is not None
    np.testing.assert_allclose(back.to_mm([33.0, 250.0]), scale.to_mm([33.0, 250.0]), atol=1e-12)


def document():
    """A document typed by hand, to be spoilt."""
    return copy.deepcopy(to_document(cloth("K40 Y2 R9 Y2", "R3 W40")))


def test_what_later_versions_add_is_passed_over():
    """A document of a later version, with fields that nobody knew, is read all the same."""
    newer = document() | {"version": 7, "weather": "fine"}
    newer["up"]["bands"][0]["sheen"] = 0.3
    assert to_document(from_document(newer)) == document()


@pytest.mark.parametrize(
    ("path", "value", "named"),
    [
        (("up", "bands", 1, "width_mm"), -1.0, "up.bands[1].width_mm"),
        (("up", "bands", 1, "width_mm"), "2 mm", "up.bands[1].width_mm"),
        (("up", "bands", 1, "width_mm"), 3.9, "add up to"),
        (("up", "bands", 1, "id"), "U1", "same id"),
        (("up", "bands", 0, "id"), "X2", "ids start with U"),
        (("up", "bands", 1, "yarn", "hex"), "red", "up.bands[1].yarn.hex"),
        (("up", "stripes"), [{"bands": ["U9"], "bold": 0.5}], "no band U9"),
        (("across", "bands"), [], "across.bands"),
        (("cloth", "kind"), "paisley", "cloth.kind"),
        (("version",), 0, "version"),
        (("version",), "1", "version"),
        (("document",), "plaidcut-plan", "plaidcut-plan"),
        (("scale", "method"), "card", "scale"),
        (("warp",), "sideways", "warp"),
    ],
)
def test_a_wrong_field_is_refused_by_name(path, value, named):
    """The error of a spoilt document says which field is wrong."""
    spoilt = document()
    *way, last = path
    part = spoilt
    for step in way:
        part = part[step]
    part[last] = value
    with pytest.raises(FileTrouble, match=named.replace("[", r"\[").replace("]", r"\]")):
        from_document(spoilt)


@pytest.mark.parametrize("path", ["scale", "cloth", "up", "warp", "made_by"])
def test_a_missing_field_is_refused_by_name(path):
    """The error of an incomplete document says what is missing."""
    spoilt = document()
    del spoilt[path]
    with pytest.raises(FileTrouble, match=path):
        from_document(spoilt)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_no_number_is_no_width(value):
    """NaN and infinity are no JSON, and no width."""
    spoilt = document()
    spoilt["up"]["bands"][0]["width_mm"] = value
    with pytest.raises(FileTrouble):
        from_document(spoilt)
    with pytest.raises(ValueError, match="JSON"):
        to_text(spoilt)


@pytest.mark.parametrize("text", ["", "{", "[1]", '"a"', "{}", '{"document": 3}', '{"x": NaN}'])
def test_what_is_no_document_is_refused(text):
    """Broken JSON, or JSON of another kind, is a bad file."""
    with pytest.raises(FileTrouble):
        from_text(text)


def test_text_is_json_with_points_on_one_line():
    """The text reads back as the same JSON, whatever its lines look like."""
    value = {
        "document": "x",
        "points": [[1.5, 2.0], [0.1, 1e-9]],
        "words": ["a]", "b\n["],
        "no": [],
    }
    assert json.loads(to_text(value)) == value
    assert "[1.5, 2.0]" in to_text(value)
