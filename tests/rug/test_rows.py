"""Gaps filled with whole rows, borders and letters."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.errors import NothingFits
from plaidcut.rug.coverage import multiplier_of
from plaidcut.rug.gaps import Gap, WhatToFill, gap_between, rows_of_gap
from plaidcut.rug.rows import (
    RowWidths,
    border_row_lengths,
    fillings,
    lettering,
    narrower,
)
from plaidcut.scale.plane import Lens, Method, Scale

INCH = 25.4
TABLE = cut_table()
AS_CUT = RowWidths(rows_per_inch={})


def cuts(*names):
    """Cuts of the stepped table."""
    return [parse_cut(name, TABLE) for name in names]


def filled(gap_mm, *names):
    """Rows and spare in 32nds of an inch, by cut."""
    single, _ = fillings(gap_mm, cuts(*names), widths=AS_CUT)
    return {
        each.rows[0].cut.name: (each.count, round(each.spare_mm / INCH * 32, 6)) for each in single
    }


def test_a_border_of_four_rows_of_8_takes_six_of_5():
    """O01: 4 rows of #8 fill 1 in; six of #5 leave 1/16 in."""
    assert filled(INCH, "8", "5") == {"8": (4, 0), "5": (6, 2)}


def test_three_rows_of_4_or_two_of_5_fill_a_motif():
    """O02: a gap of 12/32 in."""
    assert filled(12 / 32 * INCH, "4", "5") == {"4": (3, 0), "5": (2, 2)}


def test_a_gap_of_one_row_of_8():
    """O03: a #7 leaves a little room, a #8.5 is too wide."""
    assert filled(8 / 32 * INCH, "7", "8", "8.5") == {"8": (1, 0), "7": (1, 1)}


def test_letters_are_held_by_strips_two_cuts_narrower():
    """O04: #6 for #8, #4 for #6; none below the narrowest."""
    held = {name: narrower(parse_cut(name, TABLE), TABLE.cuts) for name in ("8", "6", "3", "2")}
    assert held["8"].name == "6"
    assert held["6"].name == "4"
    assert held["3"] is None
    assert held["2"] is None


def test_mixtures_of_two_cuts_are_listed():
    """O08: 31/32 in is three rows of #8 and one of #7, where no single cut fills it."""
    single, mixed = fillings(31 / 32 * INCH, cuts("7", "8"), widths=AS_CUT)
    assert min(each.spare_mm for each in single) > 1
    assert [(rows.cut.name, rows.count) for rows in mixed[0].rows] == [("8", 3), ("7", 1)]
    assert mixed[0].spare_mm == pytest.approx(0, abs=1e-6)


@given(st.floats(2.5, 200))
def test_no_filling_is_missed_and_none_is_wrong(gap_mm):
    """Against every number of rows of every two cuts: the least spare of all is found."""
    at_hand = cuts("3", "5", "8", "10")
    single, mixed = fillings(gap_mm, at_hand, widths=AS_CUT)
    for each in (*single, *mixed):
        used_mm = sum(rows.count * rows.cut.width_mm for rows in each.rows)
        assert used_mm + each.spare_mm == pytest.approx(gap_mm, abs=1e-5)
    widths = [cut.width_mm for cut in at_hand]
    counts = [np.arange(int(gap_mm // width + 1e-9) + 1) for width in widths]
    spare = min(
        left
        for k, first in enumerate(widths)
        for j, second in enumerate(widths)
        if k != j
        for left in (gap_mm - counts[k][:, None] * first - counts[j] * second).ravel()
        if left >= -1e-6
    )
    found = min(each.spare_mm for each in (*single, *mixed))
    assert found == pytest.approx(max(spare, 0.0), abs=1e-5)


def test_her_own_rows_to_the_inch_count():
    """Rows that lie farther apart than strips are wide."""
    single, _ = fillings(INCH, cuts("8"), widths=RowWidths(rows_per_inch={"8": 3.5}))
    assert single[0].count == 3
    assert single[0].spare_mm == pytest.approx(INCH * 0.5 / 3.5)


@given(st.floats(100, 2000), st.floats(100, 2000), st.integers(1, 12), st.floats(2, 4))
def test_a_border_s_rows_cover_its_area_once(wide_mm, high_mm, rows, row_mm):
    """Row lengths times the row's width are the area between two rectangles."""
    lengths = border_row_lengths((wide_mm, high_mm), rows, row_mm=row_mm)
    inside = (wide_mm - 2 * rows * row_mm) * (high_mm - 2 * rows * row_mm)
    assert sum(lengths) * row_mm == pytest.approx(wide_mm * high_mm - inside)


def test_a_border_that_meets_itself_is_refused():
    """More rows than there is room for."""
    with pytest.raises(NothingFits, match="nothing inside"):
        border_row_lengths((100, 50), 5, row_mm=6.35)


def test_letters_need_stroke_and_space():
    """#8 fits a stroke of 1/4 in with 3/16 in between not at all; #6 fits both."""
    found = lettering(INCH / 4, 3 / 16 * INCH, cuts("6", "8"), widths=AS_CUT)
    assert [(each.cut.name, each.fits) for each in found] == [("6", True), ("8", False)]


@pytest.mark.parametrize("gap_mm", [1.0, 2000.0])
def test_what_is_no_gap_is_refused(gap_mm):
    """Narrower than any row, or a field."""
    with pytest.raises(NothingFits):
        fillings(gap_mm, TABLE.cuts, widths=AS_CUT)


def test_a_gap_is_measured_on_a_photo():
    """Two points 80 px apart at 8 px/mm are 10 mm; pointing and scale make it unsure."""
    scale = Scale(
        method=Method.CARD,
        size_px=(400, 300),
        plane_to_px=np.diag([8.0, 8.0, 1.0]),
        lens=Lens.of_size(400, 300),
        relative_std=0.01,
    )
    gap = gap_between(((100, 100), (180, 100)), scale)
    assert gap.width_mm == pytest.approx(10)
    assert gap.std_mm == pytest.approx(np.hypot(2**0.5 / 8, 0.1), rel=1e-3)


def test_a_border_says_what_strip_it_takes():
    """W09's figure of her own: area times the multiplier over the strip's width."""
    (eight,) = cuts("8")
    what = WhatToFill(cuts=(eight,), widths=AS_CUT, border_mm=(24 * INCH, 36 * INCH))
    found = rows_of_gap(Gap(width_mm=INCH), what, [multiplier_of(eight, {"8": 5.0625})])
    (border,) = found.borders
    area_in = 24 * 36 - 22 * 34
    assert border.area_mm2 == pytest.approx(area_in * INCH**2)
    # 20.25 in of strip to the square inch
    assert border.strips_mm[1] == pytest.approx(20.25 * area_in * INCH)
