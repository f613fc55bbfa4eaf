"""A box in L*a*b* that surely holds every colour within some CIEDE2000 of one.

A database narrows by the box, with an index; what is in it is then compared exactly.

Notes
-----
CIEDE2000 is the root of ``x² + y² + z² + R·y·z`` with ``x = ΔL'/S_L``, ``y = ΔC'/S_C`` and
``z = ΔH'/S_H``. As ``|R| < 2``, a difference of at most t means ``|x| ≤ t`` and
``y² + z² ≤ t²/(1 - |R|/2)``. With ``S_H ≤ S_C`` the second gives for the distance D of the two
colours in the plane of a' and b', in which ``ΔC'² + ΔH'² = D²``, the bound
``D ≤ S_C·t/√(1 - |R|/2)``; and a and b differ by no more than a' and b'. S_L, S_C and R depend on
the mean of both colours, which lies within half the bound of the first: so a bound gives a closer
one, from one that always holds on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

TURNS: Final = 12
"""How often a bound is made closer; later turns change less than a hundredth."""

MOST_R: Final = 2 * math.sin(math.radians(60))
"""The greatest \\|R\\|: the rotation term of CIEDE2000 at its strongest, saturated blue."""

BLUE_DEG: Final = 275.0
"""Mean hue at which that is, and 25° how quickly it fades away from there (CIE 142)."""

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
    >>> box_around((50.0, 0.0, 0.0), 1.0).lightness < 1.01
    True
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
    greatest = math.hypot(1.5 * a, b)  # a' is between a and 1.5 a
    strongest = within / math.sqrt(1 - MOST_R / 2)
    if 0.0225 * strongest >= 1:  # S_C grows by 0.045 for each unit of chroma
        return math.inf
    bound = strongest * (1 + 0.045 * greatest) / (1 - 0.0225 * strongest)
    for _ in range(TURNS):
        chroma = greatest + bound / 2
        spread = 1 - _rotation(a, b, chroma, bound) / 2
        bound = within * (1 + 0.045 * chroma) / math.sqrt(spread)
    return bound


def _rotation(a: float, b: float, chroma: float, bound: float) -> float:
    """The greatest |R| of pairs whose mean chroma is at most so much, and that far apart."""
    seventh = chroma**7
    by_chroma = 2 * math.sqrt(seventh / (seventh + 25.0**7))
    return by_chroma * math.sin(math.radians(60 * _by_hue(a, b, bound)))


def _by_hue(a: float, b: float, bound: float) -> float:
    """The greatest share of the rotation's angle, by how near to blue the mean hue may be."""
    least = math.hypot(a, b)
    if bound >= least:
        return 1.0
    hue, stretched = (math.degrees(math.atan2(b, each)) for each in (a, 1.5 * a))
    apart = abs((hue - BLUE_DEG + 180) % 360 - 180)
    unsure = abs(hue - stretched) + math.degrees(math.asin(bound / least)) / 2
    away = max(0.0, apart - unsure)
    return math.exp(-((away / 25) ** 2))
