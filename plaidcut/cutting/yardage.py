"""Cloth in yards, from its area or its weight."""

from __future__ import annotations

from typing import Final

from plaidcut.units import MM_PER_INCH

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


def yards_of_weight(weight_g: float, *, yard_g: float) -> float:
    """How many running yards weigh that much, of a cloth whose yard weighs ``yard_g``."""
    return weight_g / yard_g
