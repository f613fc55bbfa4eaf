"""How long the strips are that come out of a piece of any shape."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import MM_PER_INCH

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

SHORTEST_MM: Final = 6 * MM_PER_INCH
"""Shorter strips are bits, good for little (common practice, no source: none shorter than 3 in
is hooked, two tails and a few loops)."""

LIKED_MM: Final = 16 * MM_PER_INCH
"""Length that strips are sold in (trade pages)."""


def clear_spans(cloth: BaseGeometry, start_mm: float, end_mm: float) -> list[tuple[float, float]]:
    """The stretches along a lane over which there is cloth from side to side.

    Parameters
    ----------
    cloth
        The piece, strips running along y.
    start_mm, end_mm
        The lane: from, to, across the strips.

    Returns
    -------
    list of (float, float)
        From and to along the strip, in mm, in order.

    Notes
    -----
    What of the lane is no cloth is a set of parts; each spoils the lane from its lowest to its
    highest point. What is between is clear.

    Examples
    --------
    >>> from shapely import box
    >>> clear_spans(box(0, 0, 20, 100) - box(5, 40, 6, 50), 0, 10)
    [(0.0, 40.0), (50.0, 100.0)]
    """
    from shapely import box

    _, low, _, high = cloth.bounds
    # a hair narrower, as a lane may lie along an edge of the cloth
    lane = box(start_mm + TOLERANCE_MM, low, end_mm - TOLERANCE_MM, high)
    gone = lane.difference(cloth)
    parts = getattr(gone, "geoms", [gone])
    spoilt = sorted((part.bounds[1], part.bounds[3]) for part in parts if not part.is_empty)
    spans, at_mm = [], low
    for from_mm, to_mm in [*spoilt, (high, high)]:
        if from_mm - at_mm > TOLERANCE_MM:
            spans.append((at_mm, from_mm))
        at_mm = max(at_mm, to_mm)
    return spans


def parts_of(length_mm: float, *, liked_mm: float, shortest_mm: float) -> int:
    """Into how many equal strips a length is divided: as near to the liked one as can be.

    0 for a bit, which is shorter than the shortest strip.

    Examples
    --------
    >>> [parts_of(inches, liked_mm=16, shortest_mm=6) for inches in (5, 6, 20, 26, 64)]
    [0, 1, 1, 2, 4]
    """
    most = int((length_mm + TOLERANCE_MM) // shortest_mm)
    return min(most, max(1, round(length_mm / liked_mm)))
