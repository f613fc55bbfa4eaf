"""Shapes to begin with where no size was measured: rough, as garments differ."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plaidcut.units import MM_PER_INCH


@dataclass(frozen=True, slots=True, kw_only=True)
class StartingShape:
    """A piece of a garment as they often are, in mm."""

    top_mm: float
    bottom_mm: float
    height_mm: float
    count: int
    """How many of it a garment has."""
    kind: str
    """What a piece of it is called."""


def _inches(top: float, bottom: float, height: float, count: int, kind: str) -> StartingShape:
    sides = (MM_PER_INCH * each for each in (top, bottom, height))
    top_mm, bottom_mm, height_mm = sides
    return StartingShape(
        top_mm=top_mm, bottom_mm=bottom_mm, height_mm=height_mm, count=count, kind=kind
    )


STARTING_SHAPES: Final = {
    "skirt": _inches(18, 24, 26, 2, "skirt panel"),  # from memory
    "kilt": _inches(288, 288, 26, 1, "kilt, unpleated"),  # S06
    "trouser leg": _inches(13, 10, 32, 2, "half of a trouser leg"),  # from memory
    "sleeve": _inches(16, 12, 20, 1, "sleeve"),  # from memory
    "blanket": _inches(60, 60, 80, 1, "blanket"),  # one page; others say 66 x 84 in
    "scarf": _inches(12, 12, 60, 1, "scarf"),  # from memory
}
