"""The cut table in words: what both faces show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.cuts import Cut, CutTable, Numbering
from plaidcut.units import Units, format_length

NUMBERING: Final = {
    Numbering.STEPPED: "Numbers above #8 are steps up to 1/2 in.",
    Numbering.THIRTY_SECONDS: "Numbers above #8 are still 32nds of an inch.",
}

AGREED: Final = "Up to #8 everybody means 32nds."


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLine:
    """A cut of the table."""

    cut: Cut
    inches: str
    mm: str
    own: bool
    """Whether its width is what her own cutter cuts."""


def cut_lines(table: CutTable, own: Mapping[str, float]) -> tuple[CutLine, ...]:
    """The cuts of a table, narrowest first; ``own`` has her own widths in mm, by name."""
    return tuple(
        CutLine(
            cut=cut,
            inches=format_length(cut.width_mm, Units.IN).removesuffix(" in"),
            mm=format_length(cut.width_mm, Units.MM).removesuffix(" mm"),
            own=cut.name in own,
        )
        for cut in table.cuts
    )
