"""The drawing of a plan: strips and blanks where they are, in their colours."""

import numpy as np
import pytest

from plaidcut.cutting.both_ways import WhatToPlan, plan_both_ways
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.pictures.ink import rgb_of_hex
from plaidcut.pictures.plan_picture import CLOTH_PX, LINE_PX, MARGIN_PX, PX_PER_MM, plan_picture
from plaidcut.units import Units
from tests.setts import cloth

TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)


def drawn(measured, **what):
    """The plan of a piece and its picture."""
    plan = plan_both_ways(measured, WhatToPlan(cut=EIGHT, **what))
    return plan, plan_picture(plan, units=Units.IN)


def test_widths_are_to_scale_and_colours_as_strips_read():
    """Half-way down the strips each pixel has the colour of its strip, and blanks are white."""
    measured = cloth("K31 Y3 G17 R2.5", "K30")
    plan, picture = drawn(measured, piece_mm=(130.0, 300.0), at=("U1",))
    way = plan.ways[0]
    rows = np.flatnonzero((picture == rgb_of_hex("#1a1a1c")).all(axis=2).any(axis=1))
    middle = int(rows[0]) + CLOTH_PX + LINE_PX + 120
    for strip in way.strips:
        at = round(MARGIN_PX + PX_PER_MM * (strip.start_mm + strip.end_mm) / 2)
        assert tuple(picture[middle, at]) == rgb_of_hex(strip.reads.hex)
    used = np.zeros(130, bool)
    for strip in way.strips:
        used[int(strip.start_mm) : int(np.ceil(strip.end_mm))] = True
    for at_mm in np.flatnonzero(~used):
        assert tuple(picture[middle, round(MARGIN_PX + PX_PER_MM * (at_mm + 0.5))]) == (255,) * 3


@pytest.mark.parametrize("width_mm", [30.0, 400.0, 1500.0])
def test_a_piece_of_any_width_fits_its_picture(width_mm):
    """Wide pieces go on in rows below; nothing is drawn on the picture's margin."""
    measured = cloth("K31 Y3 G17 R2.5", "B20 W4")
    _, picture = drawn(measured, piece_mm=(width_mm, width_mm), at=("U1", "X1"))
    frame = np.concatenate(
        [picture[:8].reshape(-1, 3), picture[:, :8].reshape(-1, 3), picture[:, -8:].reshape(-1, 3)]
    )
    assert (frame == frame[0]).all()
    assert picture.shape[1] < 2400 or width_mm > 1000


def test_rows_are_about_as_long_as_each_other():
    """400 mm go into two rows of about 200, not into one of 320 and a rest."""
    measured = cloth("K31 Y3 G17 R2.5", "B20 W4")
    _, picture = drawn(measured, piece_mm=(400.0, 100.0), at=("U1", "X1"))
    assert picture.shape[1] < 2 * MARGIN_PX + PX_PER_MM * 210
