"""Patches of weaves drawn for tests: threads as round bars, one system over the other."""

import numpy as np
from scipy import ndimage

from plaidcut.cloth.patches import Patch

NUMBER = 320
FINER = 4
"""Points drawn to a pixel each way: sharp edges between threads would alias."""
SOFT_PX = 1.0
"""Blur of fulled wool and a lens, standard deviation."""
STEP_MM = 0.125


def weave(
    pitch_mm=(0.7, 0.75),
    *,
    kind="twill",
    slant=1,
    turn_deg=7.0,
    column=10,
    tones=(0.3, 0.4),
    noise=0.06,
    seed=0,
):
    """A patch of plain weave, 2/2 twill or herringbone whose up threads' normal is turned.

    Its two yarns differ a little, or the weave would show by the threads' roundness alone.
    """
    rng = np.random.default_rng(seed)
    turn = np.deg2rad(turn_deg)
    at = (np.arange(FINER * NUMBER) / FINER - NUMBER / 2) * STEP_MM + 200.0
    x, y = np.meshgrid(at, at)
    u = (x * np.cos(turn) + y * np.sin(turn)) / pitch_mm[0]
    v = (-x * np.sin(turn) + y * np.cos(turn)) / pitch_mm[1]
    i, j = np.floor(u), np.floor(v)
    if kind == "plain":
        on_top = (i + j) % 2 == 0
    elif kind == "twill":
        on_top = (i - slant * j) % 4 < 2
    else:
        way = np.where((i // column) % 2 == 0, 1, -1)
        on_top = (i - way * j) % 4 < 2
    crown = [1 - 0.4 * np.abs(2 * (w % 1) - 1) ** 2 for w in (u, v)]
    light = np.where(on_top, tones[0] * crown[0], tones[1] * crown[1])
    light = light.reshape(NUMBER, FINER, NUMBER, FINER).mean(axis=(1, 3))
    light = ndimage.gaussian_filter(light * (1 + rng.normal(0, noise, light.shape)), SOFT_PX)
    return Patch(
        center_mm=np.array([200.0, 200.0]),
        step_mm=STEP_MM,
        light=np.repeat(light[..., None], 3, axis=2).astype(np.float32),
    )
