"""sRGB and linear light (IEC 61966-2-1)."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

LUMINANCE: Final = np.array([0.2126, 0.7152, 0.0722], np.float32)
"""Shares of linear red, green and blue in luminance."""


@cache
def light_table() -> NDArray[np.float32]:
    """Linear light 0..1 of the 256 values of 8-bit sRGB, read-only: ``light_table()[pixels]``."""
    tone = np.arange(256) / 255
    light = np.where(tone <= 0.04045, tone / 12.92, ((tone + 0.055) / 1.055) ** 2.4)
    table = light.astype(np.float32)
    table.flags.writeable = False
    return table


def srgb_of_light(light: ArrayLike) -> NDArray[np.float32]:
    """SRGB values of linear light, both 0..1; what lies outside is clipped."""
    light = np.clip(np.asarray(light, np.float32), 0, 1)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
