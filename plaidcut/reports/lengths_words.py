"""Lengths of many strips and areas in words."""

from __future__ import annotations

from typing import Final

from plaidcut.cutting.yardage import SQUARE_INCH_MM2
from plaidcut.units import MM_PER_INCH, Units

MM_PER_FOOT: Final = 12 * MM_PER_INCH
MM_PER_METRE: Final = 1000.0
MM2_PER_CM2: Final = 100.0


def long_words(length_mm: float, units: Units) -> str:
    """A length of many strips: feet or metres."""
    if units is Units.IN:
        return f"{length_mm / MM_PER_FOOT:.0f} ft"
    return f"{length_mm / MM_PER_METRE:.1f} m"


def area_words(area_mm2: float, units: Units) -> str:
    """An area: square inches or centimetres."""
    if units is Units.IN:
        return f"{area_mm2 / SQUARE_INCH_MM2:.0f} sq in"
    return f"{area_mm2 / MM2_PER_CM2:.0f} cm²"
