"""What is wanted of a piece, where it lies, and where strips hold it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.piece import Head, Piece, disjoint, score_of
from plaidcut.cutting.search import best_runs
from plaidcut.cutting.settle import is_torn, settled
from plaidcut.cutting.stretch import parse_place, runs_on, stretch_of
from plaidcut.cutting.wanted import heads_of
from plaidcut.cutting.wishes import Rest, bands_of, wishes_of
from plaidcut.errors import NothingFits, UsageError
from plaidcut.stripes.measurement import Direction
from plaidcut.tasks import measure_by_hand

TABLE = cut_table()
WANDER_MM = 25.4 / 32
EIGHT = parse_cut("8", TABLE)


def exact(text):
    """A cloth of widths that are known without any error."""
    cloth = measure_by_hand(text)
    bands = tuple(replace(band, width_std_mm=0.0, width_edge_std_mm=0.0) for band in cloth.up.bands)
    return replace(cloth, up=replace(cloth.up, bands=bands))


CLOTH = exact("red 1 in, yellow 1/8 in, navy 1 1/2 in, white 1/8 in")


def wished(cloth=CLOTH, wander_mm=WANDER_MM, **wishes):
    """Wishes for the up threads, cut in #8."""
    return wishes_of(cloth, Direction.UP, cut=EIGHT, table=TABLE, wander_mm=wander_mm, **wishes)


def heads(stretch, wishes, *, cloth=CLOTH, wander_mm=WANDER_MM):
    """The heads of a plan for the up threads."""
    return heads_of(stretch, cloth.up, wishes, wander_mm=wander_mm)


def test_a_stripe_and_its_cut_are_read():
    """A wish names bands and, if she likes, a cut; bands of the other direction are left out."""
    wishes = wished(keep=["U2 #6", "u4"], only=["U1 in 5"], rest=Rest.LEFT)
    assert [(each.bands, each.cut.name) for each in wishes.keep] == [(("U2",), "6"), (("U4",), "8")]
    assert [(each.band, each.cut.name) for each in wishes.only] == [("U1", "5")]
    assert [cut.name for cut in wishes.cuts] == ["5", "6", "8"]


@pytest.mark.parametrize(
    ("wish", "error"),
    [
        ({"keep": ["yellow"]}, UsageError),
        ({"keep": ["U2 99"]}, UsageError),
        ({"only": ["U1-U2"]}, UsageError),
        ({"keep": ["U1"]}, NothingFits),
        ({"only": ["U2"]}, NothingFits),
    ],
)
def test_wishes_that_no_plan_can_meet_are_refused(wish, error):
    """A stripe wider than its cut is split in every plan; a thin band has room for no strip."""
    with pytest.raises(error):
        wished(**wish)


def test_bands_lie_on_a_piece_from_where_the_repeat_stands():
    """Two repeats of 2 3/4 in from 1/2 in into red: 1/2 in of red comes first."""
    phase_mm = parse_place("U1 + 1/2 in", CLOTH.up)
    stretch = stretch_of(CLOTH.up, 5.5 * 25.4, phase_mm=phase_mm)
    assert [each.band.id for each in stretch.bands] == [*2 * ["U1", "U2", "U3", "U4"], "U1"]
    assert stretch.edges_mm()[0] == pytest.approx(12.7)
    yellow = runs_on(stretch, bands_of(["U2"], CLOTH.up))
    assert yellow[0] == pytest.approx((12.7, 12.7 + 3.175))
    assert stretch.band_at(0).band.id == "U1"
    held = [(band.id, width_mm) for band, width_mm in stretch.under(11.7, 17.7)]
    assert held == [
        ("U1", pytest.approx(1)),
        ("U2", pytest.approx(3.175)),
        ("U3", pytest.approx(1.825)),
    ]


@pytest.mark.parametrize("place", ["U9", "X1", "yellow", "U2 + 1 in"])
def test_places_that_are_not_in_the_cloth_are_refused(place):
    """A place names a band of this direction, and lies in it."""
    with pytest.raises(UsageError):
        parse_place(place, CLOTH.up)


def test_a_stripe_lies_in_its_strip_with_the_margin_that_each_pass_adds():
    """A 1/8 in stripe in #8 has 1/16 in to spare on each side: whole in the first two passes.

    By hand: a pass is 3 strips (A06), each pass needs 1/32 in more.
    """
    stretch = stretch_of(CLOTH.up, 2.75 * 25.4)
    whole = heads(stretch, wished(keep=["U2"]))[0].whole
    assert len(whole) == 6
    start_mm = 25.4 + 3.175 + WANDER_MM - EIGHT.width_mm
    assert whole[0][0] == pytest.approx((start_mm, 25.4 - WANDER_MM))
    assert whole[3][0] == pytest.approx((start_mm + WANDER_MM, 25.4 - 2 * WANDER_MM))


@pytest.mark.parametrize(("wander_mm", "strips"), [(0.0, 4), (WANDER_MM, 3)])
def test_an_inch_gives_as_many_strips_of_one_colour_as_can_be_counted_on(wander_mm, strips):
    """T15: four #8 strips of a 1 in band with a perfect edge, three with 1/32 in of error."""
    cloth = exact("red 1 in, navy 1/4 in, yellow 1/4 in, navy 1/4 in")
    stretch = stretch_of(cloth.up, 4 * 25.4, phase_mm=cloth.up.bands[2].start_mm)
    wishes = wished(cloth, wander_mm, only=["U1"])
    known = heads(stretch, wishes, cloth=cloth, wander_mm=wander_mm)
    piece = Piece(width_mm=stretch.width_mm, least_trim_mm=6.35, least_tear_mm=12.7)
    _, score = best_runs(piece, known)
    reds = len(runs_on(stretch, cloth.up.bands[:1]))
    assert reds == 2
    assert score.one_colour == reds * strips


@given(st.floats(60, 400), st.floats(0, 69), st.sampled_from([25.4 / 32, 0.5]), st.booleans())
def test_settling_keeps_what_a_plan_is_worth(width_mm, phase_mm, step_mm, true_edge):
    """Edges move to places that are easy to find; no strip holds less, and tears stay tears."""
    stretch = stretch_of(CLOTH.up, width_mm, phase_mm=phase_mm)
    known = heads(stretch, wished(keep=["U2", "U4 6"], only=["U1", "U3 5"]))
    piece = Piece(width_mm=width_mm, least_trim_mm=6.35, least_tear_mm=12.7, true_edge=true_edge)
    runs, score = best_runs(piece, known)
    moved = settled(runs, piece, known, seen_mm=stretch.edges_mm(), step_mm=step_mm)
    after = score_of(moved, piece, known)
    assert (after.whole, after.one_colour, after.heads, after.tears) == (
        score.whole,
        score.one_colour,
        score.heads,
        score.tears,
    )
    assert after.waste_mm == pytest.approx(score.waste_mm, abs=1e-4)
    for run, before in zip(moved[1:], moved, strict=False):
        end_mm = before.start_mm + before.strips * known[before.head].width_mm
        torn = is_torn(run, before, piece, known)
        assert torn or run.start_mm >= end_mm + piece.least_trim_mm - 1e-5


def test_an_edge_is_set_where_a_band_edge_can_be_seen():
    """An edge is set on a band edge, but not at the end of its span, where no margin is left."""
    head = Head(width_mm=10.0, one_colour=(disjoint([(30.0, 36.0)]),))
    piece = Piece(width_mm=100, least_trim_mm=6.35, least_tear_mm=12.7, rest_wanted=False)
    runs, _ = best_runs(piece, [head])
    assert [run.start_mm for run in runs] == [30.0]
    places = (([34.0, 60.0], 34.0), ([35.5], 33.5), ([29.0], 33.0), ([], 33.0))
    for seen_mm, expected in places:
        (moved,) = settled(runs, piece, [head], seen_mm=seen_mm, step_mm=1.0)
        assert moved.start_mm == pytest.approx(expected, abs=1e-5)
