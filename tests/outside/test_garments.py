"""Garments and shrinkage against published figures and arithmetic (facts sections 13.2, 13.3)."""

import pytest

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.garment import Garment, WhatToCut
from plaidcut.cutting.garment_file import parse_piece
from plaidcut.cutting.garment_strips import strips_of_garment
from plaidcut.cutting.shapes import Shrinkage, shrunk_piece
from plaidcut.cutting.yardage import (
    OUNCE_G,
    SQUARE_INCH_MM2,
    weight_of_area,
    yards_of_area,
    yards_of_weight,
)
from plaidcut.stripes.measurement import Direction
from plaidcut.units import MM_PER_INCH, Units, on_ruler, parse_length
from tests.setts import cloth

EIGHT = parse_cut("8", cut_table())


def square_inches(text):
    """Area of a piece that was typed."""
    return parse_piece(text).cloth.area / SQUARE_INCH_MM2


def test_a_washed_yard():
    """S01, S02: 36 x 62 in washed to 31 x 57 in; 13.9 % lengthwise, 8.1 % crosswise."""
    by = Shrinkage(lengthwise=5 / 36, crosswise=5 / 62)
    after = shrunk_piece(parse_piece("62 x 36 in"), by, Direction.UP)
    size_in = [each / MM_PER_INCH for each in after.cloth.bounds[2:]]
    assert size_in == pytest.approx([57, 31])
    assert after.cloth.area / SQUARE_INCH_MM2 == pytest.approx(1767)
    assert 100 * by.of_area == pytest.approx(20.8, abs=0.1)
    assert 100 * by.lengthwise == pytest.approx(13.9, abs=0.1)
    assert 100 * by.crosswise == pytest.approx(8.1, abs=0.1)


@pytest.mark.parametrize(
    ("size", "lost", "percent"),
    [("62 x 36 in", 527, 23.6), ("62 x 36 in", 558, 25.0), ("58 x 36 in", 498, 23.9)],
)
def test_area_lost_by_felting(size, lost, percent):
    """S03, S04, S05: what remains of a cloth that loses that share of its area."""
    before = square_inches(size)
    by = Shrinkage(lengthwise=lost / before, crosswise=0.0)
    after = shrunk_piece(parse_piece(size), by, Direction.UP).cloth.area / SQUARE_INCH_MM2
    assert before - after == pytest.approx(lost)
    assert 100 * by.of_area == pytest.approx(percent, abs=0.1)


def test_area_shrinks_by_both_directions():
    """S08: 1 - (1 - a)(1 - b); 13.89 % and 8.06 % give 20.83 %."""
    by = Shrinkage(lengthwise=0.1389, crosswise=0.0806)
    assert 100 * by.of_area == pytest.approx(20.83, abs=0.01)


def test_a_kilt_in_yards():
    """S06: 288 x 26 in are 7488 sq in, 3.467 yd of 60 in cloth; the starting kilt is that."""
    assert square_inches("kilt") == pytest.approx(7488)
    kilt = parse_piece("288 x 26 in")
    yards = yards_of_area(kilt.cloth.area, cloth_width_mm=60 * MM_PER_INCH)
    assert yards == pytest.approx(3.467, abs=1e-3)


def test_weight_and_area_go_both_ways():
    """S07: what weighs 5 oz of a 14 or 16 oz yard is what that area weighs."""
    area_mm2 = 5 / 16 * 32 * 52 * SQUARE_INCH_MM2
    low_g, high_g = weight_of_area(area_mm2)
    assert high_g == pytest.approx(5 * OUNCE_G)
    assert yards_of_weight(high_g, yard_g=16 * OUNCE_G) == pytest.approx(5 / 16)
    assert low_g == pytest.approx(0.75 * high_g)


def test_skirts_in_yards_by_weight():
    """S07: a skirt of 5 oz is 0.313 to 0.357 yd of a cloth of 16 to 14 oz; three are about one."""
    for yard_oz, one, three in ((16, 0.313, 0.94), (14, 0.357, 1.07)):
        yards = yards_of_weight(5 * OUNCE_G, yard_g=yard_oz * OUNCE_G)
        assert yards == pytest.approx(one, abs=1e-3)
        assert 3 * yards == pytest.approx(three, abs=5e-3)


@pytest.mark.parametrize(
    ("size", "area"), [("15 x 28 in", 420), ("16 x 26 in", 416), ("17 x 23 in", 391)]
)
def test_fat_quarters(size, area):
    """W19: fat quarters have 420, 416 and 391 sq in."""
    assert square_inches(size) == pytest.approx(area)


def test_a_yard_torn_into_pieces():
    """W20: 57 pieces of 3 x 12 in give twelve #8 strips each, 684 in all, each 12 in long."""
    garment = Garment(name="a yard", pieces=(parse_piece("57 of 3 x 12 in"),))
    up = strips_of_garment(cloth("K30", "K30"), garment, WhatToCut(cuts=(EIGHT,))).ways[0]
    assert up.strips.mean == 684
    assert up.length_mm.mean == pytest.approx(684 * 12 * MM_PER_INCH)


def test_half_a_yard_folded_in_eighths():
    """W21: half of 57 in in eight is 3.56 in (printed about 3 1/2), 3 9/16 in on a ruler."""
    wide_mm = parse_length("57 in") / 2 / 8
    assert wide_mm / MM_PER_INCH == pytest.approx(3.5, abs=0.1)
    assert on_ruler(wide_mm, Units.IN) == "3 9/16 in"
