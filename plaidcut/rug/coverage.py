"""How much wool a hooked area takes: published figures, her own, and the geometry of loops.

The *multiplier* is area of wool over hooked area. A row of loops h high, n to the inch, takes
1 + 2·n·h inches of strip per inch; with r rows to the inch of strips w wide, the multiplier is
(1 + 2·n·h) · r · w. With rows as far apart as strips are wide it is 1 + 2·n·h.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.errors import UsageError
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import MM_PER_INCH

LOOPS_PER_INCH: Final = 8.0
"""Hook two holes, skip one, on backing of 12 threads to the inch (trade pages)."""

MODEL_SPREAD: Final = 0.10
"""Within what share the model agrees with the three measured samples (W09, W11, W12)."""

RESERVE: Final = 0.20
"""Kept back of cloth that can't be had again (common practice, no source: 5-10 % for waste)."""

RESERVE_TESTED: Final = 0.10
"""The same once she has hooked a test square."""

MULTIPLIER_RANGE: Final = (1.5, 20.0)
"""What any way of hooking can take; beyond it something was typed wrong (chosen here)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Multiplier:
    """Wool over hooked area."""

    low: float
    typical: float
    high: float
    own: bool = False
    """Whether she measured it herself."""
    source: str = ""
    """Whose figure it is, to end a sentence with."""

    def of(self, tightness: str) -> float:
        """The figure for a way of hooking: ``low``, ``typical`` or ``high``."""
        return {"low": self.low, "typical": self.typical, "high": self.high}[tightness]


_PUBLISHED: Final = (
    ((3, 4), (3.5, 4.0, 5.0), "published figures for #3 and #4"),  # W01, W03, W05, W17, W18
    ((5, 5), (4.0, 5.0, 6.0), "published figures for #5"),  # W02, W08
    (
        (6, 6),
        (3.7, 5.0, 6.0),
        "published figures for #6, and two samples measured",
    ),  # W04, W11, W12
    ((7, 7), (5.0, 6.0, 7.0), "published rules for #7"),
    ((8, 8), (5.0, 6.0, 8.0), "published figures for #8, and one sample measured"),  # W09, W17, W18
    ((10, 16), (6.0, 8.0, 8.0), "published figures for wide cuts"),
)
"""Cuts from, to in 32nds of an inch; low, typical, high: derived from ten pages that disagree."""

GEOMETRY: Final = "the loops' geometry, as no figure is published for this cut"


def multiplier_of(cut: Cut, own: Mapping[str, float] | None = None) -> Multiplier:
    """How much wool a cut takes: her own figure, what is published, or the loops' geometry.

    A cutter that cuts a number a little narrower or wider than the table has it is still of that
    number: figures are those of the nearest 32nd of an inch.

    Parameters
    ----------
    cut
        The cut.
    own
        Her own multipliers, by the cut's name.
    """
    if own and cut.name in own:
        figure = own[cut.name]
        return Multiplier(
            low=figure, typical=figure, high=figure, own=True, source="your test square"
        )
    in_32nds = round(cut.width_mm / (MM_PER_INCH / 32))
    for (first, last), (low, typical, high), source in _PUBLISHED:
        if first <= in_32nds <= last:
            return Multiplier(low=low, typical=typical, high=high, source=source)
    figure = loop_multiplier(
        loops_per_inch=LOOPS_PER_INCH, loop_mm=cut.width_mm, cut_mm=cut.width_mm
    )
    return Multiplier(
        low=figure * (1 - 2 * MODEL_SPREAD),
        typical=figure,
        high=figure * (1 + 2 * MODEL_SPREAD),
        source=GEOMETRY,
    )


def loop_multiplier(
    *,
    loops_per_inch: float,
    loop_mm: float,
    cut_mm: float,
    rows_per_inch: float | None = None,
) -> float:
    """The multiplier of loops of some height, so many to the inch.

    Rows lie a strip's width apart unless their number to the inch is given.

    Examples
    --------
    >>> loop_multiplier(loops_per_inch=8, loop_mm=25.4 / 4, cut_mm=25.4 / 4)
    5.0
    """
    strip_per_inch = 1 + 2 * loops_per_inch * loop_mm / MM_PER_INCH
    return strip_per_inch * (rows_per_inch or MM_PER_INCH / cut_mm) * cut_mm / MM_PER_INCH


def strip_length_mm(area_mm2: float, *, cut_mm: float, multiplier: float) -> float:
    """Length of strip that a hooked area takes."""
    return area_mm2 * multiplier / cut_mm


def hooked_area_mm2(length_mm: float, *, cut_mm: float, multiplier: float) -> float:
    """Area that a length of strip hooks."""
    return length_mm * cut_mm / multiplier


def multiplier_from_strips(length_mm: float, *, cut_mm: float, hooked_mm2: float) -> float:
    """The multiplier of a sample hooked from strips of a length in all, thrown away tails too.

    Raises
    ------
    UsageError
        If no way of hooking takes that much or little.
    """
    return _checked(length_mm * cut_mm / hooked_mm2)


def multiplier_from_weight(
    piece_mm2: float, *, before_g: float, after_g: float, hooked_mm2: float
) -> float:
    """The multiplier of a sample hooked from a piece that was weighed before and after.

    Raises
    ------
    UsageError
        If it didn't get lighter, or no way of hooking takes that much or little.
    """
    if not 0 <= after_g < before_g:
        msg = f"A piece of {before_g:g} g can't be left with {after_g:g} g when some was hooked."
        raise UsageError(msg, hint="Weigh the piece before, and what is left of it after.")
    return _checked(piece_mm2 * (1 - after_g / before_g) / hooked_mm2)


def _checked(multiplier: float) -> float:
    low, high = MULTIPLIER_RANGE
    if not low - TOLERANCE_MM <= multiplier <= high + TOLERANCE_MM:
        msg = (
            f"That would be {multiplier:.2f} times as much wool as hooked area, and any hooking "
            f"takes from {low:g} to {high:g} times."
        )
        raise UsageError(msg, hint="Check lengths, area and cut, and their units.")
    return multiplier
