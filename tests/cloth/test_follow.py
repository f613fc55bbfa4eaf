"""Threads followed over a drawn cloth whose bends are known."""

import numpy as np
import pytest

from plaidcut.cloth.field import ThreadField
from plaidcut.cloth.follow import follow_threads
from plaidcut.cloth.light import WorkPicture
from plaidcut.cloth.view import plane_view
from plaidcut.scale.plane import Lens, Method, Scale

PX_PER_MM = 3.0
SIZE_PX = (780, 600)


def bends(x, y, bow_mm):
    """What up and across threads are counted by, in millimetres: both systems bowed."""
    return x + bow_mm * np.sin(y / 60.0), y + 0.7 * bow_mm * np.cos(x / 70.0)


def drawn(bow_mm, noise=0.02):
    """A plaid of 26 x 20 cm on that bent grid, as a picture."""
    y, x = np.indices(SIZE_PX[::-1]) / PX_PER_MM
    u, v = bends(x, y, bow_mm)
    light = 0.05 + 0.3 * (u % 37 < 11) + 0.15 * (u % 37 > 30) + 0.25 * (v % 29 < 9)
    light = light * (1 + noise * np.random.default_rng(0).standard_normal(light.shape))
    rgb = np.repeat(light.clip(0, 1)[..., None], 3, axis=2)
    return WorkPicture.of(rgb)


@pytest.mark.parametrize("bow_mm", [0.0, 2.0, -3.5])
def test_bent_threads_are_followed(bow_mm):
    """From straight fields, threads that bow by up to 3.5 mm are followed within 0.15 mm."""
    scale = Scale(
        method=Method.GIVEN,
        size_px=SIZE_PX,
        plane_to_px=np.diag([PX_PER_MM, PX_PER_MM, 1.0]),
        lens=Lens.of_size(*SIZE_PX),
        relative_std=0.0,
    )
    picture = drawn(bow_mm)
    view = plane_view(picture, scale)
    straight = tuple(ThreadField.straight(angle, view.box_mm) for angle in (0.0, 90.0))
    cloth = view.framed.copy()

    followed = follow_threads(picture.tones(), scale, view, cloth, straight)

    x, y = np.meshgrid(np.arange(25.0, 235.0, 10.0), np.arange(25.0, 175.0, 10.0))
    for field, true in zip(followed.fields, bends(x, y, bow_mm), strict=True):
        away = field.value(np.stack([x, y], axis=-1)) - true
        assert np.std(away) < 0.15
    assert all(np.median(shifts.match) > 0.9 for shifts in followed.shifts)
