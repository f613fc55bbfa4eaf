"""The cut table on the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from plaidcut.cutting.cuts import CutTable
from plaidcut.cutting.measured_cut import MeasuredCut
from plaidcut.reports.cuts_words import AGREED, NUMBERING, cut_lines
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.units import Units, format_measured

if TYPE_CHECKING:
    from rich.console import Console


def print_cuts(table: CutTable, own: Mapping[str, float], console: Console) -> None:
    """Write the cuts on a console."""
    from rich.text import Text

    console.print(heading_of("Your cuts"))
    rows = table_of("Cut", "Inches", "mm", "Strips a pass", "", right=1)
    for line in cut_lines(table, own):
        rows.add_row(
            *(line.cut.label, line.inches, line.mm, str(line.cut.strips_per_pass)),
            "as yours cuts" if line.own else "",
        )
    console.print(rows, highlight=False)
    console.print(Text(f"{NUMBERING[table.numbering]} {AGREED}"))


def measured_words(cut: MeasuredCut, units: Units) -> str:
    """What a photo of strips told of her cutter."""
    width = format_measured(cut.width_mm, 2 * cut.width_std_mm, units)
    return f"{cut.name}: your cutter cuts {width}, by {cut.strips} strips."
