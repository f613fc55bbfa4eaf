"""A box in L*a*b* that surely holds every colour within some CIEDE2000 of one.

A database narrows by the box, with an index; what is in it is then compared exactly.

Notes
-----
CIEDE2000 (CIE 142) is the root of ``x² + y² + z² - R·y·z`` with ``x = ΔL'/S_L``, ``y = ΔC'/S_C``,
``z = ΔH'/S_H`` and R from 0 to 2 sin 60°. L* is bounded by x alone. For a* and b* the plane of the
other colour's chroma and of the angle between both hues is laid out in cells. For each cell a lower
bound of ``y² + z² - R·y·z`` follows from the least ``|ΔC'|`` and ``|ΔH'|`` and the greatest S_C,
S_H and R in it; cells whose bound is above the tolerance hold no colour that fits, and the box is
drawn round all others. ``a' = (1 + G)·a`` depends on both colours: G is bounded too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.stripes.colour import Floats

CHROMA_STEP: Final = 1.5
HUE_STEP_DEG: Final = 4.0
"""Size of a cell: smaller ones make the box closer by less than they cost."""

FARTHEST: Final = 250.0
"""Chroma that no colour has: sRGB's own blue, the loudest that a photo holds, has 134."""

BLUE_DEG: Final = 275.0
"""Mean hue at which R is greatest; 25° further it has faded to a third of its angle."""

MOST_STRETCH: Final = 1 / math.sqrt(1 - math.sin(math.radians(60)) ** 2)
"""``1/√(1 - R²/4)`` at the greatest R."""

T_SLOPE: Final = 0.17 + 2 * 0.24 + 3 * 0.32 + 4 * 0.20
"""The steepest that T changes with the mean hue, per radian."""

SLACK: Final = 1e-6
"""For the arithmetic's own rounding."""

Span = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """Least and greatest L*, a* and b*."""

    lightness: Span
    a: Span
    b: Span


def box_around(lab: tuple[float, float, float], within: float) -> Box:
    """The box round a colour that holds all within so much CIEDE2000.

    Examples
    --------
    >>> box = box_around((50.0, 0.0, 0.0), 1.0)
    >>> [round(each, 2) for each in box.lightness]
    [49.0, 51.0]
    """
    lightness, a, b = lab
    reach = _lightness(lightness, within) + SLACK
    of_a, of_b = _plane(a, b, within)
    return Box(lightness=(lightness - reach, lightness + reach), a=of_a, b=of_b)


def _lightness(lightness: float, within: float) -> float:
    """How far L* may be off."""
    off = abs(lightness - 50)
    if 0.0075 * within >= 1:  # S_L grows by 0.015 at most for each unit of L*
        return math.inf
    bound = within * (1 + 0.015 * off) / (1 - 0.0075 * within)
    for _ in range(8):  # S_L at the mean of both: a bound gives a closer one
        far = off + bound / 2
        bound = within * (1 + 0.015 * far * far / math.sqrt(20 + far * far))
    return bound


def _plane(a: float, b: float, within: float) -> tuple[Span, Span]:
    """Least and greatest a* and b*."""
    least = math.hypot(a, b)
    stretched = a * (1 + _most_g(least))
    greatest = math.hypot(stretched, b)
    farthest = FARTHEST
    shrinking = 1 - 0.0225 * MOST_STRETCH * within  # S_C grows by 0.0225 for each unit of C'
    if shrinking > 0:
        reach = MOST_STRETCH * within * (1 + 0.045 * greatest) / shrinking
        farthest = min(farthest, greatest + reach)
    low = np.arange(0, farthest + CHROMA_STEP, CHROMA_STEP)[:, None]
    high = low + CHROMA_STEP
    turn = np.arange(-180, 180, HUE_STEP_DEG)[None] + HUE_STEP_DEG / 2
    hues = [math.degrees(math.atan2(b, each)) for each in (a, stretched)]
    hue, unsure = sum(hues) / 2, abs(hues[0] - hues[1]) / 2
    fits = _least_square((least, greatest), (low, high), turn, hue, unsure) <= within**2
    angle = np.radians(hue + turn)
    half = math.radians(unsure + HUE_STEP_DEG / 2)
    middle, far = (low + high) / 2, CHROMA_STEP / 2 + high * half
    spans = []
    for axis, shrunk in ((np.cos(angle), 1 + _most_g(least)), (np.sin(angle), 1.0)):
        begin, end = (middle * axis - far)[fits].min(), (middle * axis + far)[fits].max()
        spans.append((min(begin, begin / shrunk) - SLACK, max(end, end / shrunk) + SLACK))
    return spans[0], spans[1]


def _least_square(
    own: Span, other: tuple[Floats, Floats], turn: Floats, hue: float, unsure: float
) -> Floats:
    """The least ``y² + z² - R·y·z`` in each cell.

    Parameters
    ----------
    own
        Least and greatest chroma of the colour in question.
    other
        Least and greatest chroma of the other, by cell (N, 1).
    turn
        How far the other's hue is turned from its own in the middle of each cell, degrees (1, M).
    hue, unsure
        Its own hue, and how far that may be off.
    """
    (least, greatest), (low, high) = own, other
    mean = (greatest + high) / 2
    between, off = hue + turn / 2, unsure + HUE_STEP_DEG / 4
    slopes = ((1, -30, -0.17), (2, 0, 0.24), (3, 6, 0.32), (4, -63, -0.20))
    waves = [by * np.cos(np.radians(times * between + at)) for times, at, by in slopes]
    t: Floats = 1 + T_SLOPE * math.radians(off) + np.sum(waves, axis=0)
    away = np.maximum(0, np.abs((between - BLUE_DEG + 180) % 360 - 180) - off)
    angle = 60 * np.exp(-((away / 25) ** 2))
    rotation = 2 * _seventh(mean) * np.sin(np.radians(angle))
    near = np.maximum(0, np.abs(turn) - HUE_STEP_DEG / 2)
    y = np.maximum(0, np.maximum(low - greatest, least - high)) / (1 + 0.045 * mean)
    z = 2 * np.sqrt(least * low) * np.sin(np.radians(near / 2)) / (1 + 0.015 * mean * t)
    longer, shorter = np.maximum(y, z), np.minimum(y, z)
    shorter = np.maximum(shorter, rotation * longer / 2)  # where the square is least
    together = longer**2 + shorter**2 - rotation * longer * shorter
    apart = np.where(low > greatest, turn < 0, (high < least) & (turn > 0)) & (near > 0)
    return np.asarray(np.where(apart, y**2 + z**2, together))


def _seventh(chroma: Floats | float) -> Floats:
    """The root of ``C⁷/(C⁷ + 25⁷)``, by which G and R depend on chroma."""
    return np.asarray(np.sqrt(1 / (1 + (25 / np.maximum(chroma, 1e-9)) ** 7)))


def _most_g(chroma: float) -> float:
    """The greatest G: the mean chroma is at least half that of one colour."""
    return float(0.5 * (1 - _seventh(chroma / 2)))
