"""A box in L*a*b* that surely holds every colour within some CIEDE2000 of one.

A database narrows by the box, with an index; what is in it is then compared exactly.

Notes
-----
CIEDE2000 (CIE 142) is the root of ``x² + y² + z² + R·y·z`` with ``x = ΔL'/S_L``, ``y = ΔC'/S_C``
and ``z = ΔH'/S_H``. Where it is at most t, ``|x| ≤ t``, and as ``|R| < 2``, neither ``|y|`` nor
``|z|`` is more than ``t/√(1 - R²/4)``, nor ``√(y² + z²)`` more than ``t/√(1 - |R|/2)``. S_L, S_C,
S_H and R depend on means of both colours, of which one is known, so each can be bounded: by the
other's chroma, which is tried piece by piece, and by how far apart the hues may be, for which
every bound gives a closer one. The two colours lie
``√(ΔC'² + ΔH'²)`` apart in the plane of a' and b', and a and b no further than a' and b'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.stripes.colour import Floats

TURNS: Final = 8
"""How often a bound is made closer; later turns change next to nothing."""

MOST_T: Final = 1 + 0.17 + 0.24 + 0.32 + 0.20
"""The greatest T in ``S_H = 1 + 0.015·C'·T``: all its cosines at one."""

BLUE_DEG: Final = 275.0
"""Mean hue at which R is greatest; 25° further it has faded to a third of its angle."""

MOST_STRETCH: Final = 1 / math.sqrt(1 - math.sin(math.radians(60)) ** 2)
"""``1/√(1 - R²/4)`` at the greatest R that there is, 2 sin 60°."""

SLACK: Final = 1e-6
"""For the arithmetic's own rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """How far each of L*, a* and b* may be off."""

    lightness: float
    a: float
    b: float


def box_around(lab: tuple[float, float, float], within: float) -> Box:
    """The box round a colour that holds all within so much CIEDE2000.

    Examples
    --------
    >>> box = box_around((50.0, 0.0, 0.0), 1.0)
    >>> round(box.lightness, 2), round(box.a, 2)
    (1.0, 1.03)
    """
    lightness, a, b = lab
    plane = _plane(a, b, within) + SLACK
    return Box(lightness=_lightness(lightness, within) + SLACK, a=plane, b=plane)


def _lightness(lightness: float, within: float) -> float:
    """How far L* may be off."""
    off = abs(lightness - 50)
    if 0.0075 * within >= 1:  # S_L grows by 0.015 at most for each unit of L*
        return math.inf
    bound = within * (1 + 0.015 * off) / (1 - 0.0075 * within)
    for _ in range(TURNS):
        far = off + bound / 2
        bound = within * (1 + 0.015 * far * far / math.sqrt(20 + far * far))
    return bound


def _plane(a: float, b: float, within: float) -> float:
    """How far a* and b* may be off."""
    least = math.hypot(a, b)
    greatest = math.hypot(a * (1 + 0.5 * (1 - _seventh(least / 2))), b)  # a' = (1 + G)·a
    if 0.0225 * MOST_STRETCH * within >= 1:  # S_C grows by 0.0225 for each unit of the other's C'
        return math.inf
    reach = MOST_STRETCH * within * (1 + 0.045 * greatest) / (1 - 0.0225 * MOST_STRETCH * within)
    edges = np.linspace(0, greatest + reach, 1 + math.ceil(greatest + reach))
    low, high = edges[:-1], edges[1:]  # the other's chroma, piece by piece
    mean = (greatest + high) / 2
    hues_apart = np.full(len(low), 180.0)
    for _ in range(TURNS):
        rotation = 2 * _seventh(mean) * np.sin(np.radians(60 * _by_hue(a, b, hues_apart)))
        stretch = within / np.sqrt(1 - rotation**2 / 4)
        chroma, hue = stretch * (1 + 0.045 * mean), stretch * (1 + 0.015 * MOST_T * mean)
        half_sine = np.minimum(1, hue / np.maximum(2 * np.sqrt(least * low), SLACK))
        hues_apart = np.minimum(hues_apart, 2 * np.degrees(np.arcsin(half_sine)))
    possible = np.maximum(low - greatest, least - high) <= chroma
    chroma = np.minimum(chroma, np.maximum(high - least, greatest - low))
    both = within / np.sqrt(1 - rotation / 2) * (1 + 0.045 * mean)
    return float(np.minimum(np.hypot(chroma, hue), both)[possible].max())


def _seventh(chroma: Floats | float) -> Floats:
    """The root of ``C⁷/(C⁷ + 25⁷)``, by which G and R depend on chroma."""
    return np.asarray(np.sqrt(1 / (1 + (25 / np.maximum(chroma, 1e-9)) ** 7)))


def _by_hue(a: float, b: float, hues_apart: Floats) -> Floats:
    """The greatest share of the rotation's angle where the hues are at most that far apart."""
    hue, stretched = (math.degrees(math.atan2(b, each)) for each in (a, 1.5 * a))
    to_blue = abs((hue - BLUE_DEG + 180) % 360 - 180)
    away = np.maximum(0, to_blue - abs(hue - stretched) - hues_apart / 2)
    return np.asarray(np.exp(-((away / 25) ** 2)))
