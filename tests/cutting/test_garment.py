"""The strips of garments: lengths, holes, places that aren't known, shrinkage."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.garment import Garment, WhatToCut
from plaidcut.cutting.garment_file import parse_garment, parse_piece
from plaidcut.cutting.garment_strips import PART_MM, strips_of_garment
from plaidcut.cutting.lengths import clear_spans, parts_of
from plaidcut.cutting.shapes import (
    Allowances,
    GarmentPiece,
    Shrinkage,
    cloth_of,
    outline_of,
    piece_of_photo,
    rectangle,
    round_hole,
    shrunk_measurement,
    shrunk_piece,
    sideways,
    square_hole,
    trapezoid,
    turned,
)
from plaidcut.cutting.strip import Holds
from plaidcut.errors import NothingFits, UsageError
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.measurement import Direction, LeftOut, Washed
from tests.setts import cloth, system

INCH = 25.4
TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)
PLAIN = cloth("K30", "K30")


def strips(measured, *pieces, **what):
    """The strips of pieces for both directions, cut in #8."""
    garment = Garment(name="pieces", pieces=pieces)
    lengths = {name: what.pop(name) for name in ("shortest_mm", "liked_mm") if name in what}
    return strips_of_garment(
        measured, replace(garment, **lengths), WhatToCut(cuts=(EIGHT,), **what)
    )


def piece(points, *holes, true_edge=True, **more):
    """A piece of an outline, with holes."""
    sewn = outline_of(points)
    left = cloth_of(sewn, holes, Allowances())
    return GarmentPiece(name="piece", count=1, sewn=sewn, cloth=left, true_edge=true_edge, **more)


def test_a_rectangle_gives_what_arithmetic_says():
    """5 pieces of 20 x 14 in: 80 strips of #8 each, 14 in long; crosswise 56 of 20 in."""
    up, across = strips(PLAIN, parse_piece("5 of 20 x 14 in")).ways
    assert (up.strips.mean, up.length_mm.mean) == pytest.approx((400, 400 * 14 * INCH))
    assert (across.strips.mean, across.length_mm.mean) == pytest.approx((280, 280 * 20 * INCH))
    assert up.strips.known
    assert up.waste.mean == pytest.approx(0, abs=1e-9)


def test_a_hole_costs_what_can_be_worked_out_by_hand():
    """A hole 1/2 in square from 8 to 8 1/2 in down a piece 4 x 16 in, 1 1/8 in from its left.

    It spoils the strips from 1 to 1 1/4, 1 1/4 to 1 1/2 and 1 1/2 to 1 3/4 in over half an inch:
    three strips of 16 in become three of 8 and three of 7 1/2 in.
    """
    hole = square_hole((1.375 * INCH, 8.25 * INCH), 0.5 * INCH, 0.5 * INCH)
    up = strips(PLAIN, piece(rectangle(4 * INCH, 16 * INCH), hole)).ways[0]
    assert up.strips.mean == 13 + 6
    assert up.length_mm.mean == pytest.approx((16 * 16 - 3 * 0.5) * INCH)
    assert up.bits.mean == 0
    short = strips(PLAIN, piece(rectangle(4 * INCH, 16 * INCH), hole), shortest_mm=7.75 * INCH)
    assert short.ways[0].bits.mean == 3
    assert short.ways[0].bits_mm.mean == pytest.approx(3 * 7.5 * INCH)


def test_a_gore_gives_a_strip_for_each_lane_that_is_long_enough():
    """A right-angled gore: lane k of 16 is clear from where its slanted side lets it."""
    gore = outline_of([(0, 0), (0.001, 0), (4 * INCH, 16 * INCH), (0, 16 * INCH)])
    lengths = [
        sum(high - low for low, high in clear_spans(gore, k * 6.35, (k + 1) * 6.35))
        for k in range(16)
    ]
    # the lane's right side meets the slope (k + 1) in down, so 15 - k in are left
    assert lengths == pytest.approx([(15 - k) * INCH for k in range(16)], abs=0.1)


@given(st.floats(1, 3000), st.floats(100, 900), st.floats(50, 300))
def test_lengths_are_divided_near_the_liked_one(length_mm, liked_mm, shortest_mm):
    """No part is shorter than the shortest; a bit is no strip; parts are as near as can be."""
    parts = parts_of(length_mm, liked_mm=liked_mm, shortest_mm=shortest_mm)
    if length_mm < shortest_mm - 1e-6:
        assert parts == 0
        return
    assert parts >= 1
    assert length_mm / parts >= shortest_mm - 1e-6
    if parts > 1:
        assert length_mm / parts >= liked_mm * 2 / 3 - 1e-6
    assert length_mm / parts <= max(1.5 * liked_mm, 2 * shortest_mm) + 1e-6


@given(
    st.lists(st.tuples(st.floats(5, 95), st.floats(5, 295), st.floats(1, 20)), max_size=4),
    st.floats(0, 90),
)
def test_clear_spans_hold_cloth_and_nothing_else_does(holes, start_mm):
    """Between holes the lane is cloth from side to side; a little beyond each end it isn't."""
    whole = box(0, 0, 100, 300)
    cut = whole
    for x, y, size in holes:
        cut = cut.difference(box(x, y, x + size, y + size))
    spans = clear_spans(cut, start_mm, start_mm + 10)
    for low, high in spans:
        assert cut.buffer(1e-6).covers(box(start_mm, low, start_mm + 10, high))
    edges = [0.0, *(each for span in spans for each in span), 300.0]
    for low, high in zip(edges[::2], edges[1::2], strict=True):
        if high - low > 1e-3:
            middle = box(start_mm + 1e-3, low + 1e-4, start_mm + 10 - 1e-3, high - 1e-4)
            assert not cut.covers(middle)


def test_a_piece_without_a_true_edge_is_trimmed_first():
    """1/4 in goes: a #8 strip less than torn pieces give."""
    points = rectangle(4 * INCH, 16 * INCH)
    assert strips(PLAIN, piece(points)).ways[0].strips.mean == 16
    assert strips(PLAIN, piece(points, true_edge=False)).ways[0].strips.mean == 15


def test_a_wide_piece_is_torn_into_parts():
    """100 in are three parts; each gives whole strips of its own."""
    way = strips(PLAIN, parse_piece("100 x 16 in")).ways[0]
    assert way.pieces[0].parts == 3
    assert way.pieces[0].way.width_mm == pytest.approx(100 / 3 * INCH)
    assert way.pieces[0].way.width_mm <= PART_MM
    assert way.strips.mean == 3 * int(100 / 3 / 0.25)


def test_what_stands_at_the_edge_matters_where_it_is_not_known():
    """Counts are ranges over places, and exact where the place is said."""
    measured = cloth(system("K60 Y3", edge_std_mm=0.0), "K30")
    unknown = parse_piece("3 of 4 x 16 in")
    known = replace(unknown, at=("U1 + 10 mm",))
    loose, exact = (strips(measured, each, keep=("U2",)).ways[0] for each in (unknown, known))
    whole = [
        next(kind for kind in way.kinds if kind.holds is Holds.WHOLE) for way in (loose, exact)
    ]
    # 101.6 mm of a repeat of 63 mm hold one stripe, or two
    assert (whole[0].strips.low, whole[0].strips.high) == (3, 6)
    assert 3 < whole[0].strips.mean < 6
    assert whole[1].strips.known
    assert exact.pieces[0].known_place
    assert not loose.pieces[0].known_place


def test_a_turned_piece_gives_the_other_direction_s_strips():
    """With threads across, what was up and down is from side to side."""
    text = '[[piece]]\nshape = "rectangle"\nwidth = "20 in"\nheight = "10 in"\nthreads = "{}"\n'
    plain, other = (
        strips(PLAIN, *parse_garment(text.format(threads), file_name="g.toml").pieces).ways
        for threads in ("up", "across")
    )
    for way, turned_way in zip(plain, reversed(other), strict=True):
        assert way.strips.mean == turned_way.strips.mean
        assert way.length_mm.mean == pytest.approx(turned_way.length_mm.mean)


def test_threads_that_lean_are_brought_upright():
    """A narrow parallelogram that leans by 30 degrees with its threads stands upright, turned."""
    leaning = outline_of([(0, 100), (57.735, 0), (67.735, 0), (10, 100)])
    min_x, _, max_x, _ = turned(leaning, 30).bounds
    # its sides then are vertical: it is as wide as they are apart, and its ends slant
    assert max_x - min_x == pytest.approx(10 * 3**0.5 / 2, abs=0.01)


def test_washing_shrinks_piece_and_bands_alike():
    """The warp's way by its share, the other by its own; a strip count hangs on both."""
    by = Shrinkage(lengthwise=0.10, crosswise=0.05)
    before = piece(rectangle(100, 200))
    for warp, size in ((Direction.UP, (95, 180)), (Direction.ACROSS, (90, 190))):
        after = shrunk_piece(before, by, warp)
        assert after.cloth.bounds[2:] == pytest.approx(size)
        measured = shrunk_measurement(cloth("K60 Y3", "B20 R4"), by, warp)
        share = 0.05 if warp is Direction.UP else 0.10
        assert measured.up.repeat_mm == pytest.approx(63 * (1 - share))
        assert measured.across.bands[1].width_mm == pytest.approx(4 * (1 - (0.15 - share)))


def test_cloth_measured_after_washing_does_not_shrink_again():
    """Only the pieces do then; and without the warp nobody knows which way."""
    measured = replace(cloth("K60 Y3", "B20 R4"), warp=Direction.UP)
    garment = Garment(
        name="g",
        pieces=(replace(parse_piece("4 x 16 in"), at=("U1",)),),
        shrinkage=Shrinkage(lengthwise=0.10, crosswise=0.05),
    )
    what = WhatToCut(cuts=(EIGHT,), keep=("U2",))
    shrunk = strips_of_garment(measured, garment, what)
    washed = replace(measured, cloth=replace(measured.cloth, washed=Washed.YES))
    kept = strips_of_garment(washed, garment, what)
    assert shrunk.ways[0].pieces[0].way.stretch.bands[0].end_mm == pytest.approx(57)
    assert kept.ways[0].pieces[0].way.stretch.bands[0].end_mm == pytest.approx(60)
    assert kept.ways[0].pieces[0].way.width_mm == pytest.approx(4 * INCH * 0.95)
    assert "shrinkage-guessed" in {caution.code for caution in kept.cautions}
    with pytest.raises(UsageError, match="which is the warp"):
        strips_of_garment(replace(measured, warp=None), garment, what)


def test_kinds_add_up():
    """Each strip is of one kind: counts and lengths of all kinds are those of all strips."""
    measured = cloth("K31 Y3 G17 R2.5", "B40 W3")
    pieces = (parse_piece("2 of 9 x 20 in"), piece(trapezoid(150, 250, 500), true_edge=False))
    for way in strips(measured, *pieces).ways:
        assert sum(kind.strips.mean for kind in way.kinds) == pytest.approx(way.strips.mean)
        assert sum(kind.length_mm.mean for kind in way.kinds) == pytest.approx(way.length_mm.mean)
        used = way.length_mm.mean * EIGHT.width_mm / way.cloth_mm2
        assert way.waste.mean == pytest.approx(1 - used)


def test_without_a_repeat_a_piece_must_lie_in_what_was_seen():
    """A garment of a cloth whose repeat wasn't seen is refused that way."""
    measured = cloth("K31 Y3 G17", "K30", repeats=False)
    with pytest.raises(NothingFits, match="no repeat"):
        strips(measured, parse_piece("9 x 20 in"), keep=("U2",))


@pytest.mark.parametrize("turn_deg", [0.0, 20.0])
def test_the_outline_in_a_photo_is_a_piece(turn_deg):
    """A cloth of 200 x 150 mm that lies turned, with a hole: its area, and its threads upright."""
    turn = np.radians(turn_deg)
    across, along = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])

    def corners(x, y, width, height):
        sides = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        return np.array([(1000.0, 400.0) + 8.0 * (dx * across + dy * along) for dx, dy in sides])

    measured = cloth("K31 Y3", "K30")
    scale = Scale(
        method=Method.CARD,
        size_px=(4000, 3000),
        plane_to_px=np.diag([8.0, 8.0, 1.0]),
        lens=Lens.of_size(4000, 3000),
        relative_std=0.002,
    )
    measured = replace(
        measured,
        scale=scale,
        up=replace(measured.up, angle_px_deg=90.0 + turn_deg, origin_mm=12.0),
        cloth=replace(
            measured.cloth,
            outline_px=corners(0, 0, 200, 150),
            left_out=(LeftOut(code="not-woven", outline_px=corners(50, 60, 20, 10)),),
        ),
    )
    found = piece_of_photo(measured)
    assert found.sewn.bounds == pytest.approx((0, 0, 200, 150), abs=0.01)
    assert found.cloth.area == pytest.approx(200 * 150 - 20 * 10, rel=1e-3)
    way = strips_of_garment(
        measured, Garment(name="g", pieces=(found,)), WhatToCut(cuts=(EIGHT,))
    ).ways[0]
    assert way.pieces[0].known_place
    # 12 mm are left of the repeat's start, less what is trimmed
    assert way.pieces[0].way.phase_mm == pytest.approx(34 - 12 + 6.35, abs=0.01)


def test_typed_widths_have_no_outline():
    """The outline in a photo needs a photo."""
    with pytest.raises(UsageError, match="no photo"):
        piece_of_photo(PLAIN)


def test_seams_and_hem_are_cut_away():
    """5/8 in all around, and 2 in at the bottom in place of it."""
    sewn = outline_of(rectangle(10 * INCH, 20 * INCH))
    left = cloth_of(sewn, [], Allowances(seam_mm=0.625 * INCH, hem_mm=2 * INCH))
    assert [each / INCH for each in left.bounds] == pytest.approx([0.625, 0.625, 9.375, 18])


def test_a_round_hole_is_never_drawn_too_small():
    """The polygon holds the circle, and is larger by less than 1 %."""
    hole = outline_of(round_hole((50, 50), 20).points)
    assert 314.159 <= hole.area <= 314.159 * 1.01


def test_sideways_changes_x_and_y():
    """A piece turned for the strips across."""
    assert sideways(box(1, 2, 3, 5)).bounds == (2, 1, 5, 3)
