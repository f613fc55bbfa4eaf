"""The shelf on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from plaidcut.reports.shelf_words import (
    amount_words,
    bands_line,
    cloths_words,
    count_words,
    entry_lines,
    found_lines,
)
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.shelved import Entry, Failed, Found, FoundCloth
from plaidcut.units import Units

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

ROW_WIDE: Final = 60
"""Characters of a row of bands."""

MEASURE_ANEW: Final = "Measure it anew: plaidcut shelf add PHOTO --again --name NAME."


def print_shelf(entries: Sequence[Entry], console: Console, *, units: Units) -> None:
    """Write the list of cloths on a console."""
    from rich.text import Text

    if not entries:
        console.print(Text("The shelf is empty."))
        return
    console.print(heading_of(f"{count_words(len(entries), 'cloth')} on the shelf"))
    table = table_of("Cloth", "Kind", "How much", "Where")
    for column in table.columns:
        column.no_wrap = False
    for entry in entries:
        table.add_row(
            *(Text(entry.name), entry.kind),
            *(Text(amount_words(entry.about, units)), Text(entry.about.place)),
        )
    console.print(table, highlight=False)


def print_entry(entry: Entry, console: Console, *, units: Units) -> None:
    """Write what is known of one cloth on a console."""
    from rich.text import Text

    console.print(heading_of(entry.name))
    for line in entry_lines(entry, units):
        console.print(Text(line), highlight=False)
    if not entry.colours_hold:
        console.print(Text(MEASURE_ANEW), highlight=False)


def print_removed(entry: Entry, console: Console) -> None:
    """Say that a cloth is gone."""
    from rich.text import Text

    console.print(Text(f'"{entry.name}" is off the shelf.'))


def print_added(
    added: Sequence[str], there: Sequence[str], failed: Sequence[Failed], console: Console
) -> None:
    """Say what came onto the shelf and what didn't."""
    from rich.text import Text

    if added:
        console.print(Text(f"On the shelf now: {', '.join(added)}."))
    if there:
        console.print(Text(f"On the shelf before: {', '.join(there)}."))
    if failed:
        console.print(heading_of(f"Not measured: {count_words(len(failed), 'photo')}"))
    for each in failed:
        console.print(Text(f"{each.file}: {each.message}\n  {each.hint}"))
    if not added and not there and not failed:
        console.print(Text("Nothing came onto the shelf."))


def print_checked(
    cloths: int, mended: Sequence[str], left: Sequence[str], console: Console
) -> None:
    """Say what a check has mended, and what it could not."""
    from rich.text import Text

    console.print(Text(f"Looked at {count_words(cloths, 'cloth')}."))
    for heading, lines in (("Mended", mended), ("Not to be mended", left)):
        if lines:
            console.print(heading_of(heading))
        for line in lines:
            console.print(Text(f"- {line}"))
    if not mended and not left:
        console.print(Text("All is well."))


def print_found(found: Found, console: Console, *, units: Units) -> None:
    """Write what was found on a console, the best first, each with its row of bands."""
    from rich.text import Text

    if not found.cloths:
        console.print(Text("No cloth on the shelf fits."))
    for each in found.cloths:
        console.print(Text(f"\n{each.entry.name}", style="bold"))
        for line in found_lines(each):
            console.print(Text(line), highlight=False)
        if console.color_system in {"256", "truecolor"}:  # sixteen colours would mislead
            console.print(row_of(each))
        console.print(Text(bands_line(each, units)), highlight=False)
    told = len(found.cloths)
    if told and found.count > told:
        console.print(Text(f"\nThe best {told} of {found.count}; more with --most."))
    if found.amount_unknown:
        console.print(
            Text(
                f"\n{cloths_words(found.amount_unknown)} fit but for the amount: how large the "
                "pieces are isn't known. Say so with plaidcut shelf set NAME --pieces."
            )
        )


def row_of(found: FoundCloth) -> Text:
    """The row of bands in the colours that strips read, wide as the bands are."""
    from rich.text import Text

    row = Text()
    whole_mm = sum(band.width_mm for band in found.bands)
    for band in found.bands:
        wide = max(1, round(ROW_WIDE * band.width_mm / whole_mm))
        row.append(" " * wide, style=f"on {band.hex}")
    return row
