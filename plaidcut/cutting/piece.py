"""A piece of cloth under the cutter: heads, runs, and what a plan of runs is worth.

A *run* is a stretch of the piece from one true edge on that goes through one cutter's head,
pass after pass. Its edge is torn, or trimmed with ruler and rotary cutter: a tear follows a
thread but needs some width of cloth on both sides, a trim takes off nothing or some least width.
All edges are made first, then run after run is cut, head by head; so heads are changed once
less often than there are heads.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cutting.aims import Score
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import MOST_MM

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

Windows = NDArray[np.float64]
"""Where a strip may start, (N, 2) mm from the piece's left edge: from, to; sorted, disjoint."""


FAR_MM: Final = 2 * MOST_MM
"""Farther than any two strips lie apart."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Head:
    """A cutter's head, and where its strips hold what is wanted."""

    width_mm: float
    whole: tuple[Windows, ...] = ()
    """For the first strip of a run, the second ...: where it holds a wanted stripe whole."""
    one_colour: tuple[Windows, ...] = ()
    """The same for nothing but a wanted band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The piece across the cut direction, and what it can be torn and trimmed with."""

    width_mm: float
    least_trim_mm: float
    least_tear_mm: float
    """The least width of cloth on each side of a tear."""
    true_edge: bool = True
    """Whether strips can be cut off its left edge as it is."""
    rest_wanted: bool = True
    """Whether strips that hold nothing wanted are of use; else they are waste, and cloth that
    isn't cut is none."""

    @property
    def last_tear_mm(self) -> float:
        """Beyond it there is too little cloth on the right of a tear."""
        return self.width_mm - self.least_tear_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Strips cut side by side off one true edge."""

    start_mm: float
    head: int
    """Index of its head."""
    strips: int


def disjoint(windows: Sequence[tuple[float, float]]) -> Windows:
    """Windows sorted, and those that meet made one, (N, 2)."""
    merged: list[list[float]] = []
    for low, high in sorted(windows):
        if merged and low <= merged[-1][1] + TOLERANCE_MM:
            merged[-1][1] = max(merged[-1][1], high)
        else:
            merged.append([low, high])
    return np.array(merged, float).reshape(-1, 2)


def hits(windows: Sequence[Windows], cut_mm: float, starts_mm: Floats) -> Flags:
    """Which strips of runs lie in a window.

    Parameters
    ----------
    windows
        For the first strip of a run, the second ...
    cut_mm
        The strips' width.
    starts_mm
        Where runs start, (N,).

    Returns
    -------
    array of bool, (N, len(windows))
    """
    in_a_row = np.concatenate([np.empty((0, 2)), *windows])
    if not len(in_a_row):
        return np.zeros((len(starts_mm), len(windows)), bool)
    apart_mm = FAR_MM * np.arange(len(windows))  # so that one search serves all strips
    in_a_row += np.repeat(apart_mm, [len(window) for window in windows])[:, None]
    at_mm = starts_mm[:, None] + cut_mm * np.arange(len(windows)) + apart_mm
    last = np.searchsorted(in_a_row[:, 0], at_mm + TOLERANCE_MM, side="right") - 1
    return np.asarray((last >= 0) & (at_mm <= in_a_row[last, 1] + TOLERANCE_MM))


def held(head: Head, run: Run) -> tuple[Flags, Flags]:
    """Which strips of a run hold a stripe whole, and which nothing but a band, (strips,) each."""
    flags = []
    for windows in (head.whole, head.one_colour):
        flag = np.zeros(run.strips, bool)
        known = windows[: run.strips]
        flag[: len(known)] = hits(known, head.width_mm, np.array([run.start_mm]))[0]
        flags.append(flag)
    return flags[0], flags[1]


def score_of(runs: Sequence[Run], piece: Piece, heads: Sequence[Head]) -> Score:
    """How far runs reach each aim, wherever their edges lie."""
    whole = one_colour = 0
    used_mm = rest_mm = 0.0
    for run in runs:
        head = heads[run.head]
        is_whole, is_one = held(head, run)
        whole, one_colour = whole + int(is_whole.sum()), one_colour + int(is_one.sum())
        used_mm += run.strips * head.width_mm
        rest_mm += int((~(is_whole | is_one)).sum()) * head.width_mm
    moved = sum(1 for k, run in enumerate(runs) if k or run.start_mm > TOLERANCE_MM)
    return Score(
        whole=whole,
        one_colour=one_colour,
        heads=max(0, len({run.head for run in runs}) - 1),
        tears=moved,
        waste_mm=piece.width_mm - used_mm if piece.rest_wanted else rest_mm,
    )
