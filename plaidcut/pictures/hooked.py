"""Roughly what strips look like hooked, drawn from the photo's own pixels.

A loop as high as the strip is wide, n to the inch of a row, takes 2h of strip; the way on to the
next takes 1/n. So from the top of one loop to that of the next go s = 1/n + 2h of strip: of it a
piece as long as a loop is broad comes to the top and is seen, the rest is inside and below.
Flecks that follow each other at a distance S on the strip come again every S / (1 + 2·n·h) on the
rug. Rows lie a strip's width apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.pictures.strip_cuts import CutStrips
from plaidcut.rug.coverage import LOOPS_PER_INCH
from plaidcut.srgb import srgb_of_light
from plaidcut.units import MM_PER_INCH

Light = NDArray[np.float64]

SWATCH_MM: Final = 76.2
"""A 3 in square, as a test square is."""

CHUNK: Final = 6
"""Pixels across a loop that its shading is drawn in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loops:
    """How loops stand."""

    per_inch: float = LOOPS_PER_INCH
    height_mm: float | None = None
    """As high as the strip is wide if None."""

    def along_mm(self) -> float:
        """From one loop to the next along the row."""
        return MM_PER_INCH / self.per_inch

    def of_strip_mm(self, width_mm: float) -> float:
        """From one loop's top to the next along the strip."""
        high_mm = width_mm if self.height_mm is None else self.height_mm
        return self.along_mm() + 2 * high_mm


def loop_tops(strips: CutStrips, count: int, *, loops: Loops, begin_mm: float = 0.0) -> Light:
    """Linear light of the pieces of strip that come to the tops of loops, (count, 3), in order.

    Strip after strip is hooked, each to its end.
    """
    pace_mm, top_mm = loops.of_strip_mm(strips.width_mm), loops.along_mm()
    tops: list[Light] = []
    pieces = 0
    for along in cycle(strips.along()):
        sums = np.concatenate([np.zeros((1, 3)), np.cumsum(along, axis=0)])
        length_mm = len(along) * strips.step_mm
        starts = np.arange(begin_mm, length_mm - top_mm, pace_mm)
        low = np.minimum((starts / strips.step_mm).astype(int), len(along) - 1)
        high = np.maximum(low + 1, ((starts + top_mm) / strips.step_mm).astype(int))
        high = np.minimum(high, len(along))
        if len(starts):
            tops.append((sums[high] - sums[low]) / (high - low)[:, None])
        pieces += len(starts)
        if pieces >= count or not pieces:
            break
    return np.concatenate([np.zeros((0, 3)), *tops])[:count]


def swatch(
    strips: CutStrips, *, loops: Loops | None = None, spiral: bool = False, px: int = 360
) -> NDArray[np.uint8]:
    """A square of rows hooked from strips, or of one spiral, (px, px, 3) sRGB.

    Parameters
    ----------
    strips
        In the order in which they are hooked.
    loops
        How they stand; eight to the inch, as high as the strip is wide.
    spiral
        From the middle outwards instead of row by row.
    px
        Size of the picture of 3 in.
    """
    loops = loops or Loops()
    at_mm = (np.arange(px) + 0.5) * SWATCH_MM / px
    x, y = np.meshgrid(at_mm, at_mm)
    row_mm, along_mm = strips.width_mm, loops.along_mm()
    if spiral:
        row, along = _spiral(x - SWATCH_MM / 2, y - SWATCH_MM / 2, row_mm)
    else:
        row, along = y / row_mm, x
        back = np.floor(row).astype(int) % 2 == 1
        along = np.floor(row) * SWATCH_MM + np.where(back, SWATCH_MM - along, along)
    number = np.floor(along / along_mm).astype(int)
    tops = loop_tops(strips, int(number.max()) + 1, loops=loops)
    if not len(tops):
        return np.full((px, px, 3), 255, np.uint8)
    light = tops[number % len(tops)] * _roundness(row % 1, along / along_mm % 1)[..., None]
    return np.asarray(np.rint(255 * srgb_of_light(light)), np.uint8)


def _roundness(across: Light, along: Light) -> Light:
    """Shading of a loop's top, mean 1, darker towards its sides, where loops meet."""
    shade = np.sqrt(np.maximum(1 - (2 * across - 1) ** 4, 0)) * np.sqrt(
        np.maximum(1 - (2 * along - 1) ** 4, 0)
    )
    shade = 0.55 + 0.45 * shade
    return np.asarray(shade / shade.mean())


def _spiral(x: Light, y: Light, row_mm: float) -> tuple[Light, Light]:
    """Row and place along an Archimedean spiral of points around its middle."""
    radius, turn = np.hypot(x, y), np.mod(np.arctan2(y, x), 2 * np.pi) / (2 * np.pi)
    row = radius / row_mm - turn
    whole = np.floor(row) + turn
    # an Archimedean spiral of pitch p has run π·p·t² after t turns, nearly
    return np.asarray(row % 1), np.asarray(np.pi * row_mm * np.maximum(whole + 0.5, 0.0) ** 2)
