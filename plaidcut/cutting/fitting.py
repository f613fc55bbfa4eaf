"""The most strips that each hold a stripe whole.

A strip of width c holds a stripe whole if it starts within a *window*: from where its far
edge just takes the stripe in, to where its near edge still does. Strips lie beside each other
without overlap, so the question is how many starts, at least c apart, the windows can hold.
Taking the earliest start each time is optimal: any other choice has its n-th start later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from plaidcut.stripes.runs import TOLERANCE_MM

LONG_RUN_STRIPS: Final = 4000
"""Strips after which a pattern that hasn't come round is averaged: its rate is then known
to a strip in 4000."""


@dataclass(frozen=True, slots=True, order=True)
class Window:
    """Where a strip may start, in mm."""

    start_mm: float
    end_mm: float


def most_disjoint(windows: Sequence[Window], *, strip_mm: float) -> int:
    """The most strips without overlap, each starting in a window.

    Examples
    --------
    >>> most_disjoint([Window(0, 2), Window(3, 4)], strip_mm=4)
    2
    """
    count, free_mm = 0, float("-inf")
    for window in _merged(windows):
        at_mm = max(window.start_mm, free_mm)
        while at_mm <= window.end_mm + TOLERANCE_MM:
            count += 1
            at_mm = free_mm = min(at_mm, window.end_mm) + strip_mm
    return count


def strips_per_repeat(windows: Sequence[Window], *, repeat_mm: float, strip_mm: float) -> float:
    """The most strips per repeat, over a long run of repeats, each starting in a window.

    Parameters
    ----------
    windows
        Those of one repeat; each comes again in every repeat.
    repeat_mm, strip_mm
        The repeat and the width of a strip.

    Notes
    -----
    The earliest start each time, going round the repeat. As soon as a strip starts at the
    beginning of a window where an earlier one did, the pattern has come round: strips and
    repeats in between are whole numbers and the rate is exact.

    Examples
    --------
    >>> strips_per_repeat([Window(0, 2)], repeat_mm=10, strip_mm=15)
    0.5
    """
    rings = _merged_round(windows, repeat_mm)
    if not rings:
        return 0.0
    if rings[0].end_mm - rings[0].start_mm >= repeat_mm - TOLERANCE_MM:
        return repeat_mm / strip_mm
    seen: dict[int, tuple[int, int]] = {}
    k, turn, at_mm = 0, 0, rings[0].start_mm
    for count in range(LONG_RUN_STRIPS):
        if at_mm <= rings[k].start_mm + TOLERANCE_MM:
            if k in seen:
                count_then, turn_then = seen[k]
                return (count - count_then) / (turn - turn_then)
            seen[k] = count, turn
        free_mm = at_mm + strip_mm
        while free_mm > rings[k].end_mm + TOLERANCE_MM:
            k += 1
            if k == len(rings):
                k, turn, free_mm = 0, turn + 1, free_mm - repeat_mm
        at_mm = min(max(free_mm, rings[k].start_mm), rings[k].end_mm)
    travelled_mm = turn * repeat_mm + at_mm - rings[0].start_mm
    return LONG_RUN_STRIPS * repeat_mm / travelled_mm


def _merged(windows: Sequence[Window]) -> list[Window]:
    """The same places as windows that don't meet, in order."""
    apart: list[Window] = []
    for window in sorted(windows):
        if apart and window.start_mm <= apart[-1].end_mm + TOLERANCE_MM:
            apart[-1] = Window(apart[-1].start_mm, max(apart[-1].end_mm, window.end_mm))
        else:
            apart.append(window)
    return apart


def _merged_round(windows: Sequence[Window], repeat_mm: float) -> list[Window]:
    """Windows that don't meet round the repeat, the first starting within it."""
    turned = [
        Window(window.start_mm % repeat_mm, window.start_mm % repeat_mm + length)
        for window in windows
        for length in [window.end_mm - window.start_mm]
    ]
    apart = _merged(turned)
    while len(apart) > 1 and apart[-1].end_mm >= apart[0].start_mm + repeat_mm - TOLERANCE_MM:
        first, last = apart.pop(0), apart.pop()
        apart.append(Window(last.start_mm, max(last.end_mm, first.end_mm + repeat_mm)))
    return apart
