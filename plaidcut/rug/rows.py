"""Which cuts fill a gap in whole rows.

Rows lie side by side about one strip's width apart, so a row is taken as wide as its strip,
unless she has counted her own rows per inch.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.errors import NothingFits
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import MM_PER_INCH, told

MOST_ROWS: Final = 400
"""Rows beyond which a gap is no gap but a field, and is reckoned by its area."""

ROWS_RANGE: Final = (0.5, 24.0)
"""Rows to the inch that anybody hooks: torn strips to the finest cut on the finest backing (chosen
here)."""

TWO_CUTS_NARROWER: Final = 2
"""How many cuts down the strips are that hold a letter's place (O04)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowWidths:
    """How wide a row of each cut is."""

    rows_per_inch: Mapping[str, float]
    """Her own, by the cut's name; a row is as wide as its strip where she has none."""

    def of(self, cut: Cut) -> float:
        """Width of a row in mm."""
        own = self.rows_per_inch.get(cut.name)
        return cut.width_mm if own is None else MM_PER_INCH / own


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Rows of one cut."""

    cut: Cut
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """A way to fill a gap with whole rows."""

    rows: tuple[Rows, ...]
    """Of one cut, or of two, the wider first."""
    spare_mm: float
    """What is left of the gap; hardly more than nought where they fill it exactly."""
    over_mm: float | None
    """By how much one more row would be over; None for mixtures."""

    @property
    def count(self) -> int:
        """All rows."""
        return sum(each.count for each in self.rows)


def fillings(
    gap_mm: float, cuts: Sequence[Cut], *, widths: RowWidths
) -> tuple[tuple[Filling, ...], tuple[Filling, ...]]:
    """The ways to fill a gap: with each single cut, and with mixtures of two.

    Parameters
    ----------
    gap_mm
        Width of the gap.
    cuts
        The cuts at hand.
    widths
        How wide their rows are.

    Returns
    -------
    tuple of Filling, tuple of Filling
        One for each cut of which a row fits, and those mixtures that leave less than the best
        single cut; both with the least spare first, then the fewest rows.

    Raises
    ------
    NothingFits
        If not even a row of the narrowest cut fits, or the gap is no gap.

    Examples
    --------
    >>> from plaidcut.cutting.cuts import cut_table, parse_cut
    >>> three = [parse_cut(name, cut_table()) for name in ("7", "8", "8.5")]
    >>> single, _ = fillings(6.35, three, widths=RowWidths(rows_per_inch={}))
    >>> [(each.rows[0].cut.name, each.count, round(each.spare_mm, 2)) for each in single]
    [('8', 1, 0.0), ('7', 1, 0.79)]
    """
    by_width = sorted(cuts, key=widths.of, reverse=True)
    narrowest = by_width[-1]
    if gap_mm < widths.of(narrowest) - TOLERANCE_MM:
        msg = f"A gap of {told(gap_mm)} is narrower than a row of {narrowest.label}."
        raise NothingFits(msg, hint="Draw the gap wider, or use a narrower cut.")
    if gap_mm > MOST_ROWS * widths.of(narrowest):
        msg = f"A gap of {told(gap_mm)} takes hundreds of rows: it is a field."
        raise NothingFits(msg, hint="Reckon it by its area, with plaidcut rug.")
    single = [
        _filling(gap_mm, [(cut, rows)], widths)
        for cut in by_width
        for rows in [_fitting(gap_mm, cut, widths)]
        if rows
    ]
    least_mm = min(each.spare_mm for each in single)
    mixed = [
        _filling(gap_mm, [(wide, some), (narrow, rest)], widths)
        for wide, narrow in combinations(by_width, 2)
        for some in range(1, _fitting(gap_mm, wide, widths) + 1)
        for rest in [_fitting(gap_mm - some * widths.of(wide), narrow, widths)]
        if rest
    ]
    better = [each for each in mixed if each.spare_mm < least_mm - TOLERANCE_MM]
    return tuple(sorted(single, key=_order)), tuple(sorted(better, key=_order))


def narrower(cut: Cut, table: Sequence[Cut], *, by: int = TWO_CUTS_NARROWER) -> Cut | None:
    """The cut so many steps narrower; None below the narrowest."""
    below = sorted(
        (each for each in table if each.width_mm < cut.width_mm - TOLERANCE_MM),
        key=lambda each: -each.width_mm,
    )
    return below[by - 1] if len(below) >= by else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering:
    """Whether letters can be hooked in a cut."""

    cut: Cut
    stroke_rows: int
    """Rows in a stroke; 0 where not one fits."""
    stroke_spare_mm: float
    space_rows: int
    """Rows of ground between and inside letters; 0 where not one fits."""
    space_spare_mm: float
    holds_place: Cut | None
    """The cut that holds the letters' place while the ground goes in; None if there is none."""

    @property
    def fits(self) -> bool:
        """Whether stroke and space both take a row at least."""
        return self.stroke_rows > 0 and self.space_rows > 0


def lettering(
    stroke_mm: float, space_mm: float, cuts: Sequence[Cut], *, widths: RowWidths
) -> tuple[Lettering, ...]:
    """How letters of some stroke come out in each cut, the least spare first, those that fit.

    The strips that hold a letter's place are two cuts narrower, hooked as high as the final cut
    (O04).
    """
    found = []
    for cut in cuts:
        stroke, space = _fitting(stroke_mm, cut, widths), _fitting(space_mm, cut, widths)
        wide_mm = widths.of(cut)
        found.append(
            Lettering(
                cut=cut,
                stroke_rows=stroke,
                stroke_spare_mm=stroke_mm - stroke * wide_mm,
                space_rows=space,
                space_spare_mm=space_mm - space * wide_mm,
                holds_place=narrower(cut, cuts),
            )
        )
    return tuple(
        sorted(found, key=lambda each: (not each.fits, each.stroke_spare_mm + each.space_spare_mm))
    )


def border_row_lengths(
    outside_mm: tuple[float, float], rows: int, *, row_mm: float
) -> tuple[float, ...]:
    """Lengths of the rows of a rectangular border, from the outside in, along their middles.

    Each corner is counted once: so their sum times the row's width is the border's area.

    Raises
    ------
    NothingFits
        If the rows meet in the middle.

    Examples
    --------
    >>> border_row_lengths((100.0, 60.0), 2, row_mm=5.0)
    (300.0, 260.0)
    """
    wide_mm, high_mm = outside_mm
    if 2 * rows * row_mm > min(wide_mm, high_mm) + TOLERANCE_MM:
        msg = f"{rows} rows on each side leave nothing inside {told(wide_mm)} x {told(high_mm)}."
        raise NothingFits(msg, hint="Choose fewer rows, or give the border's outside size.")
    return tuple(2 * (wide_mm + high_mm) - 8 * (number + 0.5) * row_mm for number in range(rows))


def _fitting(room_mm: float, cut: Cut, widths: RowWidths) -> int:
    """Whole rows of a cut in some room."""
    return max(0, int((room_mm + TOLERANCE_MM) // widths.of(cut)))


def _filling(gap_mm: float, rows: Sequence[tuple[Cut, int]], widths: RowWidths) -> Filling:
    used_mm = sum(count * widths.of(cut) for cut, count in rows)
    return Filling(
        rows=tuple(Rows(cut=cut, count=count) for cut, count in rows),
        spare_mm=max(0.0, gap_mm - used_mm),
        over_mm=used_mm + widths.of(rows[0][0]) - gap_mm if len(rows) == 1 else None,
    )


def _order(filling: Filling) -> tuple[float, int]:
    return round(filling.spare_mm, 6), filling.count
