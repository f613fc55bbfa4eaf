"""The threads' lattice is found in drawn weaves, and in nothing else."""

import numpy as np
import pytest

from plaidcut.cloth.columns import herringbone_columns
from plaidcut.cloth.lattice import Structure, thread_lattice
from plaidcut.cloth.patches import Patch
from tests.cloth.drawn_weaves import NUMBER, STEP_MM, weave


@pytest.mark.parametrize(
    ("kind", "up_mm", "ratio", "turn_deg", "slant"),
    [
        ("plain", 0.6, 1.0, 3.0, 1),
        ("plain", 0.75, 0.93, -31.0, 1),
        ("plain", 0.9, 1.06, 40.0, 1),
        ("twill", 0.6, 1.05, 7.0, 1),
        ("twill", 0.7, 0.95, -22.0, -1),
        ("twill", 0.95, 1.03, 12.0, -1),
        ("twill", 1.0, 1.0, 15.0, -1),
        ("twill", 0.85, 1.08, -40.0, 1),
    ],
)
def test_the_pitch_of_drawn_threads_is_found(kind, up_mm, ratio, turn_deg, slant):
    """Both pitches to 1.5 %, the structure and the slant, however the cloth is turned."""
    pitch = (up_mm, up_mm * ratio)
    found = thread_lattice([weave(pitch, kind=kind, slant=slant, turn_deg=turn_deg)])
    assert found is not None
    assert found.structure is Structure(kind)
    np.testing.assert_allclose(found.pitch_mm, pitch, rtol=0.015)
    np.testing.assert_allclose(found.angle_deg, [turn_deg, turn_deg + 90], atol=1.5)
    if kind == "twill":  # lines where i - slant j is constant lie square to (1, -slant)
        assert found.slant == -slant


@pytest.mark.parametrize("column", [8, 11])
def test_a_herringbones_columns_are_found(column):
    """Their width to 3 %, and which threads run along them."""
    patch = weave((0.8, 0.7), kind="herringbone", column=column, tones=(0.1, 0.5))
    found = thread_lattice([patch])
    assert found is not None
    assert found.structure is Structure.HERRINGBONE
    columns = herringbone_columns([patch], found)
    assert columns is not None
    assert columns.width_mm == pytest.approx(column * 0.8, rel=0.03)
    assert columns.system == 0


def test_a_twill_has_no_columns():
    """Lines that run one way all over make none."""
    patch = weave(tones=(0.1, 0.5))
    found = thread_lattice([patch])
    assert found is not None
    assert herringbone_columns([patch], found) is None


@pytest.mark.parametrize("seed", range(4))
def test_noise_has_no_threads(seed):
    """White noise, and noise of the size of yarns, show no lattice."""
    import cv2

    rng = np.random.default_rng(seed)
    for smooth in (0.0, 2.0):
        light = rng.uniform(0.2, 0.6, (NUMBER, NUMBER)).astype(np.float32)
        if smooth:
            light = np.asarray(cv2.GaussianBlur(light, (0, 0), smooth))
        patch = Patch(
            center_mm=np.zeros(2), step_mm=STEP_MM, light=np.repeat(light[..., None], 3, axis=2)
        )
        assert thread_lattice([patch]) is None


def test_lines_one_way_are_no_threads():
    """A ruled sheet, or a ribbed table, crosses nothing."""
    at = np.arange(NUMBER) * STEP_MM
    lines = 0.4 + 0.2 * np.sin(2 * np.pi * at / 0.8)[None] * np.ones((NUMBER, 1))
    lines += np.random.default_rng(0).normal(0, 0.01, lines.shape)
    patch = Patch(
        center_mm=np.zeros(2),
        step_mm=STEP_MM,
        light=np.repeat(lines[..., None], 3, axis=2).astype(np.float32),
    )
    assert thread_lattice([patch]) is None


def test_no_patches_tell_nothing():
    """Where no patch of cloth was found there is no lattice."""
    assert thread_lattice([]) is None
