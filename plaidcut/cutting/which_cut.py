"""Which cut a measured strip is: the nearest of a table, and how certain that is."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, hypot, pi, sqrt
from typing import Final

from plaidcut.cutting.cuts import Cut, CutTable
from plaidcut.loose.strips import LooseStrip, LooseStrips, Odd

CUTTER_STD_MM: Final = 0.12
"""How far cutters stray from what their cuts are said to be (standard deviation; from memory, no
source). Her own measured widths stray less, but wool gives when it is cut."""

STRANGE_PER_MM: Final = 0.005
"""How likely a strip is none of the table's cuts, for each millimetre of width (chosen here)."""

SURE: Final = 0.95
"""A cut is named when it is at least this likely; else it is said to be between two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """What a width is called."""

    width_mm: float
    nearest: Cut
    """The cut of the nearest width."""
    certainty: float
    """How likely it is the nearest one, 0..1."""
    other: Cut | None
    """The next likely cut, where the nearest isn't sure."""

    @property
    def cut(self) -> Cut | None:
        """The cut that it surely is; None where that isn't sure."""
        return self.nearest if self.certainty >= SURE else None

    @property
    def off_mm(self) -> float:
        """How much wider it is than the nearest cut."""
        return self.width_mm - self.nearest.width_mm


def which_cut(width_mm: float, std_mm: float, table: CutTable) -> Named:
    """Name the cut of a strip.

    Parameters
    ----------
    width_mm, std_mm
        Its width, and that figure's standard uncertainty.
    table
        The cuts that there are, with her own widths where she has measured them.

    Notes
    -----
    Each cut is taken for equally likely beforehand, and its strips for normally distributed about
    its width, by the measurement's uncertainty and the cutters' own (:data:`CUTTER_STD_MM`).
    """
    std = hypot(std_mm, CUTTER_STD_MM)
    likely = [
        (exp(-(((width_mm - cut.width_mm) / std) ** 2) / 2) / (std * sqrt(2 * pi)), cut)
        for cut in table.cuts
    ]
    nearest = min(table.cuts, key=lambda cut: abs(cut.width_mm - width_mm))
    total = sum(share for share, _ in likely) + STRANGE_PER_MM
    certainty = next(share for share, cut in likely if cut is nearest) / total
    other = None
    if certainty < SURE:
        share, rival = max(
            ((share, cut) for share, cut in likely if cut is not nearest),
            key=lambda pair: pair[0],
            default=(0.0, None),
        )
        other = rival if share / total > 1 - SURE else None
    return Named(width_mm=width_mm, nearest=nearest, certainty=certainty, other=other)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NamedStrip:
    """A strip of a photo, and which cut it is."""

    strip: LooseStrip
    named: Named

    @property
    def counted(self) -> Cut | None:
        """The cut that it counts for: sure, and nothing odd about its width."""
        doubtful = {Odd.VARYING, Odd.SIDE_BY_SIDE, Odd.LITTLE_SEEN} & set(self.strip.odd)
        return None if doubtful else self.named.cut


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NamedStrips:
    """All strips of a photo with their cuts, and how many there are of each."""

    loose: LooseStrips
    table: CutTable
    strips: tuple[NamedStrip, ...]

    @property
    def counts(self) -> tuple[tuple[Cut, int], ...]:
        """How many strips of each cut there surely are, narrowest first; none left out is 0."""
        counted = [each.counted for each in self.strips]
        return tuple((cut, counted.count(cut)) for cut in self.table.cuts if cut in counted)

    @property
    def uncounted(self) -> int:
        """How many strips aren't counted: odd ones, and those of no sure cut."""
        return sum(each.counted is None for each in self.strips)


def name_strips(loose: LooseStrips, table: CutTable) -> NamedStrips:
    """Name the cut of every strip in a photo."""
    return NamedStrips(
        loose=loose,
        table=table,
        strips=tuple(
            NamedStrip(strip=strip, named=which_cut(strip.width_mm, strip.width_std_mm, table))
            for strip in loose.strips
        ),
    )


def cut_words(named: Named) -> str:
    """What to call it: ``#8``, ``between #7 and #8``, ``no cut of the table, nearest #10``."""
    if named.cut is not None:
        return named.cut.label
    if named.other is not None:
        low, high = sorted((named.nearest, named.other), key=lambda cut: cut.width_mm)
        return f"between {low.label} and {high.label}"
    return f"none of your cuts, nearest {named.nearest.label}"
