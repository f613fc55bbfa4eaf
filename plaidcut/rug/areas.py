"""The areas of a rug: what shapes they are, and how large."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plaidcut.cutting.shapes import Point, outline_of
from plaidcut.errors import UsageError


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """How large an area is."""

    area_mm2: float
    rows: int | None = None
    """Rows across it, where it is a border or a line of rows."""


def rectangle_extent(width_mm: float, height_mm: float) -> Extent:
    """A rectangle."""
    return Extent(area_mm2=width_mm * height_mm)


def ellipse_extent(width_mm: float, height_mm: float) -> Extent:
    """An ellipse or, with both alike, a circle.

    Examples
    --------
    >>> round(ellipse_extent(76.2, 76.2).area_mm2 / 25.4**2, 2)
    7.07
    """
    return Extent(area_mm2=math.pi * width_mm * height_mm / 4)


def polygon_extent(points: Sequence[Point]) -> Extent:
    """A polygon; UsageError where it crosses itself."""
    return Extent(area_mm2=float(outline_of(points).area))


def border_extent(
    outside_mm: tuple[float, float], thick_mm: float, *, oval: bool, rows: int | None = None
) -> Extent:
    """A border of some thickness along a rectangle or an oval, each corner counted once.

    Raises
    ------
    UsageError
        If it meets itself in the middle.
    """
    wide_mm, high_mm = outside_mm
    inside = wide_mm - 2 * thick_mm, high_mm - 2 * thick_mm
    if min(inside) < 0:
        msg = "the border is so thick that nothing is inside it."
        raise UsageError(msg, hint="Give its outside size, and a thickness below half of it.")
    shape = ellipse_extent if oval else rectangle_extent
    return Extent(area_mm2=shape(wide_mm, high_mm).area_mm2 - shape(*inside).area_mm2, rows=rows)


def line_extent(length_mm: float, rows: int, *, row_mm: float) -> Extent:
    """Rows side by side along a line."""
    return Extent(area_mm2=length_mm * rows * row_mm, rows=rows)
