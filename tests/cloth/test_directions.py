"""Thread directions of drawn stripes, and of cloth that has none."""

import numpy as np
import pytest

from plaidcut.cloth.directions import ANGLES_DEG, main_normals, tile_normals, tile_spectra
from plaidcut.cloth.quality import stripes_are_clear
from plaidcut.cloth.view import PlaneView


def stripes(along, repeat_mm):
    """Light of two bands of unequal width along positions in millimetres."""
    return np.where(along % repeat_mm < 0.3 * repeat_mm, 0.3, 0.05)


def view_of(angles_deg, repeats_mm, *, seed=0, twill=0.0):
    """A view of 30 x 24 cm: stripes square to the angles, noise, slanting twill lines."""
    y, x = np.indices((480, 600)) / 2.0
    light = np.full(x.shape, 0.1)
    for angle, repeat in zip(angles_deg, repeats_mm, strict=True):
        light = light + stripes(
            x * np.cos(np.deg2rad(angle)) + y * np.sin(np.deg2rad(angle)), repeat
        )
    light = light + twill * np.sin(2 * np.pi * (x + 0.9 * y) / 2.8)
    light = light + np.random.default_rng(seed).normal(0, 0.01, x.shape)
    rgb = np.repeat(light[..., None], 3, axis=2).astype(np.float32)
    box = np.array([[0.0, 0.0], [300.0, 240.0]])
    return PlaneView(box_mm=box, px_per_mm=2.0, rgb=rgb, framed=np.ones(x.shape, bool))


@pytest.mark.parametrize("angle_deg", [3.0, 44.0, 87.5, 131.0])
@pytest.mark.parametrize("skew_deg", [0.0, -6.0, 5.0])
def test_both_directions_are_found_each_for_itself(angle_deg, skew_deg):
    """At any rotation, square or not, and with strong twill lines: within half a degree."""
    true = [angle_deg, (angle_deg + 90 + skew_deg) % 180]
    view = view_of(true, [23.0, 31.0], twill=0.05)
    spectra = tile_spectra(view, np.ones(view.framed.shape, bool))
    found = [float(ANGLES_DEG[k]) for k in main_normals(spectra)]
    for angle in true:
        assert min(abs((angle - other + 90) % 180 - 90) for other in found) <= 0.5


def test_twill_lines_alone_are_no_stripes():
    """A plain twill has no direction that stands out, a striped one has."""
    for view, clear in ((view_of([], [], twill=0.05), False), (view_of([20.0], [25.0]), True)):
        spectra = tile_spectra(view, np.ones(view.framed.shape, bool))
        first, _ = main_normals(spectra)
        assert stripes_are_clear(tile_normals(spectra, first)) == clear
