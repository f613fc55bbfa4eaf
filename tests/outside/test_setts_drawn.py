"""Published thread counts drawn to scale and measured back (facts section 13.4)."""

import re

import numpy as np
import pytest

from fixtures.render.scene import Weave
from plaidcut.stripes.bands import edge_shifts, repeat_sequence
from plaidcut.stripes.measure import repeat_signal
from plaidcut.stripes.repeat import find_repeat
from plaidcut.stripes.segment import cut_into_bands
from plaidcut.stripes.sett import unfold
from tests.stripes.signals import bands, profile
from tests.wool_photos import measured

IN = 25.4
"""Millimetres in an inch, exact."""


def whole(half):
    """A sett from pivot to pivot as one whole repeat, in words again."""
    items = [(word[0], int(word[1:])) for word in half.split()]
    return " ".join(f"{letter}{count}" for letter, count in unfold(items))


def read_back(text, pitch_mm, *, repeats=3.3, noise=0.03):
    """A sett's threads as a noisy profile of some repeats, and what is measured of it."""
    length = bands(text, pitch_mm)[1].sum()
    seen = profile(text, repeats * length, pitch_mm=pitch_mm, noise=noise, start_mm=2.0, seed=7)
    folded = find_repeat(seen)
    assert folded is not None, "no repeat was found"
    cuts = cut_into_bands(repeat_signal(folded), narrowest_mm=1.0)
    return repeat_sequence(cuts, folded, edge_shifts(seen, folded, cuts.edges_mm))


def in_order(widths_mm, text, pitch_mm):
    """The sett's true widths, begun at the band and read the way that fits what was found."""
    true = bands(text, pitch_mm)[1]
    assert len(widths_mm) == len(true)
    turns = [np.roll(order, k) for order in (true, true[::-1]) for k in range(len(true))]
    return min(turns, key=lambda order: np.abs(widths_mm - order).max())


SETTS = {
    "T01": (whole("B4 R56 G28 B28 R4"), 232, True),
    "T02": (whole("K12 R4 K56 B56 R4 K4 R4 K4 R8"), 284, True),
    "T03": (whole("K4 R24 K24 Y4"), 104, True),
    "T05": ("K4 R24 K24 Y4", 56, False),
    "T06": ("R2 B6 T8 B32 T8 B6", 62, True),
    "T07": (whole("W4 G8 R12"), 32, True),
}
"""Whole repeats in threads; T07's ratios doubled, its white line being under 1 mm otherwise."""


@pytest.mark.parametrize("fact", SETTS)
def test_a_published_sett_is_measured_back(fact):
    """T01 to T07: order, proportions to 0.15 mm, whole repeat to 0.3 %, and whether it mirrors."""
    text, total, mirrored = SETTS[fact]
    pitch_mm = 0.7
    sequence = read_back(text, pitch_mm)
    np.testing.assert_allclose(
        sequence.widths_mm, in_order(sequence.widths_mm, text, pitch_mm), atol=0.15
    )
    assert sequence.widths_mm.sum() == pytest.approx(total * pitch_mm, rel=0.003)
    assert sequence.mirrored == mirrored


def test_half_counts_at_the_pivots_are_the_same_cloth():
    """T04: pivots given as half counts and doubled measure as T03 does."""
    (first, few), *middle, (last, count) = re.findall(r"([A-Z])(\d+)", "K2 R24 K24 Y2")
    doubled = [(first, 2 * int(few)), *((c, int(n)) for c, n in middle), (last, 2 * int(count))]
    text = whole(" ".join(f"{letter}{n}" for letter, n in doubled))
    one, other = read_back(text, 0.7), read_back(SETTS["T03"][0], 0.7)
    np.testing.assert_allclose(one.widths_mm, other.widths_mm, atol=1e-9)


def test_a_sett_of_known_threads_per_inch_has_its_published_size():
    """T09: T01 at 36 threads an inch repeats every 6.44 in, its red band is 1.556 in wide."""
    sequence = read_back(SETTS["T01"][0], IN / 36, repeats=2.2)
    assert sequence.widths_mm.sum() == pytest.approx(6.44 * IN, abs=0.01 * IN)
    red = sorted(sequence.widths_mm)[-2:]
    np.testing.assert_allclose(red, 1.556 * IN, atol=0.01 * IN)


@pytest.mark.parametrize(("per_inch", "check_in"), [(4, 1 / 4), (8, 1 / 8), (16, 1 / 16)])
def test_gingham_checks_have_their_published_size(per_inch, check_in):
    """T10: 4, 8 and 16 checks an inch are 1/4, 1/8 and 1/16 in wide, to 0.1 mm."""
    sequence = read_back("B1 W1", IN / per_inch, repeats=120 / (2 * IN / per_inch))
    np.testing.assert_allclose(sequence.widths_mm, check_in * IN, atol=0.1)


def test_checks_that_are_not_square_show_it():
    """T11: 8 checks an inch across and 7 down differ by 1.143 to one, to 1 %."""
    wide, narrow = (read_back("B1 W1", IN / n, repeats=15).widths_mm.mean() for n in (7, 8))
    assert wide / narrow == pytest.approx(1.143, rel=0.01)


def photographed(system, text, pitch_mm):
    """Widths found in a photo beside those woven."""
    widths = np.array([band.width_mm for band in system.bands])
    return widths, in_order(widths, text, pitch_mm)


def test_a_published_sett_is_measured_back_from_a_photo():
    """T03 woven at 0.7 mm and photographed: 104 threads, both ways, each band to 0.15 mm."""
    text, total, _ = SETTS["T03"]
    measurement = measured("published-sett", text, text)
    for system in measurement.systems:
        widths, true = photographed(system, text, 0.7)
        np.testing.assert_allclose(widths, true, atol=0.15)
        assert system.repeat_mm == pytest.approx(total * 0.7, rel=0.005)
        assert system.mirrored


def test_gingham_is_measured_back_from_a_photo():
    """T10: plain-woven checks of 1/4 in, photographed, are 1/4 in both ways to 0.15 mm."""
    pitch_mm = IN / 4 / 9
    measurement = measured(
        "gingham", "B9 W9", "B9 W9", pitch_mm=(pitch_mm, pitch_mm), weave=Weave.PLAIN
    )
    for system in measurement.systems:
        widths, true = photographed(system, "B9 W9", pitch_mm)
        np.testing.assert_allclose(widths, true, atol=0.15)
        assert system.repeat_mm == pytest.approx(IN / 2, rel=0.005)
    assert measurement.cloth.kind == "check"
