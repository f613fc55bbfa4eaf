"""Gaps to fill: typed, or measured between two points on a photo of the pattern."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.cutting.cuts import Cut
from plaidcut.errors import UsageError
from plaidcut.rug.coverage import Multiplier, strip_length_mm
from plaidcut.rug.rows import (
    Filling,
    Lettering,
    RowWidths,
    border_row_lengths,
    fillings,
    lettering,
)
from plaidcut.scale.plane import Scale

POINTING_PX: Final = 1.0
"""How well a point is shown on a photo, standard deviation along the gap (chosen here)."""

Points = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A gap between two lines of a pattern."""

    width_mm: float
    std_mm: float = 0.0
    """Standard uncertainty; 0 for one that was typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BorderRows:
    """A border of whole rows."""

    cut: Cut
    rows: int
    rows_mm: float
    """Length of all its rows, along their middles."""
    area_mm2: float
    strips_mm: tuple[float, float, float]
    """Length of strip that it takes: low, typical, high."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GapRows:
    """The ways to fill a gap."""

    gap: Gap
    single: tuple[Filling, ...]
    mixed: tuple[Filling, ...]
    borders: tuple[BorderRows, ...]
    """For each single cut, where the gap is the width of a border."""
    lettering: tuple[Lettering, ...]
    """Where the gap is a letter's stroke."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatToFill:
    """What fills gaps, and what they are."""

    cuts: tuple[Cut, ...]
    widths: RowWidths
    border_mm: tuple[float, float] | None = None
    """Outside size of a border whose width the gap is."""
    space_mm: float | None = None
    """Space between and inside letters, whose stroke the gap is."""


def check_inside(points_px: Points, size_px: tuple[int, int]) -> None:
    """Refuse points that lie beyond the photo, with UsageError."""
    width, height = size_px
    for x, y in points_px:
        if not (0 <= x < width and 0 <= y < height):
            msg = f"The point {x:g},{y:g} lies beyond the photo of {width} x {height} pixels."
            raise UsageError(msg, hint="Pixels are counted from its upper left corner.")


def gap_between(points_px: Points, scale: Scale) -> Gap:
    """The distance of two points of a photo, on the plane that the scale lies on."""
    first, second = scale.to_mm(np.array(points_px, float))
    width_mm = float(np.linalg.norm(second - first))
    pointing_mm = math.sqrt(2) * POINTING_PX / scale.px_per_mm
    return Gap(width_mm=width_mm, std_mm=math.hypot(pointing_mm, scale.relative_std * width_mm))


def rows_of_gap(gap: Gap, what: WhatToFill, multipliers: Sequence[Multiplier]) -> GapRows:
    """Fill a gap with whole rows.

    Parameters
    ----------
    gap
        Its width.
    what
        What it is, and with which cuts.
    multipliers
        Wool over hooked area, for each of the cuts.

    Raises
    ------
    NothingFits
        If no row fits, or a border's rows meet in its middle.
    """
    single, mixed = fillings(gap.width_mm, what.cuts, widths=what.widths)
    takes = dict(zip((cut.name for cut in what.cuts), multipliers, strict=True))
    borders: list[BorderRows] = []
    if what.border_mm is not None:
        for filling in single:
            (rows,) = filling.rows
            row_mm = what.widths.of(rows.cut)
            length_mm = sum(border_row_lengths(what.border_mm, rows.count, row_mm=row_mm))
            takes_cut = takes[rows.cut.name]
            low, typical, high = (
                strip_length_mm(length_mm * row_mm, cut_mm=rows.cut.width_mm, multiplier=multiplier)
                for multiplier in (takes_cut.low, takes_cut.typical, takes_cut.high)
            )
            borders.append(
                BorderRows(
                    cut=rows.cut,
                    rows=rows.count,
                    rows_mm=length_mm,
                    area_mm2=length_mm * row_mm,
                    strips_mm=(low, typical, high),
                )
            )
    letters = (
        ()
        if what.space_mm is None
        else lettering(gap.width_mm, what.space_mm, what.cuts, widths=what.widths)
    )
    return GapRows(gap=gap, single=single, mixed=mixed, borders=tuple(borders), lettering=letters)
