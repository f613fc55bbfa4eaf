"""Loose strips and their cuts, on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plaidcut.cutting.which_cut import NamedStrips
from plaidcut.reports.loose_words import HOW_READ, loose_content
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.units import Units

if TYPE_CHECKING:
    from rich.console import Console


def print_loose(named: NamedStrips, console: Console, *, units: Units) -> None:
    """Write the strips of a photo on a console: each width before the cut's name."""
    from rich.text import Text

    content = loose_content(named, units=units)
    console.print(heading_of(content.title))
    table = table_of("No.", "Width", "scatter", "Cut", "sure", "Reads")
    for row in content.rows:
        table.add_row(str(row.number), row.width, row.scatter, row.cut, row.sure, row.reads)
    console.print(table, highlight=False)
    for row in content.rows:
        if row.remarks:
            console.print(Text(f"Strip {row.number}: {row.remarks}"))
    console.print(heading_of("How many"))
    counts = table_of("Cut", "Strips", right=1)
    for count in content.counts:
        counts.add_row(count.label, str(count.count))
    console.print(counts, highlight=False)
    console.print(Text(f"\n{HOW_READ}"))
    for caution in content.cautions:
        console.print(Text(f"\n{caution}"))
