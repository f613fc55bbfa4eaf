"""Perfectly even cloth gives back the lens that it was seen through."""

from dataclasses import replace

import numpy as np
import pytest

from plaidcut.cloth.field import ThreadField
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.evenness import even_out

SIZE_PX = (3000, 2250)
CARD_MM = np.array([[x, y] for x in (0.0, 45.0, 90.0) for y in (0.0, 30.0, 60.0)])
BOX_MM = np.array([[-160.0, -130.0], [250.0, 190.0]])


def camera(k1):
    """How the photo was really taken: tilted, through a lens."""
    return Scale(
        method=Method.CARD,
        size_px=SIZE_PX,
        plane_to_px=np.array([[8.0, 0.3, 1180.0], [-0.2, 8.1, 880.0], [6e-5, 1e-4, 1.0]]),
        lens=Lens.of_size(*SIZE_PX, k1=k1),
        relative_std=0.001,
        lens_std=0.012,
        anchors_mm=CARD_MM,
        anchor_std_px=0.1,
    )


def as_found(true, *, seed=None):
    """The scale as the card alone gives it, no lens known, its corners seen with noise."""
    seen = true.to_px(CARD_MM)
    if seed is not None:
        seen = seen + 0.1 * np.random.default_rng(seed).standard_normal(seen.shape)
    return replace(true, anchors_px=seen, lens=replace(true.lens, k1=0.0)).with_lens(0.0)


def seen_through(true, found, angle_deg, stretch=1.0):
    """An even system of the true plane, as a field on the plane as found."""
    x, y = np.meshgrid(np.arange(-150.0, 241.0, 8.0), np.arange(-120.0, 181.0, 8.0))
    xy = np.stack([x, y], axis=-1).reshape(-1, 2)
    rad = np.deg2rad(angle_deg)
    value = stretch * xy @ [np.cos(rad), np.sin(rad)]
    return ThreadField.through(found.to_mm(true.to_px(xy)), value, BOX_MM)


def cloth_points():
    """Where the cloth is looked at."""
    x, y = np.meshgrid(np.arange(-140.0, 231.0, 12.0), np.arange(-110.0, 171.0, 12.0))
    return np.stack([x, y], axis=-1).reshape(-1, 2)


@pytest.mark.parametrize("k1", [-0.03, -0.01, 0.0, 0.015])
def test_even_cloth_gives_back_the_lens(k1):
    """The lens's radial term is recovered to a tenth of what is usual, and the plane with it."""
    true = camera(k1)
    found = as_found(true)
    fields = (seen_through(true, found, 2.0), seen_through(true, found, 91.0, stretch=1.02))
    evened = even_out(found, fields, cloth_points())
    assert evened.scale.lens.k1 == pytest.approx(k1, abs=0.0015)
    far = np.array([[-140.0, -110.0], [230.0, 170.0]])
    span = np.diff(evened.scale.to_mm(true.to_px(far)), axis=0)
    assert np.linalg.norm(span) == pytest.approx(np.linalg.norm(far[1] - far[0]), rel=0.003)
    assert evened.uneven < 0.002


def test_one_striped_system_is_enough():
    """Cloth striped one way only gives back the lens as well."""
    true = camera(-0.02)
    found = as_found(true)
    evened = even_out(found, (seen_through(true, found, 88.0), None), cloth_points())
    assert evened.scale.lens.k1 == pytest.approx(-0.02, abs=0.004)


def test_the_card_alone_says_how_long_a_millimetre_is():
    """Cloth whose repeat is counted long or short changes the scale at the card by nothing."""
    true = camera(-0.01)
    found = as_found(true)
    spans = []
    for stretch in (0.9, 1.0, 1.1):
        fields = (seen_through(true, found, 2.0, stretch), seen_through(true, found, 91.0, stretch))
        evened = even_out(found, fields, cloth_points())
        across = np.diff(evened.scale.to_mm(true.to_px(CARD_MM[[0, -1]])), axis=0)
        spans.append(float(np.linalg.norm(across)))
    np.testing.assert_allclose(spans, np.linalg.norm(CARD_MM[-1] - CARD_MM[0]), rtol=5e-4)


def test_the_stated_lens_uncertainty_holds_the_truth():
    """With the card's corners seen to 0.1 px the lens is within twice the ± stated, in 9 of 10."""
    true = camera(-0.015)
    inside = 0
    for seed in range(10):
        found = as_found(true, seed=seed)
        fields = (seen_through(true, found, 2.0), seen_through(true, found, 91.0))
        evened = even_out(found, fields, cloth_points())
        inside += abs(evened.scale.lens.k1 + 0.015) <= 2 * evened.scale.lens_std
        assert evened.scale.lens_std < found.lens_std
    assert inside >= 9


def test_plain_cloth_refines_nothing():
    """Without a repeat there is nothing to judge by: the scale stays as it was."""
    found = as_found(camera(-0.02))
    evened = even_out(found, (None, None), cloth_points())
    assert evened.scale is found
