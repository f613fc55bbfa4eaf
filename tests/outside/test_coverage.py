"""Use of wool against published figures and measured samples (facts sections 2, 3, 13.2)."""

import pytest

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.rug.coverage import loop_multiplier, multiplier_from_strips, multiplier_of
from plaidcut.units import MM_PER_INCH

TABLE = cut_table()
SQUARE_INCH = MM_PER_INCH**2


def test_81_inches_of_8_fill_four_square_inches():
    """W09: 20.25 in to the square inch, 5.06 times; the loop model within 10 %."""
    found = multiplier_from_strips(
        81 * MM_PER_INCH, cut_mm=0.25 * MM_PER_INCH, hooked_mm2=4 * SQUARE_INCH
    )
    assert found == pytest.approx(81 / 4 * 0.25)
    model = loop_multiplier(loops_per_inch=8, loop_mm=0.25 * MM_PER_INCH, cut_mm=0.25 * MM_PER_INCH)
    assert model == pytest.approx(found, rel=0.10)


@pytest.mark.parametrize(
    ("strips", "expected", "loops"), [(11, 3.67, 8), (16, 5.33, 12)], ids=["normal", "packed"]
)
def test_a_square_of_6(strips, expected, loops):
    """W11, W12: 11 and 16 strips of 16 in in 3 x 3 in; the loop model within 10 %."""
    cut_mm = 6 / 32 * MM_PER_INCH
    found = multiplier_from_strips(
        strips * 16 * MM_PER_INCH, cut_mm=cut_mm, hooked_mm2=9 * SQUARE_INCH
    )
    assert found == pytest.approx(expected, abs=0.1)
    model = loop_multiplier(loops_per_inch=loops, loop_mm=cut_mm, cut_mm=cut_mm)
    assert model == pytest.approx(found, rel=0.10)


@pytest.mark.parametrize(
    ("cut", "figures"),
    [
        ("3", [4.0, 4.0]),  # W03, W17
        ("4", [5.0, 4.0]),  # W05, W01
        ("5", [5.0, 5.0]),  # W02, W08
        ("6", [6.0, 3.67, 5.33]),  # W04, W11, W12
        ("8", [5.06, 8.0, 6.0]),  # W09, W17, W18
    ],
)
def test_the_range_holds_what_pages_say(cut, figures):
    """Every published or measured figure lies in the range that is told (rounded to tenths)."""
    found = multiplier_of(parse_cut(cut, TABLE))
    assert all(found.low - 0.05 <= figure <= found.high + 0.05 for figure in figures)


def test_pieces_over_a_square():
    """W03, W04: 3 x 12 in over 9 sq in is 4 times, 3 x 18 in 6 times."""
    for long_in, expected in ((12, 4.0), (18, 6.0)):
        cut_mm = 0.1 * MM_PER_INCH
        strips_mm = 3 * MM_PER_INCH / cut_mm * long_in * MM_PER_INCH
        found = multiplier_from_strips(strips_mm, cut_mm=cut_mm, hooked_mm2=9 * SQUARE_INCH)
        assert found == pytest.approx(expected)
