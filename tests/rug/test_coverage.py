"""How much wool an area takes."""

from dataclasses import replace

import pytest

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.rug.coverage import (
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


def test_strip_for_an_area():
    """54 sq in at five times, in strips a quarter of an inch wide, take 90 ft."""
    strip_mm = strip_length_mm(54 * INCH**2, cut_mm=INCH / 4, multiplier=5)
    assert strip_mm == pytest.approx(90 * 12 * INCH)


def test_rows_apart_take_less():
    """The multiplier goes with the rows to the inch."""
    near = loop_multiplier(loops_per_inch=8, loop_mm=6.35, cut_mm=6.35)
    apart = loop_multiplier(loops_per_inch=8, loop_mm=6.35, cut_mm=6.35, rows_per_inch=2)
    assert apart == pytest.approx(near / 2)
