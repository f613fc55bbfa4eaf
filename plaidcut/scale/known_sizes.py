"""Sizes of flat things that lie in a drawer, and how sure they are."""

from __future__ import annotations

from typing import Final

import numpy as np

ID1_SIZE_MM: Final = (85.60, 53.98)
"""A library or loyalty card (P01)."""

ID1_CORNER_RADIUS_MM: Final = 3.18
"""Radius of its rounded corners; 2.88 to 3.48 mm (P01)."""

ID1_THICKNESS_MM: Final = 0.76
"""Its thickness, by which its face lies above the cloth (P09)."""

ID1_STD_MM: Final = 0.25 / np.sqrt(12)
"""Its longer side lies within 85.47-85.72 mm (from memory), uniformly."""

PAPER_SIZES_MM: Final = ((297.0, 210.0), (279.4, 215.9))
"""Sheets of A4 (P03) and Letter (P04), longer side first."""

PAPER_STD_MM: Final = 2.0 / np.sqrt(3)
"""A sheet's sides may be 2 mm off (P03, for A4), uniformly."""

SIDE_STD_MM: Final = 0.5 / np.sqrt(3)
"""Any other rectangle's sides may be 0.5 mm off, uniformly (from memory, no source)."""


def relative_size_std(size_mm: tuple[float, float]) -> float:
    """Relative standard uncertainty of a rectangle's own sides."""
    longer, shorter = max(size_mm), min(size_mm)

    def is_size(known: tuple[float, float]) -> bool:
        return bool(np.allclose((longer, shorter), known, rtol=0, atol=0.1))

    if is_size(ID1_SIZE_MM):
        return float(ID1_STD_MM / longer)
    if any(is_size(known) for known in PAPER_SIZES_MM):
        return float(PAPER_STD_MM / shorter)
    return float(SIDE_STD_MM / shorter)
