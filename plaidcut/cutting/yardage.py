"""Cloth in yards, from its area or its weight."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from plaidcut.units import MM_PER_INCH

WASHED_YARD_MM: Final = (32 * MM_PER_INCH, 52 * MM_PER_INCH)
"""A yard of rug wool, washed and ready to cut (W07)."""

PIECES: Final = tuple(Fraction(text) for text in ("1/32", "1/16", "1/8", "1/4", "1/2", "3/4", "1"))
"""Parts of a yard that are sold (W07)."""

OUNCE_G: Final = 28.349523125
"""Avoirdupois, exact by definition (from memory)."""

YARD_WEIGHT_G: Final = (12 * OUNCE_G, 16 * OUNCE_G)
"""Weight of a yard, which is disputed: 14-16 oz (S07), or 12-14 oz by the page that
``docs/sources.md`` names after it."""

YARD_MM: Final = 36 * MM_PER_INCH

SQUARE_INCH_MM2: Final = MM_PER_INCH**2


def yards_of_area(area_mm2: float, *, cloth_width_mm: float) -> float:
    """How many running yards of a cloth of some width have that area.

    Examples
    --------
    >>> yards_of_area(36 * 57 * 25.4**2, cloth_width_mm=57 * 25.4)
    1.0
    """
    return area_mm2 / (YARD_MM * cloth_width_mm)


def washed_piece(area_mm2: float) -> Fraction | None:
    """The smallest piece of a washed yard that is sold which holds an area; None beyond a yard.

    Examples
    --------
    >>> washed_piece(360 * SQUARE_INCH_MM2)
    Fraction(1, 4)
    """
    yard_mm2 = WASHED_YARD_MM[0] * WASHED_YARD_MM[1]
    return next((each for each in PIECES if each * yard_mm2 >= area_mm2 - 1e-3), None)


def weight_of_area(area_mm2: float) -> tuple[float, float]:
    """What an area of washed wool weighs, in grams: from, to, as yards differ."""
    yards = area_mm2 / (WASHED_YARD_MM[0] * WASHED_YARD_MM[1])
    low, high = YARD_WEIGHT_G
    return yards * low, yards * high


def yards_of_weight(weight_g: float, *, yard_g: float) -> float:
    """How many running yards weigh that much, of a cloth whose yard weighs ``yard_g``."""
    return weight_g / yard_g
