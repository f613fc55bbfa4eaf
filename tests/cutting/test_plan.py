"""The plan of a piece: what its strips hold, against the cloth that they are cut from."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.cutting.both_ways import WhatToPlan, plan_both_ways
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.handling import LEAST_TEAR_MM, LEAST_TRIM_MM, TRUE_OVER_MM, Handling
from plaidcut.cutting.plan import EdgeKind, PieceOfCloth, Planning
from plaidcut.cutting.planner import plan_of
from plaidcut.cutting.strip import Holds
from plaidcut.cutting.wanted import same_colour
from plaidcut.cutting.wishes import Rest, wishes_of
from plaidcut.errors import BadLength, NothingFits, UsageError
from plaidcut.stripes.measurement import Direction
from plaidcut.tasks import measure_by_hand
from tests.setts import cloth, system

INCH = 25.4
WANDER_MM = INCH / 32
TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)
LOOSE_MM = 1e-4

setts = st.lists(
    st.tuples(st.sampled_from("KWRBGY"), st.floats(2, 30)), min_size=2, max_size=7
).map(lambda items: " ".join(f"{letter}{width}" for letter, width in items))


def planned(measured, width_mm, phase_mm=0.0, *, length_mm=300.0, cut=EIGHT, **wishes):
    """A plan for the up strips of a piece."""
    handling = wishes.pop("handling", Handling())
    wished = wishes_of(
        measured,
        Direction.UP,
        cut=cut,
        table=TABLE,
        wander_mm=handling.wander_over(length_mm),
        **wishes,
    )
    piece = PieceOfCloth(width_mm=width_mm, length_mm=length_mm, phase_mm=phase_mm)
    return plan_of(measured, wished, piece, Direction.UP, Planning(handling=handling))


@settings(max_examples=60, deadline=None)
@given(setts, st.floats(30, 250), st.floats(0, 200), st.sampled_from(["3", "5", "8", "10"]))
def test_what_a_plan_says_is_so(sett, width_mm, phase_mm, cut):
    """Strips lie apart on the piece, each holds what it is said to, and the counts are theirs."""
    measured = cloth(sett, "K30")
    way = planned(measured, width_mm, phase_mm, cut=parse_cut(cut, TABLE))
    edges = [(strip.start_mm, strip.end_mm) for strip in way.strips]
    assert edges[0][0] >= -LOOSE_MM
    assert edges[-1][1] <= width_mm + LOOSE_MM
    assert all(after[0] >= before[1] - LOOSE_MM for before, after in pairwise(edges))
    for strip in way.strips:
        under = way.stretch.under(strip.start_mm, strip.end_mm)
        assert sum(width for _, width in under) == pytest.approx(strip.cut.width_mm, abs=LOOSE_MM)
        if strip.holds is Holds.WHOLE:
            ids = [band.id for band, _ in under]
            assert set(strip.bands) <= set(ids)
            stripe_mm = sum(measured.up.band(each).width_mm for each in strip.bands)
            assert sum(w for band, w in under if band.id in strip.bands) >= stripe_mm - 3e-3
            assert strip.margin_mm >= -2e-3
        elif strip.holds in (Holds.ONE_COLOUR, Holds.PLAIN):
            assert len(under) == 1
    held = [strip.holds for strip in way.strips]
    assert held.count(Holds.WHOLE) == way.score.whole
    assert held.count(Holds.ONE_COLOUR) == way.score.one_colour
    assert {strip.pile for strip in way.strips} == {pile.letter for pile in way.piles}
    assert sum(pile.count for pile in way.piles) == len(way.strips)
    assert way.compared.by_hand.whole >= way.score.whole


@settings(max_examples=40, deadline=None)
@given(setts, st.floats(60, 250), st.floats(0, 200))
def test_edges_can_be_made(sett, width_mm, phase_mm):
    """A tear has cloth enough on both sides, a trim takes nothing or enough, a pass is a head's."""
    way = planned(cloth(sett, "K30"), width_mm, phase_mm)
    for before, run in zip([None, *way.runs], way.runs, strict=False):
        at_mm = run.place.at_mm
        if run.edge is EdgeKind.AS_IT_IS:
            assert before is None
            assert at_mm == pytest.approx(0, abs=LOOSE_MM)
        elif run.edge is EdgeKind.TORN:
            since_mm = before.place.at_mm if before else 0.0
            assert at_mm - since_mm >= LEAST_TEAR_MM - LOOSE_MM
            assert at_mm <= width_mm - LEAST_TEAR_MM + LOOSE_MM
        else:
            assert run.blank_mm >= LEAST_TRIM_MM - LOOSE_MM
        assert all(0 < len(strips) <= 3 for strips in run.passes)
        assert all(len(strips) == 3 for strips in run.passes[:-1])


def test_a_strip_along_a_torn_stripe_is_worked_out_by_hand():
    """Hand calculation: a 3/32 in stripe each 2 in is set between 1/32 and 1/8 in from a tear.

    A #8 strip, 8/32 in wide, leaves 5/32 in beside a stripe of 3/32 in. With 1/32 in to stray on
    either side its edge may lie from 4/32 in to 1/32 in before the stripe; the middle is 2.5/32.
    """
    measured = cloth(system(f"K{2 * INCH - 3 * WANDER_MM} Y{3 * WANDER_MM}", edge_std_mm=0.0))
    way = planned(measured, 4.5 * INCH, 0.0, keep=["U2"])
    assert way.score.whole == 2
    for strip in way.strips:
        if strip.holds is Holds.WHOLE:
            assert WANDER_MM - LOOSE_MM <= strip.margin_mm <= 2.5 * WANDER_MM + LOOSE_MM
            assert strip.share == pytest.approx(3 / 8)


def test_the_example_of_the_explanation_is_so():
    """The plan in docs/explanation/plans.md: two tears, 5 + 8 + 4 strips, two of them whole."""
    measured = measure_by_hand("black 1 7/8 in, yellow 1/8 in")
    what = WhatToPlan(cut=EIGHT, piece_mm=(4.5 * INCH, 16 * INCH), at=("U1",))
    way = plan_both_ways(measured, replace(what, planning=Planning(step_mm=WANDER_MM))).ways[0]
    assert [run.place.at_mm / INCH for run in way.runs] == pytest.approx(
        [0, 1 + 5 / 16, 3 + 5 / 16]
    )
    assert [len(run.strips) for run in way.runs] == [5, 8, 4]
    held = [k for k, strip in enumerate(way.strips) if strip.holds is Holds.WHOLE]
    assert [way.strips[k].margin_mm / INCH for k in held] == pytest.approx([1 / 16, 1 / 16])
    assert way.compared.unaligned.whole == pytest.approx(0.8, abs=0.01)


def test_a_piece_of_plain_cloth_is_cut_edge_to_edge():
    """W20: a piece 3 in wide gives 12 strips of #8, in four passes of three (A06)."""
    way = planned(cloth("K30"), 3 * INCH)
    assert [len(strips) for strips in way.runs[0].passes] == [3, 3, 3, 3]
    assert {strip.holds for strip in way.strips} == {Holds.PLAIN}
    assert all(strip.margin_mm is None for strip in way.strips)
    assert way.score.tears == 0
    assert way.over_places is None


@pytest.mark.parametrize(("wander_mm", "strips"), [(0.0, 4), (WANDER_MM, 3)])
def test_an_inch_of_red_gives_as_many_strips_as_can_be_counted_on(wander_mm, strips):
    """T15: four #8 strips of a 1 in band with a perfect edge, three with 1/32 in of error."""
    measured = cloth(system(f"R{INCH} K{INCH}", edge_std_mm=0.0))
    handling = Handling(wander_mm=wander_mm)
    # from the middle of a black band on, so that the red one has both its edges on the piece
    way = planned(measured, 2 * INCH, 1.5 * INCH, only=["U1"], handling=handling)
    assert way.score.one_colour == strips


def test_nothing_lined_up_gives_what_it_does_on_the_average():
    """The expected count is the mean over first edges, counted strip by strip."""
    measured = cloth(system("K31 Y3 G17 R2.5", edge_std_mm=0.0))
    way = planned(measured, 190.0, 12.0, keep=["U2", "U4"])
    spans = [
        (each.start_mm, each.end_mm)
        for each in way.stretch.bands
        if each.band.id in ("U2", "U4") and each.start_mm >= 0 and each.end_mm <= 190.0
    ]
    counts = []
    for first_mm in np.arange(0, EIGHT.width_mm, 0.01):
        starts = np.arange(first_mm, 190.0 - EIGHT.width_mm, EIGHT.width_mm)
        counts.append(
            sum(
                any(start <= low and high <= start + EIGHT.width_mm for low, high in spans)
                for start in starts
            )
        )
    assert way.compared.unaligned.whole == pytest.approx(np.mean(counts), rel=0.01)


def test_without_a_place_the_best_is_shown():
    """Least, mean and best over all places; the plan begins at the best."""
    measured = cloth("K31 Y3 G17 R2.5", "K30")
    way = planned(measured, 60.0, None)
    over = way.over_places
    assert over.least.whole <= over.mean.whole <= over.best.whole == way.score.whole
    assert not way.known_place
    again = planned(measured, 60.0, way.phase_mm)
    assert again.score == way.score
    elsewhere = [planned(measured, 60.0, phase_mm).score.whole for phase_mm in range(0, 53, 4)]
    assert max(elsewhere) <= over.best.whole


def test_strips_of_a_band_may_come_from_another_of_its_colour():
    """All strips of a wanted colour go on one pile."""
    measured = cloth("R20 K9 R30 W4", "K30")
    way = planned(measured, 63.0, 0.0, only=["U1"])
    piles = [pile for pile in way.piles if pile.holds is Holds.ONE_COLOUR]
    assert [pile.bands for pile in piles] == [("U1",)]
    from_bands = {strip.bands for strip in way.strips if strip.holds is Holds.ONE_COLOUR}
    assert from_bands == {("U1",), ("U3",)}
    assert len(same_colour(way.stretch, measured.up.band("U1"))) == 2


def test_mixed_strips_are_piled_by_value():
    """Light, medium and dark mixed strips lie apart, light ones first."""
    way = planned(cloth("W5 N5 K5 W2 K3 N4 W7 Y3", "K30"), 200.0, 0.0, keep=["U8"])
    mixed = [pile.reads.value for pile in way.piles if pile.holds is Holds.MIXED]
    assert len(mixed) > 1
    assert mixed == sorted(mixed, key=["light", "medium", "dark"].index)


def test_a_mixed_strip_reads_as_its_light_mixes():
    """Half black, half white reflects the mean of both (L* by the CIE's formula, from memory)."""
    measured = cloth("K10 W10", "K30")
    (strip,) = planned(measured, 20.0, 0.0, cut=parse_cut("20 mm", TABLE)).strips
    light = np.mean([((band.reads.lab[0] + 16) / 116) ** 3 for band in measured.up.bands])
    assert strip.reads.lab[0] == pytest.approx(116 * light ** (1 / 3) - 16, abs=0.1)


def test_what_is_not_wanted_can_be_left():
    """With the rest left, no strip is cut but those next to a wanted one."""
    measured = cloth("K60 Y3", "K30")
    mixed = planned(measured, 250.0, 0.0, keep=["U2"])
    left = planned(measured, 250.0, 0.0, keep=["U2"], rest=Rest.LEFT)
    assert left.score.whole == mixed.score.whole == 3
    assert len(left.strips) < len(mixed.strips)


@pytest.mark.parametrize(
    ("length_mm", "by_eye", "expected"),
    [(0, False, 1), (TRUE_OVER_MM, False, 1), (2 * TRUE_OVER_MM, False, 2), (100, True, 2)],
)
def test_longer_pieces_and_feeding_by_eye_stray_farther(length_mm, by_eye, expected):
    """1/32 in to 16 in long off a torn edge, twice that by eye, more on longer pieces."""
    assert Handling(by_eye=by_eye).wander_over(length_mm) == pytest.approx(expected * WANDER_MM)


@pytest.mark.parametrize(
    ("width_mm", "message"), [(5.0, "narrower than a #8 strip"), (5000.0, "too wide")]
)
def test_a_piece_that_can_not_be_planned_is_refused(width_mm, message):
    """Narrower than a strip, or wider than anybody handles."""
    with pytest.raises(NothingFits, match=message):
        planned(cloth("K31 Y3", "K30"), width_mm)


def test_without_a_repeat_a_piece_lies_in_what_was_seen():
    """Nobody knows what comes after the last band; a piece inside can be planned."""
    measured = cloth("K31 Y3 G17 R2.5 B40", "K30", repeats=False)
    assert planned(measured, 60.0, None).score.whole >= 1
    with pytest.raises(NothingFits, match="no repeat"):
        planned(measured, 100.0, None)


def test_both_directions_are_planned():
    """A piece is turned for the strips across: its height is what they are cut from."""
    measured = cloth("K31 Y3", "B20 W2.5")
    plan = plan_both_ways(measured, WhatToPlan(cut=EIGHT, piece_mm=(100.0, 80.0), at=("U1", "X2")))
    up, across = plan.ways
    assert (up.width_mm, up.length_mm, up.phase_mm) == (100.0, 80.0, 0.0)
    assert (across.width_mm, across.length_mm, across.phase_mm) == (80.0, 100.0, 20.0)


def test_a_direction_without_a_plan_says_why():
    """One direction can't be planned, the other can; a wish for it is refused outright."""
    measured = cloth("K31 Y3", "B20 W2.5 B20", repeats=False)
    what = WhatToPlan(cut=EIGHT, piece_mm=(33.0, 400.0))
    plan = plan_both_ways(measured, what)
    assert [way.direction for way in plan.ways] == [Direction.UP]
    assert [each.direction for each in plan.not_planned] == [Direction.ACROSS]
    with pytest.raises(NothingFits, match="no repeat"):
        plan_both_ways(measured, WhatToPlan(cut=EIGHT, piece_mm=(33.0, 400.0), keep=("X2",)))


@pytest.mark.parametrize(
    ("at", "error"),
    [
        (("U9",), UsageError),
        (("U1", "U2"), UsageError),
        (("U2 + 40 mm",), UsageError),
        (("U2 + 3",), BadLength),
        (("photo",), UsageError),
    ],
)
def test_places_that_can_not_be_are_refused(at, error):
    """A band there isn't, two for one edge, beyond a band, without a unit, without a photo."""
    with pytest.raises(error):
        plan_both_ways(measure_by_hand("red 1/2 in, black 1 in"), WhatToPlan(cut=EIGHT, at=at))


@pytest.mark.parametrize(
    ("warp", "skew_deg", "cut", "codes"),
    [
        (None, 0.0, "8", {"warp-unknown"}),
        (Direction.UP, 0.5, "8", {"weaker-way"}),
        (Direction.UP, -4.0, "4", {"weaker-way", "drift", "narrow-for-texture"}),
    ],
)
def test_cautions_for_choosing_a_direction(warp, skew_deg, cut, codes):
    """The warp, cloth out of square and narrow cuts are spoken of where they matter."""
    measured = cloth("K31 Y3", "K30")
    measured = replace(measured, warp=warp, cloth=replace(measured.cloth, skew_deg=skew_deg))
    plan = plan_both_ways(measured, WhatToPlan(cut=parse_cut(cut, TABLE)))
    assert {caution.code for caution in plan.cautions} == codes
