"""The graduations along one edge of a ruler: where each line is, and what they count.

Along the edge all lines show, a comb with a slowly changing pitch; further in
only the longer ones. Which lines are longer tells the unit: of millimetres every
fifth and tenth, of an inch's parts every second, fourth, eighth and sixteenth.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.comb import FINER, Comb, find_comb, lean_out, unroll
from plaidcut.scale.edges import Floats
from plaidcut.scale.plane import Points
from plaidcut.units import MM_PER_INCH

FAN: Final = 0.06
"""By how many columns a row lines may fan out against their common slant."""

LEAST_EXPLAINED: Final = 0.7
"""Share of the variance of the lines' lengths that a hierarchy must explain."""

CLEARLY: Final = 0.6
"""The best hierarchy must leave less unexplained than this share of what the next one leaves."""

LEAST_RISE: Final = 0.06
"""By how much each rank's lines must be longer than the next lower's, of the whole range."""


LEAST_FIGURES: Final = 4
"""Longest lines from which it can be said which of them bear figures."""

FIGURE_SHARE: Final = 0.35
"""Ink beyond a line without a figure, as a share of that beyond one with."""

LEAST_INK: Final = 0.01
"""Mean ink below which there are no figures at all."""


class Unit(StrEnum):
    """What a ruler counts in."""

    INCH = "in"
    MM = "mm"


@dataclass(frozen=True, slots=True)
class Hierarchy:
    """A way to divide a ruler: which lines are longer."""

    unit: Unit
    step_mm: float
    every: tuple[int, ...]
    """A line whose number is divisible by the first is the longest, and so on; the last is 1."""

    def ranks(self, numbers: NDArray[np.int64]) -> NDArray[np.int64]:
        """Rank of each line, 0 for the longest."""
        divisible = np.stack([numbers % every == 0 for every in self.every])
        return np.asarray(np.argmax(divisible, axis=0))


HIERARCHIES: Final = (
    Hierarchy(Unit.MM, 1.0, (10, 5, 1)),
    Hierarchy(Unit.MM, 0.5, (20, 10, 2, 1)),
    Hierarchy(Unit.INCH, MM_PER_INCH / 8, (8, 4, 2, 1)),
    Hierarchy(Unit.INCH, MM_PER_INCH / 16, (16, 8, 4, 2, 1)),
    Hierarchy(Unit.INCH, MM_PER_INCH / 32, (32, 16, 8, 4, 2, 1)),
)
"""Binary parts of an inch (facts, section 11: ruler graduations), millimetres and their halves."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Graduations:
    """The lines along one edge of a ruler."""

    xy_px: Points
    """Where lines meet the edge (N, 2)."""
    inner_xy_px: Points
    """Points further in on the same lines (N, 2)."""
    numbers: NDArray[np.int64]
    """Which line of the ruler each is (N,); 0 is one of the longest."""
    hierarchy: Hierarchy | None
    """None when the lengths of the lines don't tell."""
    every_other: bool
    """True when only every other of the longest lines bears a number."""
    stray_px: float
    """Robust standard deviation of lines about a smooth comb, along the edge."""

    @property
    def at_mm(self) -> Floats | None:
        """Places of the lines (N,) along the ruler; None when it isn't known what they count."""
        return None if self.hierarchy is None else np.asarray(self.numbers * self.hierarchy.step_mm)

    @property
    def unit(self) -> Unit | None:
        """What they count in; None when it isn't known."""
        return None if self.hierarchy is None else self.hierarchy.unit


def read_graduations(
    pixels: NDArray[np.uint8], start_xy_px: Points, end_xy_px: Points, *, width_px: float
) -> Graduations | None:
    """Read the lines along one edge of a ruler, which lies on the right going along it.

    Parameters
    ----------
    pixels
        sRGB photo (height, width, 3).
    start_xy_px, end_xy_px
        Ends (2,) of the ruler's edge, or of a part of it, to some pixels.
    width_px
        Width of the ruler.

    Returns
    -------
    Graduations or None
        None when there is no comb of lines.
    """
    strip = unroll(pixels, start_xy_px, end_xy_px, width_px)
    comb = find_comb(strip, width_px)
    if comb is None:
        return None
    lengths = _lengths(comb)
    hierarchy, first = _hierarchy(comb.numbers, lengths)
    inner_row = max(comb.row + 2, int(0.8 * np.quantile(lengths, 0.1)))
    edge, inner = lean_out(comb, inner_row)
    return Graduations(
        xy_px=strip.to_photo_px(edge),
        inner_xy_px=strip.to_photo_px(inner, row=inner_row),
        numbers=comb.numbers - first,
        hierarchy=hierarchy,
        every_other=hierarchy is not None
        and _every_other(comb, lengths, first, hierarchy.every[0]),
        stray_px=comb.stray / FINER,
    )


def _lengths(comb: Comb) -> Floats:
    """Length (N,) of every line of the comb, in rows."""
    columns = comb.column_of(comb.numbers)
    rows = np.arange(len(comb.ink))
    at = columns[:, None] + comb.slant * rows
    # a tilt fans the lines out: the deeper, the further from the common slant
    fan = 1 + FAN * np.abs(rows - comb.row)
    profile = np.zeros(at.shape)
    for beside in np.linspace(-1, 1, 9):
        index = np.clip(np.rint(at + beside * fan).astype(int), 0, comb.ink.shape[1] - 1)
        profile = np.maximum(profile, comb.ink[rows, index])
    half = max(1, comb.row // 2)
    own = np.median(profile[:, max(0, comb.row - half) : comb.row + half + 1], axis=1)
    gone = profile < 0.4 * own[:, None]
    gone[:, : comb.row] = False
    ended = gone & np.roll(gone, -1, axis=1)
    ended[:, -1] = True
    return np.asarray(np.argmax(ended, axis=1), float)


def _hierarchy(numbers: NDArray[np.int64], lengths: Floats) -> tuple[Hierarchy | None, int]:
    """The hierarchy that explains the lines' lengths best, and the number of a longest line.

    None when no hierarchy explains them well, or two about as well.
    """
    found: list[tuple[float, Hierarchy, int]] = []
    for hierarchy in HIERARCHIES:
        scores = [
            _explained(hierarchy.ranks(numbers - first), lengths, len(hierarchy.every))
            for first in range(hierarchy.every[0])
        ]
        first = int(np.argmax(scores))
        found.append((scores[first], hierarchy, first))
    found.sort(key=lambda one: -one[0])
    (best, hierarchy, first), (second, _, _) = found[:2]
    clear = 1 - best < CLEARLY * (1 - second)
    return (hierarchy if best > LEAST_EXPLAINED and clear else None), first


def _explained(ranks: NDArray[np.int64], lengths: Floats, count: int) -> float:
    """Share of the variance of lengths that ranks explain; 0 where a higher rank isn't longer."""
    spread = float(np.var(lengths))
    members = [lengths[ranks == rank] for rank in range(count)]
    if spread == 0 or any(len(group) < 2 for group in members):
        return 0.0
    typical = np.array([np.median(group) for group in members])
    if np.any(-np.diff(typical) < LEAST_RISE * (typical[0] - typical[-1])):
        return 0.0
    return 1 - float(np.mean((lengths - typical[ranks]) ** 2)) / spread


def _every_other(comb: Comb, lengths: Floats, first: int, every: int) -> bool:
    """Whether only every other of the longest lines bears a figure beyond it.

    Then those between may be halves that are as long as the wholes.
    """
    beyond = int(np.quantile(lengths, 0.98)) + 2
    if beyond >= len(comb.ink) - 2:
        return False
    ink = comb.ink[beyond:].mean(axis=0)
    low, high = comb.numbers[0], comb.numbers[-1]
    longest = first + every * np.arange((low - first) // every, (high - first) // every + 1)
    longest = longest[(longest >= low) & (longest <= high)]
    if len(longest) < LEAST_FIGURES:
        return False
    ends = comb.column_of(np.stack([longest - every / 2, longest + every / 2]))
    left, right = np.clip(np.rint(ends).astype(int), 0, len(ink) - 1)
    figures = np.array([ink[a : b + 1].mean() for a, b in zip(left, right, strict=True)])
    one, other = np.median(figures[::2]), np.median(figures[1::2])
    return bool(min(one, other) < FIGURE_SHARE * max(one, other) and max(one, other) > LEAST_INK)
