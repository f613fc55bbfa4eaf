"""How many strips of a cut come out of a width of cloth.

A strip of a cut ``c`` mm wide is *inside* a band when it is all of that band. An edge strays
by up to the *wander* from where it was aimed, and the outer strips of a band may reach over
its edges by the *overhang* in all without anybody seeing it. With ``W`` a width and ``σ`` its
standard uncertainty:

- count: the largest n with ``n·c ≤ W + overhang``; low and high: the same at ``W ∓ 2σ``;
- sure: the largest n with ``n·c ≤ W - 2σ - 2·wander``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.stripes.measurement import Direction, Measurement
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import MM_PER_INCH

OVERHANG_SHARE: Final = 1 / 8
"""Part of a strip's width by which the outer strips may reach over, in all ..."""

OVERHANG_MOST_MM: Final = MM_PER_INCH / 32
"""... and the most they may (chosen in the design; no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripCount:
    """How many strips of one cut come out of one width of cloth."""

    cut: Cut
    count: int
    low: int
    high: int
    sure: int
    spare_mm: float
    """What is left over; negative where the outer strips reach over."""

    @property
    def spoken(self) -> str:
        """As people read it: "count on 3, maybe 4"."""
        if self.count > self.sure:
            return (
                f"count on {self.sure}, maybe {self.count}" if self.sure else f"maybe {self.count}"
            )
        return f"count on {self.sure}" if self.sure else "none"


def least_wander_mm(measurement: Measurement, direction: Direction, wander_mm: float) -> float:
    """How far an edge strays across the threads of a direction, in mm.

    An edge follows a thread or its neighbour: it strays by one yarn at least, where the threads'
    pitch is known.
    """
    weave = measurement.cloth.weave
    pitch = None if weave is None else weave.pitch(direction)
    return wander_mm if pitch is None else max(wander_mm, pitch.mm)


def overhang_mm(cut_mm: float) -> float:
    """How far the outer strips of a band may reach over its edges, in all."""
    return min(OVERHANG_SHARE * cut_mm, OVERHANG_MOST_MM)


def strip_count(cut: Cut, width_mm: float, width_std_mm: float, wander_mm: float) -> StripCount:
    """How many strips of a cut a width of cloth gives.

    Examples
    --------
    >>> inch = strip_count(Cut(name="8", width_mm=6.35), 25.4, 0.0, 25.4 / 32)
    >>> inch.count, inch.sure, inch.spoken
    (4, 3, 'count on 3, maybe 4')
    """
    reach_mm = overhang_mm(cut.width_mm)
    count = fitting(cut, width_mm + reach_mm)
    return StripCount(
        cut=cut,
        count=count,
        low=fitting(cut, width_mm - 2 * width_std_mm + reach_mm),
        high=fitting(cut, width_mm + 2 * width_std_mm + reach_mm),
        sure=fitting(cut, width_mm - 2 * width_std_mm - 2 * wander_mm),
        spare_mm=width_mm - count * cut.width_mm,
    )


def fitting(cut: Cut, room_mm: float) -> int:
    """The largest n with ``n·c`` within the room, at least 0."""
    return max(0, math.floor((room_mm + TOLERANCE_MM) / cut.width_mm))
