"""How much wool an area takes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.rug.coverage import (
    hooked_area_mm2,
    loop_multiplier,
    multiplier_of,
    strip_length_mm,
)

TABLE = cut_table()
INCH = 25.4


@pytest.mark.parametrize("name", ["3", "4", "5", "6", "7", "8", "8.5", "9", "10"])
def test_published_figures_are_a_range(name):
    """Low, typical and high of every usual cut, with where they come from."""
    found = multiplier_of(parse_cut(name, TABLE))
    assert found.low <= found.typical <= found.high
    assert found.source
    assert not found.own
    assert [found.of(word) for word in ("low", "typical", "high")] == [
        found.low,
        found.typical,
        found.high,
    ]


def test_her_own_figure_goes_before():
    """A test square of #8 says nothing of #6."""
    own = {"8": 5.1}
    assert multiplier_of(parse_cut("8", TABLE), own).high == 5.1
    assert multiplier_of(parse_cut("6", TABLE), own).high == 6.0


@pytest.mark.parametrize("width_mm", [6.0, 6.35, 6.7])
def test_a_worn_cutter_s_number_is_still_that_number(width_mm):
    """A #8 that cuts 6.0 or 6.7 mm is what the figures for #8 are of."""
    worn = replace(parse_cut("8", TABLE), width_mm=width_mm)
    assert multiplier_of(worn) == multiplier_of(parse_cut("8", TABLE))


def test_cuts_that_no_page_lists_go_by_the_loops():
    """Torn strips of 3/4 in, loops as high as they are wide: 1 + 2 · 8 · 3/4 = 13."""
    torn = multiplier_of(parse_cut("3/4 in", TABLE))
    assert torn.typical == pytest.approx(13)
    assert torn.low < 13 < torn.high


@given(st.floats(100, 1e6), st.floats(2, 13), st.floats(2, 9))
def test_length_and_area_go_both_ways(area_mm2, cut_mm, multiplier):
    """Strip for an area hooks that area."""
    length_mm = strip_length_mm(area_mm2, cut_mm=cut_mm, multiplier=multiplier)
    assert hooked_area_mm2(length_mm, cut_mm=cut_mm, multiplier=multiplier) == pytest.approx(
        area_mm2
    )


def test_rows_apart_take_less():
    """The multiplier goes with the rows to the inch."""
    near = loop_multiplier(loops_per_inch=8, loop_mm=6.35, cut_mm=6.35)
    apart = loop_multiplier(loops_per_inch=8, loop_mm=6.35, cut_mm=6.35, rows_per_inch=2)
    assert apart == pytest.approx(near / 2)
