"""Telling burnt-out and blurred photos from those that merely lack a scale."""

import cv2
import numpy as np
import pytest

from plaidcut.errors import Overexposed, TooBlurred
from plaidcut.photo_faults import (
    MOST_BLUR,
    blur_share,
    clipped_share,
    refuse_blurred,
    refuse_burnt_out,
)

SIDE_PX = 1200


def tiles(*, blur_px=0.0, shake_px=0, turn_deg=20.0, noise=2.0, low=40, high=200, seed=5):
    """A board of tiles, turned, blurred or shaken along x, and noisy."""
    y, x = np.mgrid[:SIDE_PX, :SIDE_PX].astype(np.float32)
    cosine, sine = np.cos(np.deg2rad(turn_deg)), np.sin(np.deg2rad(turn_deg))
    odd = (np.floor((cosine * x + sine * y) / 90) + np.floor((cosine * y - sine * x) / 90)) % 2
    grey = np.where(odd > 0, high, low).astype(np.float32)
    if blur_px:
        grey = cv2.GaussianBlur(grey, (0, 0), blur_px)
    if shake_px:
        grey = cv2.blur(grey, (shake_px, 1))
    grey += np.random.default_rng(seed).normal(0, noise, grey.shape)
    return np.repeat(np.clip(grey, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.mark.parametrize("blur_px", [1.5, 2.5, 4.0])
@pytest.mark.parametrize("turn_deg", [0.0, 20.0, 45.0])
def test_blur_is_measured(blur_px, turn_deg):
    """The blur of a step is found to a quarter, whichever way the step lies."""
    found_px = blur_share(tiles(blur_px=blur_px, turn_deg=turn_deg)) * SIDE_PX
    assert found_px == pytest.approx(blur_px, rel=0.25)


@pytest.mark.parametrize(("low", "high"), [(100, 140), (20, 230)])
def test_contrast_does_not_matter(low, high):
    """Faint and strong edges of one blur are judged alike."""
    faint = blur_share(tiles(blur_px=3.0, low=low, high=high, noise=1.0)) * SIDE_PX
    assert faint == pytest.approx(3.0, rel=0.25)


def test_a_sharp_photo_is_not_refused():
    """Sharp edges, with noise on them, are no reason to refuse."""
    refuse_blurred(tiles())


def test_a_blurred_photo_is_refused():
    """Out of focus by more than the limit, it is refused for that."""
    with pytest.raises(TooBlurred, match="pixels"):
        refuse_blurred(tiles(blur_px=1.6 * MOST_BLUR * SIDE_PX))


def test_a_shaken_photo_is_refused_though_half_of_its_edges_are_sharp():
    """Shaken along x, edges along x stay sharp; those across them decide."""
    with pytest.raises(TooBlurred):
        refuse_blurred(tiles(shake_px=11, turn_deg=0.0))
    refuse_blurred(tiles(shake_px=3, turn_deg=0.0))


def test_a_plain_picture_has_no_edges_to_judge():
    """Where there is nothing but one tone, blur can't be told."""
    assert blur_share(np.full((300, 400, 3), 128, np.uint8)) is None
    refuse_blurred(np.full((300, 400, 3), 128, np.uint8))


def test_a_burnt_out_photo_is_refused():
    """A photo that is mostly pure white shows no stripes."""
    burnt = tiles()
    burnt[: int(0.6 * SIDE_PX)] = 255
    assert clipped_share(burnt) == pytest.approx(0.6, abs=0.01)
    with pytest.raises(Overexposed, match="60 %"):
        refuse_burnt_out(burnt)
