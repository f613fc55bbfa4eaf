"""The graduations along one edge of a ruler: where each line is, and what they count.

Along the edge all lines show, a comb with a slowly changing pitch; further in
only the longer ones. Which lines are longer tells the unit: of millimetres every
fifth and tenth, of an inch's parts every second, fourth, eighth and sixteenth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.comb import Comb, fanned, find_combs, follow_lines
from plaidcut.scale.lines import Floats
from plaidcut.scale.plane import Points
from plaidcut.scale.unrolled import FINER, Strip, unroll
from plaidcut.units import MM_PER_INCH

FAN: Final = 0.06
"""By how many columns a row lines may fan out against their common slant, as a tilt makes them,
as long as their own slants aren't known."""

LEAST_EXPLAINED: Final = 0.7
"""Share of the variance of the lines' lengths that a hierarchy must explain."""

ODD_LINES: Final = 0.03
"""Share of the lines whose lengths may be anything: a scratch, the ruler's own end."""

CLEARLY: Final = 0.6
"""The best hierarchy must leave less unexplained than this share of what the next one leaves."""

SHORTEST_AMONG: Final = 33
"""Lines among which some are of the shortest: more than an inch's thirty-seconds."""

SHORTEST_PERCENT: Final = 25
"""Percentile of their lengths that is one of the shortest's: half of all lines are at least."""

LEAST_RISE: Final = 0.06
"""By how much each rank's lines must be longer than the next lower's, of the whole range."""


LEAST_LEVER: Final = 4
"""Rows between which lines are followed at least."""

LEAST_FIGURES: Final = 4
"""Longest lines from which it can be said which of them bear figures."""

EMPTY_HALF: Final = 0.35
"""Figures' ink in the emptier half of a period, of that in the fuller, below which it has none."""

FULL_HALF: Final = 0.6
"""The same, above which both halves have figures."""

LEAST_INK: Final = 0.03
"""Ink in the fullest columns below which there are no figures at all."""

FULLEST: Final = 0.98
"""Quantile of the columns' ink that is a figure's: one of 1 mm stands at every second inch."""


class Figures(StrEnum):
    """Which of a ruler's longest lines bear figures."""

    EACH = "each"
    EVERY_OTHER = "every other"
    HALVES_TOO = "each, and midway between them"
    NONE = "none that can be made out"


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
    """Points (N, 2) on the lines, all as far from the ruler's edge."""
    inner_xy_px: Points
    """Points (N, 2) on the same lines, further in."""
    numbers: NDArray[np.int64]
    """Which line of the ruler each is (N,); 0 is one of the longest."""
    hierarchy: Hierarchy | None
    """None when the lengths of the lines don't tell."""
    figures: Figures
    """Whether wholes and halves could have been confused."""
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
    if strip is None:
        return None
    read = [_read(strip, comb) for comb in find_combs(strip, width_px)]
    return next((one for one in read if one.hierarchy is not None), read[0] if read else None)


def _read(strip: Strip, comb: Comb) -> Graduations:
    """The graduations that a comb's lines make."""
    comb = fanned(comb, *_rows_of_all(*_ends(comb, fan=FAN)))
    outer, inner = _ends(comb, fan=0.0)
    hierarchy, first = _hierarchy(comb.numbers, _lengths(comb, inner))
    rows = _rows_of_all(outer, inner)
    at_outer, at_inner, sound = follow_lines(comb, *rows)
    return Graduations(
        xy_px=strip.to_photo_px(at_outer[sound], rows[0]),
        inner_xy_px=strip.to_photo_px(at_inner[sound], rows[1]),
        numbers=comb.numbers[sound] - first,
        hierarchy=hierarchy,
        figures=_figures(comb, inner, first, hierarchy),
        stray_px=comb.stray / FINER,
    )


def _rows_of_all(outer: Floats, inner: Floats) -> tuple[int, int]:
    """An outer and an inner row well within even the shortest lines, given where lines end."""
    begin, end = int(np.quantile(outer, 0.9)), int(np.quantile(inner, 0.1))
    spare = max(2, (end - begin) // 4)
    return begin + spare, max(begin + spare + LEAST_LEVER, end - spare)


def _ends(comb: Comb, *, fan: float) -> tuple[Floats, Floats]:
    """Rows (N,) at which every line of the comb begins and ends, outer and inner."""
    rows = np.arange(len(comb.ink))
    at = comb.places[:, None] + comb.slants[:, None] * (rows - comb.row)
    reach = 1 + fan * np.abs(rows - comb.row)
    profile = np.zeros(at.shape)
    for beside in np.linspace(-1, 1, 9):
        index = np.clip(np.rint(at + beside * reach).astype(int), 0, comb.ink.shape[1] - 1)
        profile = np.maximum(profile, comb.ink[rows, index])
    own = np.median(profile[:, max(0, comb.row - 1) : comb.row + 2], axis=1)
    gone = profile < 0.4 * own[:, None]
    inward, outward = gone[:, comb.row :], gone[:, comb.row :: -1]
    return comb.row - _until(outward), comb.row + _until(inward)


def _until(gone: NDArray[np.bool_]) -> Floats:
    """How many columns (N,) pass until two in a row are true, or all."""
    ended = gone & np.roll(gone, -1, axis=1)
    ended[:, -1] = True
    return np.asarray(np.argmax(ended, axis=1), float)


def _lengths(comb: Comb, inner: Floats) -> Floats:
    """Lengths of the lines (N,) beyond those of the shortest, in pitches.

    What the shortest do along the ruler isn't theirs: its edge was followed askew.
    """
    from scipy.ndimage import percentile_filter

    shortest = percentile_filter(inner, SHORTEST_PERCENT, size=SHORTEST_AMONG, mode="nearest")
    trend = np.polyval(np.polyfit(comb.numbers, shortest, 2), comb.numbers)
    return np.asarray((inner - trend) / comb.pitch)


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
    within = float(np.median(np.abs(lengths - typical[ranks])))
    least = max(LEAST_RISE * (typical[0] - typical[-1]), 3 * within)
    if np.any(-np.diff(typical) < least):
        return 0.0
    off = np.sort((lengths - typical[ranks]) ** 2)[: math.ceil((1 - ODD_LINES) * len(lengths))]
    return 1 - float(np.mean(off)) / spread


def _figures(comb: Comb, inner: Floats, first: int, hierarchy: Hierarchy | None) -> Figures:
    """Which of the longest lines bear figures, from the ink beyond their ends."""
    beyond = int(np.quantile(inner, 0.98)) + 2
    if hierarchy is None or beyond >= len(comb.ink) - 4:
        return Figures.NONE
    ink = comb.ink[beyond:].mean(axis=0)
    every = hierarchy.every[0]
    low, high = comb.numbers[0], comb.numbers[-1]
    if high - low < LEAST_FIGURES * every:
        return Figures.NONE
    places = np.arange(low, high, 1 / 8)
    at = np.clip(np.rint(comb.column_of(places)).astype(int), 0, len(ink) - 1)
    along = np.maximum(ink[at] - np.quantile(ink[at], 0.2), 0)
    if np.quantile(along, FULLEST) < LEAST_INK:
        return Figures.NONE
    if _least_half(along, places - first, 2 * every) < EMPTY_HALF:
        return Figures.EVERY_OTHER
    if _least_half(along, places - first, every) > FULL_HALF:
        return Figures.HALVES_TOO
    return Figures.EACH


def _least_half(ink: Floats, places: Floats, period: float) -> float:
    """Ink in the emptier half of a period over that in the fuller, where they differ most."""
    bins = 32
    phase = np.floor(places % period / period * bins).astype(int)
    folded = np.bincount(phase, weights=ink, minlength=bins) / np.bincount(phase, minlength=bins)
    halves = np.array([np.roll(folded, turn)[: bins // 2].sum() for turn in range(bins)])
    return float(halves.min() / halves.max())
