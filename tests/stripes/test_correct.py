"""Corrections: what each does to the bands, and what they leave as it was."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from plaidcut.documents.measurement import to_document as told
from plaidcut.errors import Caution, UsageError
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.by_hand import HAND_STD_MM, measurement_by_hand, parse_bands
from plaidcut.stripes.colour import linear_rgb_of_lab
from plaidcut.stripes.correct import as_measured, corrected, undone
from plaidcut.stripes.corrections import (
    ByHand,
    Merge,
    MoveStart,
    Rename,
    SetColour,
    SetWidth,
    Split,
)
from plaidcut.stripes.measurement import Direction, Kind, PhotoRecord
from tests.setts import cloth, system

MIRRORED = "R20 Y2 K6 W4 B12"
"""From pivot to pivot: eight bands, the pivots U1 and U5."""

SCALE = Scale(
    method=Method.GIVEN,
    size_px=(100, 80),
    plane_to_px=np.eye(3),
    lens=Lens.of_size(100, 80, 0.0),
    relative_std=0.0,
    tilt_deg=None,
)

PHOTO = PhotoRecord(name="x.jpg", width_px=100, height_px=80, sha256="0" * 64)

setts = st.lists(
    st.tuples(st.sampled_from("KWRBGYNT"), st.integers(2, 60)), min_size=2, max_size=7
).map(lambda items: " ".join(f"{letter}{width}" for letter, width in items))


def corrections_of(draw, measured):
    """Any correction that fits a measurement, of its up bands."""
    bands = measured.up.bands
    band = draw(st.sampled_from(bands))
    alone = draw(st.booleans())
    kind = draw(st.sampled_from(["rename", "merge", "split", "width", "colour", "start"]))
    if kind == "rename":
        return Rename(band=band.id, name=draw(st.sampled_from(["heather", "moss"])), alone=alone)
    if kind == "merge" and len(bands) > 3:
        first = draw(st.integers(0, len(bands) - 1))
        ids = tuple(bands[(first + k) % len(bands)].id for k in range(2))
        return Merge(bands=ids, alone=True)
    if kind == "split":
        return Split(band=band.id, at_mm=(band.width_mm * draw(st.sampled_from([0.3, 0.5])),))
    if kind == "width":
        return SetWidth(band=band.id, width_mm=draw(st.integers(1, 90)) / 2, alone=alone)
    if kind == "colour":
        return SetColour(
            band=band.id,
            hex=draw(st.sampled_from(["#7a1f2b", "#e9e5d8"])),
            reads_hex=draw(st.sampled_from([None, "#5f2430"])),
            alone=alone,
        )
    return MoveStart(band=band.id)


@st.composite
def corrected_cloths(draw):
    """A cloth, and a few corrections that fit it one after another."""
    text = draw(setts)
    across = system(draw(setts), Direction.ACROSS)
    measured = cloth(system(text, mirrored=draw(st.booleans())), across)
    if draw(st.booleans()):
        measured = replace(measured, photo=PHOTO, scale=SCALE)
    made, done = [], measured
    for _ in range(draw(st.integers(1, 4))):
        one = corrections_of(draw, done)
        done = corrected(done, [one])
        made.append(one)
    return measured, made


@settings(max_examples=25)
@given(corrected_cloths())
def test_bands_stand_side_by_side_and_make_the_repeat(drawn):
    """After any corrections ids run from 1, bands follow one another, and their sum repeats."""
    measured, made = drawn
    after = corrected(measured, made)
    for one in after.systems:
        letter = one.direction.letter
        assert [band.id for band in one.bands] == [
            f"{letter}{k}" for k in range(1, len(one.bands) + 1)
        ]
        widths = [band.width_mm for band in one.bands]
        assert [band.start_mm for band in one.bands] == pytest.approx(
            np.cumsum([0.0, *widths[:-1]]).tolist()
        )
        assert one.repeat_mm is None or one.repeat_mm == pytest.approx(sum(widths))
        assert (one.repeat_mm is None) == (not one.striped)
        ids = {band.id for band in one.bands}
        assert {each for stripe in one.stripes for each in stripe.bands} <= ids


@settings(max_examples=25)
@given(corrected_cloths())
def test_one_at_a_time_is_all_at_once(drawn):
    """Corrections made one after another give what the whole list gives."""
    measured, made = drawn
    step = measured
    for one in made:
        step = corrected(step, [one])
    assert told(step) == told(corrected(measured, made))


@settings(max_examples=15)
@given(corrected_cloths())
def test_undoing_drops_the_last_one(drawn):
    """Undone as often as it was corrected, a measurement is the very one that was measured."""
    measured, made = drawn
    before = told(measured)
    after = corrected(measured, made)
    assert told(undone(after)) == told(corrected(measured, made[:-1]))
    for _ in made:
        after = undone(after)
    assert after is measured
    assert told(measured) == before


@settings(max_examples=25)
@given(setts, st.data())
def test_merging_what_was_split_gives_it_back(text, data):
    """A band split with its own colours and merged again is as wide, as it was coloured."""
    measured = replace(cloth(text), photo=PHOTO)
    band = data.draw(st.sampled_from(measured.up.bands))
    shares = sorted(data.draw(st.sets(st.sampled_from([0.2, 0.35, 0.5, 0.8]), min_size=1)))
    assume(band.width_mm * 0.15 >= 0.1)
    split = corrected(
        measured, [Split(band=band.id, at_mm=tuple(s * band.width_mm for s in shares))]
    )
    first = int(band.id[1:])
    parts = tuple(f"U{first + k}" for k in range(len(shares) + 1))
    back = corrected(split, [Merge(bands=parts)]).up
    assert [b.width_mm for b in back.bands] == pytest.approx(
        [b.width_mm for b in measured.up.bands]
    )
    assert [b.yarn for b in back.bands] == [b.yarn for b in measured.up.bands]
    assert back.repeat_mm == measured.up.repeat_mm


def test_a_name_changes_nothing_else():
    """Renaming tells no other number, and neither kind, stripes nor the other direction."""
    measured = cloth(system(MIRRORED, mirrored=True))
    after = corrected(measured, [Rename(band="U2", name="heather")])
    assert [b.yarn.name for b in after.up.bands if ByHand.NAME in b.by_hand] == ["heather"] * 2
    plain = replace(
        after,
        corrections=(),
        measured=None,
        up=replace(
            after.up,
            bands=tuple(
                replace(band, by_hand=(), yarn=before.yarn)
                for band, before in zip(after.up.bands, measured.up.bands, strict=True)
            ),
        ),
    )
    assert told(plain) == told(measured)


def test_a_width_by_hand_is_as_sure_as_a_ruler():
    """The band and its twin are as wide as said, the repeat longer by both."""
    measured = cloth(system(MIRRORED, mirrored=True))
    up = corrected(measured, [SetWidth(band="U2", width_mm=3.0)]).up
    assert [band.width_mm for band in up.bands] == [20, 3, 6, 4, 12, 4, 6, 3]
    assert up.bands[1].width_std_mm == up.bands[7].width_std_mm == HAND_STD_MM
    assert up.repeat_mm == measured.up.repeat_mm + 2
    assert up.mirrored


def test_a_twin_left_alone_ends_the_mirror():
    """Said to be alone a correction leaves the twin, and the order reads the same no more."""
    measured = cloth(system(MIRRORED, mirrored=True))
    one = corrected(measured, [SetWidth(band="U2", width_mm=3.0, alone=True)])
    assert [band.width_mm for band in one.up.bands] == [20, 3, 6, 4, 12, 4, 6, 2]
    assert not one.up.mirrored
    both = corrected(one, [SetWidth(band="U8", width_mm=3.0)])
    assert both.up.mirrored


def test_a_typed_cloth_corrected_is_one_typed_right():
    """Set by hand, width and colour give what they do when typed, readings and ± included."""
    across = parse_bands("dark green 9 mm, black 4 mm")
    wrong = measurement_by_hand(parse_bands("red 5 mm, #e2b93b 2 mm, navy 8 mm"), across)
    right = measurement_by_hand(parse_bands("red 5 mm, #e9e5d8 3 mm, navy 8 mm"), across)
    after = corrected(
        wrong, [SetWidth(band="U2", width_mm=3.0), SetColour(band="U2", hex="#E9E5D8")]
    )
    for one, other in zip(after.systems, right.systems, strict=True):
        assert one.repeat_mm == other.repeat_mm
        assert one.repeat_std_mm == pytest.approx(other.repeat_std_mm)
        assert [replace(band, by_hand=()) for band in one.bands] == list(other.bands)
        assert one.stripes == other.stripes


def test_what_a_photo_shows_of_strips_stays():
    """A yarn's colour by hand leaves how strips read as photographed, unless that is given too."""
    measured = replace(cloth("R20 Y2 K6"), photo=PHOTO)
    yarn = corrected(measured, [SetColour(band="U2", hex="#24502f")]).up.bands[1]
    assert yarn.yarn.hex == "#24502f"
    assert yarn.reads == measured.up.bands[1].reads
    assert yarn.by_hand == (ByHand.COLOUR,)
    read = corrected(measured, [SetColour(band="U2", reads_hex="#24502f")]).up.bands[1]
    assert (read.yarn, read.reads.hex) == (measured.up.bands[1].yarn, "#24502f")


def test_a_merged_colour_is_the_mean_of_light():
    """Three parts white and one black give three quarters of white's light, one of black's."""
    measured = replace(cloth("W9 K3 R20"), photo=PHOTO)
    white, black, _ = (linear_rgb_of_lab(band.yarn.lab) for band in measured.up.bands)
    merged = corrected(measured, [Merge(bands=("U1", "U2"))]).up.bands[0]
    assert merged.width_mm == 12
    for colour in (merged.yarn, merged.reads):
        assert linear_rgb_of_lab(colour.lab) == pytest.approx(0.75 * white + 0.25 * black)


def test_merging_round_the_start_begins_with_the_merged_band():
    """The band that lies over the start is the first, and the repeat starts where it does."""
    up = replace(system("R20 Y2 K6 R5"), origin_mm=3.0)
    after = corrected(cloth(up), [Merge(bands=("U4", "U1"))]).up
    assert [band.width_mm for band in after.bands] == [25, 2, 6]
    assert after.origin_mm == pytest.approx((3.0 - 5.0) % 33)


def test_merging_all_is_plain_cloth():
    """A direction of which one band is left has no stripes, no repeat, and no cautions of them."""
    measured = replace(
        cloth("R20 Y2"), cautions=(Caution("few-repeats-up", "..."), Caution("tilted", "..."))
    )
    after = corrected(measured, [Merge(bands=("U1", "U2"))])
    assert (after.up.repeat_mm, after.up.repeat_std_mm, after.up.stripes) == (None, None, ())
    assert not after.up.striped
    assert after.cloth.kind is Kind.SOLID
    assert [caution.code for caution in after.cautions] == ["tilted"]


def test_pivots_merge_with_both_sides_only():
    """Over a pivot a mirrored order is merged on both sides alike, or the order is given up."""
    measured = cloth(system(MIRRORED, mirrored=True))
    with pytest.raises(UsageError, match=r"Correction 1 .*runs back at U1"):
        corrected(measured, [Merge(bands=("U1", "U2"))])
    both = corrected(measured, [Merge(bands=("U8", "U1", "U2"))]).up
    assert ([band.width_mm for band in both.bands], both.mirrored) == ([24, 6, 4, 12, 4, 6], True)
    alone = corrected(measured, [Merge(bands=("U1", "U2"), alone=True)]).up
    assert ([band.width_mm for band in alone.bands], alone.mirrored) == (
        [22, 6, 4, 12, 4, 6, 2],
        False,
    )


def test_a_pivot_split_evenly_keeps_the_mirror():
    """The middle part is the pivot then, and the repeat starts with it."""
    measured = cloth(system(MIRRORED, mirrored=True))
    even = corrected(
        measured, [Split(band="U1", at_mm=(5.0, 15.0), hexes=("#e9e5d8", None, "#e9e5d8"))]
    ).up
    assert [band.width_mm for band in even.bands] == [10, 5, 2, 6, 4, 12, 4, 6, 2, 5]
    assert even.mirrored
    uneven = corrected(measured, [Split(band="U1", at_mm=(5.0, 14.0))]).up
    assert [band.width_mm for band in uneven.bands][:3] == [5, 9, 6]
    assert not uneven.mirrored


def test_twins_are_split_as_mirror_images():
    """What comes first in a band comes last in its twin."""
    measured = cloth(system(MIRRORED, mirrored=True))
    up = corrected(measured, [Split(band="U3", at_mm=(2.0,), hexes=("#e2b93b", None))]).up
    assert [band.width_mm for band in up.bands] == [20, 2, 2, 4, 4, 12, 4, 4, 2, 2]
    assert up.bands[2].yarn.hex == up.bands[8].yarn.hex == "#e2b93b"
    assert up.mirrored


def test_the_start_moves_and_comes_back():
    """The repeat starts where she says, and back again it is as it was measured."""
    up = replace(system(MIRRORED, mirrored=True), origin_mm=3.0)
    measured = cloth(up)
    moved = corrected(measured, [MoveStart(band="U3")])
    assert [band.width_mm for band in moved.up.bands] == [6, 4, 12, 4, 6, 2, 20, 2]
    assert moved.up.origin_mm == 25.0
    assert not moved.up.mirrored
    back = corrected(moved, [MoveStart(band="U7")]).up
    assert (back.bands, back.mirrored) == (up.bands, True)
    assert back.origin_mm == pytest.approx(3.0)


def line_at(x):
    """A traced edge straight down the picture."""
    return np.array([[x, y] for y in np.linspace(0, 100, 5)], float)


def with_edges():
    """Two repeats of 10, 20 and 30 mm at 1 px/mm; the photo begins 4 mm before the first edge."""
    bands = system("R10 K20 W30")
    at = [4, 14, 34, 64, 74, 94]
    ids = ["U1", "U2", "U3"]
    beside = tuple((ids[(k - 1) % 3], ids[k % 3]) for k in range(6))
    return replace(bands, origin_mm=4.0, edges_px=tuple(line_at(x) for x in at), edge_bands=beside)


def places_of(up):
    """Where its edges lie, and between which bands."""
    return [
        (float(edge[:, 0].mean()), *beside)
        for edge, beside in zip(up.edges_px, up.edge_bands, strict=True)
    ]


def test_an_edge_inside_a_merged_band_is_gone():
    """The picture shows no line any more where two bands became one."""
    up = corrected(cloth(with_edges()), [Merge(bands=("U2", "U3"))]).up
    assert places_of(up) == [
        (4, "U2", "U1"),
        (14, "U1", "U2"),
        (64, "U2", "U1"),
        (74, "U1", "U2"),
    ]


def test_a_split_band_gets_an_edge_in_the_picture():
    """The line lies at its share of the way between the band's own edges, where both are seen."""
    up = corrected(cloth(with_edges()), [Split(band="U2", at_mm=(5.0,))]).up
    assert places_of(up) == [
        (4, "U4", "U1"),
        (14, "U1", "U2"),
        (19, "U2", "U3"),
        (34, "U3", "U4"),
        (64, "U4", "U1"),
        (74, "U1", "U2"),
        (79, "U2", "U3"),
        (94, "U3", "U4"),
    ]


def test_edges_are_named_anew_when_the_start_moves():
    """The lines stay, and lie between the same bands by their new names."""
    up = corrected(cloth(with_edges()), [MoveStart(band="U3")]).up
    assert places_of(up)[:3] == [(4, "U1", "U2"), (14, "U2", "U3"), (34, "U3", "U1")]


@pytest.mark.parametrize("wider", ["U1", "U2", "U3"])
def test_the_first_edge_stays_where_the_photo_shows_it(wider):
    """Whichever band is made wider, the first edge lies as far from the photo's first thread."""
    measured = cloth(with_edges())
    up = corrected(measured, [SetWidth(band=wider, width_mm=40.0)]).up
    assert (up.origin_mm + up.band("U1").start_mm) % up.repeat_mm == pytest.approx(4.0)


def test_a_width_by_hand_ends_a_cut_off_band():
    """A band that the photo cuts off is known whole once a ruler has measured it."""
    measured = cloth(system("Y4 K20 R10 K20", repeats=False))
    up = corrected(measured, [SetWidth(band="U1", width_mm=5.0)]).up
    assert [band.partial for band in up.bands] == [False, False, False, True]
    assert "U1" in {each for stripe in up.stripes for each in stripe.bands}


def test_cautions_about_yarns_end_when_all_are_set():
    """Whose yarns were all given by hand is no longer told that they are a guess."""
    measured = replace(
        cloth("R20 K2", "Y9 K5"),
        cautions=(Caution("yarns-unsure", "..."), Caution("across-unknown", "...")),
    )
    given_up = [SetColour(band=f"U{k}", hex="#24502f") for k in (1, 2)]
    given_across = [SetColour(band=f"X{k}", hex="#24502f") for k in (1, 2)]
    assert len(corrected(measured, given_up).cautions) == 2
    across_only = corrected(measured, given_across).cautions
    assert [caution.code for caution in across_only] == ["yarns-unsure"]
    assert corrected(measured, given_up + given_across).cautions == ()


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (Rename(band="U9", name="red"), "there is no band U9"),
        (Rename(band="Q1", name="red"), "there is no band Q1"),
        (Rename(band="U1", name="  "), "is no name"),
        (Rename(band="U1", name="red\x1b[31m"), "is no name"),
        (Rename(band="U1", name="a\u202eb"), "is no name"),
        (Rename(band="U1", name="x" * 41), "is no name"),
        (Merge(bands=()), "names no bands"),
        (Merge(bands=("U1",)), "two bands or more"),
        (Merge(bands=("U1", "U1")), "two bands or more"),
        (Merge(bands=("U1", "U3")), "U3 doesn't follow U1"),
        (Merge(bands=("U2", "U1")), "U1 doesn't follow U2"),
        (Merge(bands=("U1", "X1")), "there is no band X1"),
        (Split(band="U1", at_mm=()), "don't part U1"),
        (Split(band="U1", at_mm=(20.0,)), "don't part U1"),
        (Split(band="U1", at_mm=(5.0, 4.0)), "don't part U1"),
        (Split(band="U1", at_mm=(float("nan"),)), "is no length"),
        (Split(band="U1", at_mm=(5.0,), hexes=("#000000",)), "1 colours for 2 parts"),
        (Split(band="U1", at_mm=tuple(k / 5 for k in range(1, 99))), "makes 101 bands"),
        (SetWidth(band="U1", width_mm=-1.0), "is no width"),
        (SetWidth(band="U1", width_mm=float("inf")), "is no length"),
        (SetWidth(band="U1", width_mm=1e9), "is no width"),
        (SetWidth(band="X1", width_mm=5.0), "no stripes this way"),
        (SetColour(band="U1"), "gives no colour"),
        (SetColour(band="U1", hex="red"), "is no colour"),
        (MoveStart(band="X1"), "no repeat"),
    ],
)
def test_what_can_t_be_made_is_refused_with_its_number(wrong, says):
    """The second of two corrections that makes no sense is told as the second, with a way on."""
    measured = cloth("R20 Y2 K6")
    with pytest.raises(UsageError, match=says) as refused:
        corrected(measured, [Rename(band="U1", name="cherry"), wrong])
    assert refused.value.message.startswith("Correction 2 (")
    assert refused.value.hint


def test_corrections_leave_the_measured_one_at_hand():
    """What was measured is kept in what was corrected, and no correction returns it as it is."""
    measured = cloth("R20 Y2 K6")
    after = corrected(measured, [Rename(band="U1", name="cherry")])
    assert as_measured(after) is measured
    assert corrected(measured, []) is measured
    assert undone(measured) is measured
