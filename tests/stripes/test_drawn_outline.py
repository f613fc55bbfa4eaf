"""Cloth that was drawn round by hand, in place of that which is found."""

import numpy as np
import pytest
from shapely import Polygon

from plaidcut.errors import NoCloth, UsageError
from plaidcut.scale.card import find_card
from plaidcut.stripes.measure import measure_cloth
from tests.wool_photos import measured, photograph

DRAWN = [(60, 60), (1860, 60), (1860, 1000), (60, 1000)]
SETT = ("drawn round", "K24 R8 G24 W4", "B20 Y4 B20 G8")


def measured_within(corners):
    """What is measured of the photo within an outline."""
    photo = photograph(*SETT)
    scale = find_card(photo.pixels)
    return measure_cloth(photo, scale, narrowest_mm=1.0, outline_px=np.array(corners, float))


def test_half_the_cloth_gives_the_same_bands():
    """Drawn round a part of the cloth, its bands are as wide as those of the whole."""
    whole = measured(*SETT)
    part = measured_within(DRAWN)
    for system, other in zip(whole.systems, part.systems, strict=True):
        assert len(system.bands) == len(other.bands)
        widths = sorted(band.width_mm for band in system.bands)
        others = sorted(band.width_mm for band in other.bands)
        assert widths == pytest.approx(others, abs=0.15)
    drawn, found = Polygon(DRAWN), Polygon(part.cloth.outline_px)
    assert found.intersection(drawn).area > 0.98 * found.area


@pytest.mark.parametrize(
    ("corners", "error"),
    [
        ([(60, 60), (1860, 1000), (1860, 60), (60, 1000)], UsageError),
        ([(60, 60), (120, 60), (120, 120), (60, 120)], NoCloth),
    ],
)
def test_an_outline_that_holds_no_cloth_is_refused(corners, error):
    """One that crosses itself, or holds less than is ever measured, is told so."""
    with pytest.raises(error):
        measured_within(corners)
