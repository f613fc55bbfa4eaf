"""Colours on lines square to a line, against pictures that are known at every place."""

import numpy as np
import pytest

from plaidcut.scale.profiles import Profiles, step_across
from plaidcut.srgb import light_table

HIGH, WIDE = 400, 700


def waves():
    """A picture of slow waves: its codes, and its light as the codes have it."""
    y, x = np.mgrid[0:HIGH, 0:WIDE]
    code = 130 + 60 * np.sin(x / 17) + 50 * np.cos(y / 13)
    pixels = np.repeat(np.rint(code).astype(np.uint8)[..., None], 3, axis=2)
    return pixels, light_table()


@pytest.mark.parametrize(
    ("start", "end"),
    [
        ((40, 60), (650, 330)),
        ((650, 330), (40, 60)),
        ((30, 200), (660, 200)),
        ((350, 30), (350, 370)),
    ],
    ids=["down", "up", "along a row", "along a column"],
)
def test_profiles_show_the_picture_where_they_are(start, end):
    """On a long line at any angle, piece by piece, codes and light are those of the place."""
    pixels, table = waves()
    profiles = Profiles.across(pixels, start, end, count=200, reach_px=20)
    offsets = np.tile(np.linspace(-20, 20, 33), (200, 1))

    at = profiles.feet_px[:, None] + offsets[..., None] * profiles.inward
    code = 130 + 60 * np.sin(at[..., 0] / 17) + 50 * np.cos(at[..., 1] / 13)

    np.testing.assert_allclose(255 * profiles.codes_at(offsets)[..., 0], code, atol=1.2)
    light = np.interp(code, np.arange(256), table)
    np.testing.assert_allclose(profiles.light_at(offsets)[..., 1], light, atol=0.008)


def test_positive_offsets_lie_to_the_right():
    """Going along the line, y down, the right hand is the side of positive offsets."""
    tone = np.zeros((100, 100, 3), np.uint8)
    tone[50:] = 255

    profiles = Profiles.across(tone, (10, 50), (90, 50), count=5, reach_px=9)

    assert np.all(profiles.codes_at(np.full((5, 1), 5.0)) == 1)
    assert np.all(profiles.codes_at(np.full((5, 1), -5.0)) == 0)


def test_off_the_picture_there_is_nothing():
    """Where a line leaves the picture its profiles are nan; one wholly outside has none."""
    pixels, _ = waves()
    offsets = np.zeros((100, 1))

    leaving = Profiles.across(pixels, (350, 200), (1350, 200), count=100, reach_px=5)

    within = leaving.feet_px[:, 0] <= WIDE - 1
    for seen in (leaving.codes_at(offsets), leaving.light_at(offsets)):
        assert np.array_equal(np.isfinite(seen).all(axis=(1, 2)), within)
    assert Profiles.across(pixels, (-90, -90), (-50, -90), count=9, reach_px=5) is None


def test_a_band_runs_on_and_a_pattern_across_does_not():
    """Along a step the mean colour changes by its height; across a checked pattern by nothing."""
    tone = np.zeros((200, 200, 3), np.uint8)
    tone[100:] = 200
    check = np.kron(np.indices((20, 20)).sum(axis=0) % 2, np.ones((10, 10)))
    checked = np.repeat((200 * check).astype(np.uint8)[..., None], 3, axis=2)

    step = step_across(tone, (20, 99.5), (180, 99.5), gap_px=3)

    assert step == pytest.approx(np.sqrt(3) * 200 / 255, abs=0.01)
    assert step_across(checked, (20, 99.5), (180, 99.5), gap_px=3) < 0.15
    assert np.isnan(step_across(tone, (-90, -90), (-50, -90), gap_px=3))
