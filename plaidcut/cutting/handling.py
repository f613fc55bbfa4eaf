"""How cloth is handled at the cutter: how true its edges are, what can be torn and trimmed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.yields import WANDER_TORN_MM
from plaidcut.units import MM_PER_INCH

BY_EYE: Final = 2.0
"""How many times as far an edge strays when the piece is fed by eye along a stripe, not with a
torn edge along the guide (common practice, no source)."""

TRUE_OVER_MM: Final = 16 * MM_PER_INCH
"""Length of a piece over which an edge strays no farther than usual (common practice, no source);
beyond it the straying grows as the length does."""

LEAST_TRIM_MM: Final = MM_PER_INCH / 4
"""The least that ruler and rotary cutter trim off cleanly (common practice, no source)."""

LEAST_TEAR_MM: Final = MM_PER_INCH / 2
"""Nothing narrower tears cleanly (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """What hand and tool can do."""

    wander_mm: float = WANDER_TORN_MM
    """How far an edge strays on a piece of usual length, off a torn edge."""
    by_eye: bool = False
    """Whether the piece is fed by eye along a stripe."""
    least_trim_mm: float = LEAST_TRIM_MM
    least_tear_mm: float = LEAST_TEAR_MM

    def wander_over(self, length_mm: float) -> float:
        """How far an edge strays on a piece of some length, in mm.

        Examples
        --------
        >>> Handling(wander_mm=1.0, by_eye=True).wander_over(32 * 25.4)
        4.0
        """
        longer = max(1.0, length_mm / TRUE_OVER_MM)
        return self.wander_mm * longer * (BY_EYE if self.by_eye else 1.0)
