"""The cloth laid straight, cut into strips: as they come, or sorted by value.

Nothing is lined up: strips lie side by side from the cloth's first thread on, as they come off
the cutter when the piece is fed by its edge.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.pictures.laid_straight import Straight
from plaidcut.srgb import LUMINANCE, srgb_of_light

KNOWN_SHARE: Final = 0.5
"""Share of a strip that must be cloth for it to be shown."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutStrips:
    """Strips of one cut and direction."""

    light: tuple[NDArray[np.float32], ...]
    """Linear light of each (L, w, 3), along the strip and across it; only what is cloth."""
    width_mm: float
    step_mm: float

    def along(self) -> Iterator[NDArray[np.float64]]:
        """Of each strip the linear light along it, (L, 3)."""
        for light in self.light:
            yield np.einsum("lwc->lc", light, dtype=float) / light.shape[1]

    @property
    def mean(self) -> NDArray[np.float64]:
        """Mean linear light of each strip, (N, 3)."""
        return np.array([each.mean(axis=0) for each in self.along()])

    def by_value(self) -> CutStrips:
        """The same, light ones first."""
        order = np.argsort(-(self.mean @ LUMINANCE))
        return CutStrips(
            light=tuple(self.light[k] for k in order), width_mm=self.width_mm, step_mm=self.step_mm
        )


def cut_strips(cloth: Straight, width_mm: float) -> CutStrips:
    """Cut cloth into strips along its columns.

    Parameters
    ----------
    cloth
        Cloth laid straight; turned for strips of the across threads.
    width_mm
        The cut.

    Returns
    -------
    CutStrips
        Those of which enough is cloth, from left to right; none where the cut is finer than a
        pixel.
    """
    edges = np.rint(np.arange(0, cloth.light.shape[1] * cloth.step_mm, width_mm) / cloth.step_mm)
    counts = np.cumsum(cloth.known, axis=1, dtype=np.int32)
    found = []
    for left, right in zip(edges[:-1].astype(int), edges[1:].astype(int), strict=True):
        if right <= left:
            continue
        clear = counts[:, right - 1] - counts[:, left] + cloth.known[:, left] == right - left
        if clear.mean() >= KNOWN_SHARE:
            found.append(cloth.light[clear, left:right])
    return CutStrips(light=tuple(found), width_mm=width_mm, step_mm=cloth.step_mm)


def strips_picture(
    strips: CutStrips, *, px_per_mm: float = 5.0, length_mm: float = 60.0, most: int = 60
) -> NDArray[np.uint8]:
    """Strips side by side with gaps between them, (H, W, 3) sRGB."""
    import cv2

    wide, high = round(strips.width_mm * px_per_mm), round(length_mm * px_per_mm)
    gap = max(2, wide // 6)
    shown = strips.light[:most]
    sheet = np.full((high, max(1, len(shown) * (wide + gap) - gap), 3), 255, np.uint8)
    for k, light in enumerate(shown):
        rows = min(len(light), round(length_mm / strips.step_mm))
        tall = round(rows * strips.step_mm * px_per_mm)
        small = cv2.resize(light[:rows], (wide, tall), interpolation=cv2.INTER_AREA)
        left = k * (wide + gap)
        sheet[:tall, left : left + wide] = np.rint(255 * srgb_of_light(small))
    return sheet
