"""Rows that fill gaps, on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.lengths import LIKED_MM
from plaidcut.reports.lengths_words import long_words
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.rug.gaps import GapRows
from plaidcut.rug.rows import Filling, Lettering
from plaidcut.units import Units, format_measured, is_nought, on_ruler, ruler_step_mm

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

MOST_MIXTURES: Final = 6
"""Mixtures that are shown; the rest leaves more."""

HOLD_PLACE: Final = (
    "To keep letters sharp, hook them first with the narrower cut named here, as high as the "
    "final cut's loops; hook the ground up to them; then pull the narrow rows out and hook the "
    "letters in the final cut, which fills their place tightly (common practice)."
)


def print_rows(gaps: Sequence[GapRows], console: Console, *, units: Units) -> None:
    """Write the ways to fill gaps on a console."""
    for each in gaps:
        for part in _parts(each, units):
            console.print(part, highlight=False)


def _parts(found: GapRows, units: Units) -> Iterator[RenderableType]:
    from rich.text import Text

    gap = found.gap
    width = format_measured(gap.width_mm, 2 * gap.std_mm, units)
    yield heading_of(f"A gap of {width}, in whole rows")
    table = table_of("Cut", "Rows", "To spare", "One more is over by", right=1)
    for each in found.single:
        (rows,) = each.rows
        table.add_row(
            rows.cut.label,
            str(rows.count),
            _spare(each.spare_mm, units),
            _over(each.over_mm or 0.0, gap.std_mm, units),
        )
    yield table
    if found.mixed:
        table = table_of("Two cuts", "To spare", right=1)
        for each in found.mixed[:MOST_MIXTURES]:
            table.add_row(mixture_words(each), _spare(each.spare_mm, units))
        yield Text("")
        yield table
    if gap.std_mm:
        yield Text("± holds 19 times in 20; spare is reckoned from the middle of it.")
    if found.borders:
        yield from _borders(found, units)
    if found.lettering:
        yield from _letters(found.lettering, units)


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


def _borders(found: GapRows, units: Units) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of("As a border, each corner counted once")
    strips = f"Strips of {on_ruler(LIKED_MM, units)}"
    table = table_of("Cut", "Rows", "Rows in all", "Strip it takes", strips, right=1)
    for each in found.borders:
        low, _, high = each.strips_mm
        table.add_row(
            each.cut.label,
            str(each.rows),
            long_words(each.rows_mm, units),
            f"{long_words(low, units)} to {long_words(high, units)}",
            f"{low / LIKED_MM:.0f}-{high / LIKED_MM:.0f}",
        )
    yield table
    yield Text("The range is that of published figures, or your own test square.")


def _letters(letters: Sequence[Lettering], units: Units) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of("As the stroke of letters")
    table = table_of("Cut", "Rows in a stroke", "Rows between", "Left over", "Hold with", right=1)
    for each in letters:
        over_mm = each.stroke_spare_mm + each.space_spare_mm
        table.add_row(
            each.cut.label,
            str(each.stroke_rows or "does not fit"),
            str(each.space_rows or "does not fit"),
            _spare(over_mm, units) if each.fits else "",
            each.holds_place.label if each.holds_place and each.fits else "-",
        )
    yield table
    yield Text(HOLD_PLACE)
