"""The best runs of a piece, against every plan on a grid."""

from itertools import permutations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from plaidcut.cutting.aims import ORDER, Aim, parse_order
from plaidcut.cutting.piece import Head, Piece, disjoint, score_of
from plaidcut.cutting.search import best_runs
from plaidcut.errors import UsageError

STEP_MM = 0.1


@st.composite
def windows(draw, width):
    """Where the first, second ... strip of a run may start: each within the one before it."""
    nested = []
    spans = draw(
        st.lists(st.tuples(st.integers(0, width), st.integers(0, 40)), min_size=0, max_size=3)
    )
    shrink = draw(st.integers(1, 8))
    for k in range(draw(st.integers(1, 4))):
        kept = [(low + shrink * k, low + span - shrink * k) for low, span in spans]
        nested.append([(low, high) for low, high in kept if low <= high])
    return nested


@st.composite
def cases(draw):
    """A piece of up to 50 mm and one or two heads, all in tenths of a millimetre."""
    width = draw(st.integers(60, 500))
    heads = [
        (draw(st.integers(18, 90)), draw(windows(width)), draw(windows(width)))
        for _ in range(draw(st.integers(1, 2)))
    ]
    trim = draw(st.integers(10, 70))
    piece = {
        "width": width,
        "trim": trim,
        "tear": draw(st.integers(trim, 140)),
        "true_edge": draw(st.booleans()),
        "rest": draw(st.booleans()),
    }
    return piece, heads, draw(st.sampled_from(list(permutations(Aim))))


def worth(order, whole, one, tears, used):
    """What is reached of each aim but heads, in the order of aims."""
    named = {Aim.WHOLE: whole, Aim.ONE_COLOUR: one, Aim.TEARS: -tears, Aim.WASTE: used}
    return tuple(named.get(aim, 0) for aim in order)


def plus(first, second):
    """Two worths together."""
    return tuple(a + b for a, b in zip(first, second, strict=True))


def runs_on_grid(piece, x, cut, whole, one):
    """Where runs of every length from an edge end, and what they reach; at 0 also none at all."""
    if x == 0:
        yield x, (0, 0, 0, 0)
        if not piece["true_edge"]:
            return
    wholes = ones = used = 0
    for k in range((piece["width"] - x) // cut):
        at = x + k * cut
        is_whole, is_one = (
            k < len(each) and any(a <= at <= b for a, b in each[k]) for each in (whole, one)
        )
        wholes, ones = wholes + is_whole, ones + is_one
        used += cut if piece["rest"] else -cut * (not (is_whole or is_one))
        yield at + cut, (wholes, ones, 0, used)


def best_on_grid(piece, heads, order):
    """The best worth of any plan whose edges lie on tenths of a millimetre.

    From right to left: what can be had from a true edge on, for each set of heads used in all.
    """
    width = piece["width"]

    tear = worth(order, 0, 0, 1, 0)
    found = []
    for chosen in range(1, 2 ** len(heads)):
        # the best from any true edge at or beyond x, its tear counted; and from any torn one
        later, torn = [None] * (width + 2), [None] * (width + 2)
        start = None
        for x in range(width, -1, -1):
            here = None
            for k, (cut, whole, one) in enumerate(heads):
                if not chosen >> k & 1:
                    continue
                for end, gain in runs_on_grid(piece, x, cut, whole, one):
                    after = [
                        each[min(at, width + 1)]
                        for each, at in (
                            (torn, max(end, x + piece["tear"])),
                            (later, end + piece["trim"]),
                        )
                    ]
                    total = worth(order, *gain)
                    ends = [total, *(plus(total, each) for each in after if each)]
                    here = max([*ends, *([here] if here else [])])
            if x == 0:
                start = here
            from_here = here and plus(here, tear)
            later[x] = max((each for each in (later[x + 1], from_here) if each), default=None)
            if x + piece["tear"] <= width:
                torn[x] = max((each for each in (torn[x + 1], from_here) if each), default=None)
        changes = chosen.bit_count() - 1
        at_heads = list(order).index(Aim.HEADS)
        found.append((*start[:at_heads], -changes, *start[at_heads + 1 :]))
    return max(found)


def as_arrays(nested):
    """Windows in millimetres."""
    return tuple(
        disjoint([(low * STEP_MM, high * STEP_MM) for low, high in each]) for each in nested
    )


def solved(piece, heads, order):
    """The piece, the heads and the best runs as the search has them."""
    ground = Piece(
        width_mm=piece["width"] * STEP_MM,
        least_trim_mm=piece["trim"] * STEP_MM,
        least_tear_mm=piece["tear"] * STEP_MM,
        true_edge=piece["true_edge"],
        rest_wanted=piece["rest"],
    )
    known = [
        Head(width_mm=cut * STEP_MM, whole=as_arrays(whole), one_colour=as_arrays(one))
        for cut, whole, one in heads
    ]
    return ground, known, *best_runs(ground, known, order=order)


@settings(max_examples=400, deadline=None)
@given(cases())
@example(
    # each edge exactly a tear's width behind the one before
    (
        {"width": 182, "trim": 10, "tear": 26, "true_edge": False, "rest": False},
        [(18, [[]], [[(104, 104), (116, 156)]])],
        ORDER,
    )
)
def test_no_plan_on_a_grid_of_tenths_is_better_and_the_best_is_found(case):
    """With all lengths in tenths the grid holds the optimum: both agree in every aim."""
    piece, _, order = case
    *_, score = solved(*case)
    expected = dict(zip(order, best_on_grid(*case), strict=True))
    found = dict(zip(order, score.ranked(order), strict=True))
    used_um = found.pop(Aim.WASTE) + piece["rest"] * piece["width"] * 100
    assert used_um == pytest.approx(expected.pop(Aim.WASTE) * 100, abs=3)
    assert found == expected


@settings(max_examples=200, deadline=None)
@given(cases())
def test_runs_lie_apart_as_tools_ask(case):
    """Every run lies on the piece, and every edge can be torn or trimmed."""
    ground, heads, runs, score = solved(*case)
    assert score == score_of(runs, ground, heads)
    if runs and not ground.true_edge:
        assert runs[0].start_mm >= ground.least_trim_mm - 1e-6
    if runs and runs[0].start_mm > 1e-6:
        assert runs[0].start_mm >= min(ground.least_trim_mm, ground.least_tear_mm) - 1e-6
    for run, following in zip(runs, [*runs[1:], None], strict=False):
        end_mm = run.start_mm + run.strips * heads[run.head].width_mm
        assert end_mm <= ground.width_mm + 2e-6
        if following is not None:
            torn = (
                following.start_mm >= max(end_mm, run.start_mm + ground.least_tear_mm) - 2e-6
                and following.start_mm <= ground.last_tear_mm + 2e-6
            )
            assert torn or following.start_mm >= end_mm + ground.least_trim_mm - 2e-6


def test_every_aim_has_its_place():
    """An order that forgets an aim is refused."""
    ground = Piece(width_mm=100, least_trim_mm=6.35, least_tear_mm=12.7)
    with pytest.raises(ValueError, match="every aim"):
        best_runs(ground, [Head(width_mm=6.35)], order=ORDER[:-1])


@pytest.mark.parametrize("text", ["", "whole, whole", "whole; waste", "cheapest"])
def test_an_order_is_made_of_aims_each_named_once(text):
    """Anything else is refused with the word that is wrong."""
    with pytest.raises(UsageError):
        parse_order(text)


def test_a_piece_narrower_than_a_strip_gives_none():
    """Nothing fits, nothing is torn."""
    ground = Piece(width_mm=6, least_trim_mm=6.35, least_tear_mm=12.7)
    runs, score = best_runs(ground, [Head(width_mm=6.35)])
    assert runs == ()
    assert score.waste_mm == 6
