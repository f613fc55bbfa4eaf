"""Counts of strips against published and derived figures."""

import pytest

from plaidcut.cutting.cuts import cut_table
from plaidcut.cutting.strips import strip_count
from plaidcut.cutting.yields import WANDER_TORN_MM, State, state_of, yields_of
from plaidcut.stripes.runs import parse_run
from tests.setts import cloth

INCH = 25.4
CUTS = {cut.name: cut for cut in cut_table().cuts}


@pytest.mark.parametrize(("edge_mm", "sure"), [(0.0, 4), (INCH / 32, 3)])
def test_t15_whole_strips_of_an_inch(edge_mm, sure):
    """T15: a 1 in band gives 4 sure #8 strips with a perfect edge, 3 with 1/32 in of error."""
    assert strip_count(CUTS["8"], INCH, 0.0, edge_mm).sure == sure


def test_w20_a_yard_torn_into_pieces():
    """W20: 36 x 57 in torn every 12 and every 3 in is 57 pieces, 12 #8 strips each, 684."""
    pieces = (36 // 12) * (57 // 3)
    strips = strip_count(CUTS["8"], 3 * INCH, 0.0, WANDER_TORN_MM).count
    assert pieces == 57
    assert strips == 12
    assert pieces * strips == 684


def test_o06_a_section_with_two_bold_stripes():
    """O06: four #8 strips wide with two bold stripes: four strips, or two with one whole."""
    measured = cloth("B3.2 Y5 B9 W4 B4.2 K50", edge_std_mm=0.0)
    section = yields_of(measured, [CUTS["8"]], section=parse_run("U1-U5", measured)).section
    assert section is not None
    assert section.width_mm == pytest.approx(4 * CUTS["8"].width_mm)
    assert [(each.strips.count, each.whole) for each in section.cuts] == [(4, 2)]


@pytest.mark.parametrize("thirty_seconds", [1, 2, 3, 4, 5, 6])
def test_kitchen_rule(thirty_seconds):
    """Common practice: a stripe of n 32nds is kept whole from cut n + 2 on, not by n + 1."""
    width_mm = thirty_seconds / 32 * INCH
    states = {
        n: state_of(CUTS[str(n)], width_mm, 0.0, WANDER_TORN_MM)
        for n in range(2, 9)
        if n >= thirty_seconds
    }
    for n, state in states.items():
        assert state is (State.WHOLE if n >= thirty_seconds + 2 else State.TIGHT)
