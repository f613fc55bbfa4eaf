"""Rows that fill gaps, as tables of words: what both faces show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.lengths import LIKED_MM
from plaidcut.reports.lengths_words import long_words
from plaidcut.rug.gaps import GapRows
from plaidcut.rug.rows import Filling, Lettering
from plaidcut.units import Units, format_measured, is_nought, on_ruler, ruler_step_mm

MOST_MIXTURES: Final = 6
"""Mixtures that are shown; the rest leaves more."""

HOLD_PLACE: Final = (
    "To keep letters sharp, hook them first with the narrower cut named here, as high as the "
    "final cut's loops; hook the ground up to them; then pull the narrow rows out and hook the "
    "letters in the final cut, which fills their place tightly (common practice)."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RowsTable:
    """A table, what stands above it, and what beneath."""

    heading: str | None = None
    """None where it goes on with the one before."""
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str | None = None


def rows_tables(found: GapRows, units: Units) -> tuple[RowsTable, ...]:
    """The ways to fill a gap."""
    return tuple(_tables(found, units))


def _tables(found: GapRows, units: Units) -> Iterator[RowsTable]:
    gap = found.gap
    note = "± holds 19 times in 20; spare is reckoned from the middle of it."
    note_of_gap = note if gap.std_mm else None
    yield RowsTable(
        heading=f"A gap of {format_measured(gap.width_mm, 2 * gap.std_mm, units)}, in whole rows",
        columns=("Cut", "Rows", "To spare", "One more is over by"),
        rows=tuple(
            (
                *(each.rows[0].cut.label, str(each.rows[0].count)),
                _spare(each.spare_mm, units),
                _over(each.over_mm or 0.0, gap.std_mm, units),
            )
            for each in found.single
        ),
        note=None if found.mixed else note_of_gap,
    )
    if found.mixed:
        yield RowsTable(
            columns=("Two cuts", "To spare"),
            rows=tuple(
                (mixture_words(each), _spare(each.spare_mm, units))
                for each in found.mixed[:MOST_MIXTURES]
            ),
            note=note_of_gap,
        )
    if found.borders:
        yield _borders(found, units)
    if found.lettering:
        yield _letters(found.lettering, units)


def mixture_words(filling: Filling) -> str:
    """``3 of #8 and 1 of #5``."""
    return " and ".join(f"{each.count} of {each.cut.label}" for each in filling.rows)


def _spare(spare_mm: float, units: Units) -> str:
    return "nothing" if is_nought(spare_mm, units) else on_ruler(spare_mm, units)


def _over(over_mm: float, std_mm: float, units: Units) -> str:
    """By how much one more row is over; whether that is less than is known of the gap."""
    least = on_ruler(ruler_step_mm(units), units)
    words = f"under {least}" if is_nought(over_mm, units) else on_ruler(over_mm, units)
    return f"{words}, within the ±" if over_mm <= 2 * std_mm else words


def _borders(found: GapRows, units: Units) -> RowsTable:
    rows = []
    for each in found.borders:
        low, _, high = each.strips_mm
        rows.append(
            (
                each.cut.label,
                str(each.rows),
                long_words(each.rows_mm, units),
                f"{long_words(low, units)} to {long_words(high, units)}",
                f"{low / LIKED_MM:.0f}-{high / LIKED_MM:.0f}",
            )
        )
    strips = f"Strips of {on_ruler(LIKED_MM, units)}"
    return RowsTable(
        heading="As a border, each corner counted once",
        columns=("Cut", "Rows", "Rows in all", "Strip it takes", strips),
        rows=tuple(rows),
        note="The range is that of published figures, or your own test square.",
    )


def _letters(letters: Sequence[Lettering], units: Units) -> RowsTable:
    rows = []
    for each in letters:
        over_mm = each.stroke_spare_mm + each.space_spare_mm
        rows.append(
            (
                each.cut.label,
                str(each.stroke_rows or "does not fit"),
                str(each.space_rows or "does not fit"),
                _spare(over_mm, units) if each.fits else "",
                each.holds_place.label if each.holds_place and each.fits else "-",
            )
        )
    return RowsTable(
        heading="As the stroke of letters",
        columns=("Cut", "Rows in a stroke", "Rows between", "Left over", "Hold with"),
        rows=tuple(rows),
        note=HOLD_PLACE,
    )
