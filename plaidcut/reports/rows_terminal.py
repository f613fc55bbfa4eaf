"""Rows that fill gaps, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from plaidcut.reports.rows_words import rows_tables
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.rug.gaps import GapRows
from plaidcut.units import Units

if TYPE_CHECKING:
    from rich.console import Console


def print_rows(gaps: Sequence[GapRows], console: Console, *, units: Units) -> None:
    """Write the ways to fill gaps on a console."""
    from rich.text import Text

    for part in (part for each in gaps for part in rows_tables(each, units)):
        if part.heading is None:
            console.print(Text(""))
        else:
            console.print(heading_of(part.heading), highlight=False)
        table = table_of(*part.columns, right=1)
        for row in part.rows:
            table.add_row(*row)
        console.print(table, highlight=False)
        if part.note is not None:
            console.print(Text(part.note), highlight=False)
