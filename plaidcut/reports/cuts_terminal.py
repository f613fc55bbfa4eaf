"""The cut table on the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.cuts import CutTable, Numbering
from plaidcut.cutting.measured_cut import MeasuredCut
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.units import Units, format_length, format_measured

if TYPE_CHECKING:
    from rich.console import Console

_WORDS: Final = {
    Numbering.STEPPED: "Numbers above #8 are steps up to 1/2 in.",
    Numbering.THIRTY_SECONDS: "Numbers above #8 are still 32nds of an inch.",
}


def print_cuts(table: CutTable, own: Mapping[str, float], console: Console) -> None:
    """Write the cuts on a console."""
    from rich.text import Text

    console.print(heading_of("Your cuts"))
    rows = table_of("Cut", "Inches", "mm", "Strips a pass", "", right=1)
    for cut in table.cuts:
        rows.add_row(
            cut.label,
            format_length(cut.width_mm, Units.IN).removesuffix(" in"),
            format_length(cut.width_mm, Units.MM).removesuffix(" mm"),
            str(cut.strips_per_pass),
            "as yours cuts" if cut.name in own else "",
        )
    console.print(rows, highlight=False)
    console.print(Text(f"{_WORDS[table.numbering]} Up to #8 everybody means 32nds."))


def measured_words(cut: MeasuredCut, units: Units) -> str:
    """What a photo of strips told of her cutter."""
    width = format_measured(cut.width_mm, 2 * cut.width_std_mm, units)
    return f"{cut.name}: your cutter cuts {width}, by {cut.strips} strips."
