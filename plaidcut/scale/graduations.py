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

from plaidcut.scale.edges import Floats, linear_light, locate_edge
from plaidcut.scale.plane import Points

MM_PER_INCH: Final = 25.4
"""Exact."""

EDGE_REACH_PX: Final = 14.0
"""How far off the outline of a strip may be."""

FINER: Final = 2
"""Samples per pixel along the edge."""

BEYOND: Final = 0.03
"""How far beyond the ends of its outline a ruler is looked at, as a share of its length."""

SLANTS: Final = tuple(np.linspace(-0.16, 0.16, 17).tolist())
"""Slants of the lines against the edge's normal that are tried: what a tilt of 25 degrees does."""

DEPTHS: Final = (0.03, 0.05, 0.08, 0.12)
"""Where across a ruler the comb is sought, as shares of its width."""

FAN: Final = 0.06
"""By how many columns a row lines may fan out against their common slant."""

LEAST_LINES: Final = 30
"""Lines that a comb must have: a wrong hierarchy doesn't fit as many by chance."""

MOST_MISSED: Final = 4
"""Lines in a row that may be hidden by a scratch or a stain."""

MOST_STRAY: Final = 0.1
"""How far a line may lie off its place in the comb, as a share of the pitch."""

LEAST_FILLED: Final = 0.75
"""Share of a comb's places at which a line must be seen."""

LEAST_PITCH_PX: Final = 3.0
"""Pitch below which lines can't be told apart."""

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
    strip = _unroll(pixels, start_xy_px, end_xy_px, width_px)
    best: _Comb | None = None
    for ink in (strip.ink(dark=True), strip.ink(dark=False)):
        for depth in DEPTHS:
            comb = _comb(ink, round(depth * width_px))
            if comb is not None and (best is None or comb.worth > best.worth):
                best = comb
    if best is None:
        return None
    lengths = _lengths(best)
    hierarchy, first = _hierarchy(best.numbers, lengths)
    return Graduations(
        xy_px=strip.to_photo_px(best.places),
        numbers=best.numbers - first,
        hierarchy=hierarchy,
        every_other=hierarchy is not None
        and _every_other(best, lengths, first, hierarchy.every[0]),
        stray_px=best.stray / FINER,
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Strip:
    """The edge of a ruler laid out straight: rows go inwards, columns along."""

    light: NDArray[np.float32]
    """Linear light (rows, columns): a row a pixel, `FINER` columns a pixel."""
    feet: Points
    """Where each column meets the edge (columns, 2)."""
    thickest: int
    """Width of the widest line, in columns."""

    def ink(self, *, dark: bool) -> NDArray[np.float32]:
        """How much darker (lighter) than the ground lines are, as a share of the ground."""
        import cv2

        along = np.ones((1, 2 * self.thickest + 1), np.uint8)
        if dark:
            ground = cv2.morphologyEx(self.light, cv2.MORPH_CLOSE, along)
            return np.asarray((ground - self.light) / (ground + 0.01), np.float32)
        ground = cv2.morphologyEx(self.light, cv2.MORPH_OPEN, along)
        return np.asarray((self.light - ground) / (self.light + 0.01), np.float32)

    def to_photo_px(self, columns: Floats) -> Points:
        """Photo positions (N, 2) of columns on the edge."""
        at = np.arange(len(self.feet))
        return np.stack([np.interp(columns, at, self.feet[:, k]) for k in (0, 1)], axis=-1)


def _unroll(pixels: NDArray[np.uint8], start: Points, end: Points, width_px: float) -> _Strip:
    """Lay out the edge of a ruler, a little beyond its ends, to three fifths of its width."""
    import cv2

    along = (end - start) / np.hypot(*(end - start))
    inward = np.array([-along[1], along[0]])
    length = float(np.hypot(*(end - start)))
    bow = np.zeros(3)
    edge = locate_edge(
        pixels, start + 0.05 * (end - start), end - 0.05 * (end - start), reach_px=EDGE_REACH_PX
    )
    if edge is not None:
        off = edge.xy_px - start
        bow = np.polyfit(off @ along, off @ inward, 2)
    height, width = pixels.shape[:2]
    columns = np.arange(-BEYOND * length, (1 + BEYOND) * length, 1 / FINER)
    feet = start + columns[:, None] * along
    within = np.all((feet >= 0) & (feet <= [width - 1, height - 1]), axis=1)
    columns = columns[within]
    # beyond the edge that was seen the parabola goes on straight
    held = np.clip(columns, 0, length)
    across = np.polyval(bow, held) + np.polyval(np.polyder(bow), held) * (columns - held)
    feet = start + columns[:, None] * along + across[:, None] * inward

    rows = np.arange(0, max(8, round(0.6 * width_px)))
    at = feet[None] + rows[:, None, None] * inward
    low = np.maximum(np.floor(at.min(axis=(0, 1))).astype(int), 0)
    high = np.ceil(at.max(axis=(0, 1))).astype(int) + 2
    part = linear_light(pixels[low[1] : high[1], low[0] : high[0]]).mean(axis=2)
    where = (at - low).astype(np.float32)
    light = cv2.remap(
        part, where[..., 0], where[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    thickest = max(2, round(FINER * width_px / 40))
    return _Strip(np.asarray(light, np.float32), feet, thickest)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Comb:
    """Evenly spaced lines in an unrolled strip."""

    ink: NDArray[np.float32]
    row: int
    slant: float
    """Columns by which a line moves per row."""
    places: Floats
    """Columns (N,) at which lines meet the edge."""
    numbers: NDArray[np.int64]
    """Consecutive numbers (N,), some left out."""
    stray: float
    """Robust standard deviation of the places, in columns."""

    @property
    def worth(self) -> float:
        """Number of its lines, less where they stray."""
        pitch = float(np.ptp(self.places) / np.ptp(self.numbers))
        return len(self.places) / (1 + 100 * self.stray / pitch)

    def column_of(self, numbers: NDArray[np.int64] | Floats) -> Floats:
        """Places of lines by number, on a smooth comb."""
        return np.asarray(np.polyval(np.polyfit(self.numbers, self.places, 4), numbers))


def _comb(ink: NDArray[np.float32], row: int) -> _Comb | None:
    """The comb of lines that crosses the rows about ``row``; None when there is none."""
    from scipy.signal import find_peaks

    half = max(1, row // 2)
    band = ink[max(0, row - half) : row + half + 1]
    offsets = np.arange(len(band)) - (len(band) - 1) / 2
    signals = {slant: _sheared_mean(band, offsets * slant * FINER) for slant in SLANTS}
    slant = max(signals, key=lambda s: float(np.var(signals[s])))
    signal = signals[slant]
    strong = 0.3 * np.quantile(signal, 0.98)
    peaks, _ = find_peaks(signal, height=strong, prominence=strong, distance=FINER * 2)
    if len(peaks) < LEAST_LINES:
        return None
    inner = np.clip(peaks, 1, len(signal) - 2)
    before, at, after = signal[inner - 1], signal[inner], signal[inner + 1]
    places = inner + 0.5 * (before - after) / np.minimum(before - 2 * at + after, -1e-9)
    chosen, numbers = _chain(np.asarray(places, float))
    if len(chosen) < LEAST_LINES:
        return None
    good = np.ones(len(chosen), bool)
    for _ in range(5):
        fit = np.polyfit(numbers[good], chosen[good], 4)
        off = chosen - np.polyval(fit, numbers)
        stray = 1.4826 * float(np.median(np.abs(off[good])))
        good = np.abs(off) < np.minimum(
            MOST_STRAY * np.polyval(np.polyder(fit), numbers), 5 * stray + 0.3
        )
        if good.sum() < LEAST_LINES:
            return None
    if good.sum() < LEAST_FILLED * (np.ptp(numbers[good]) + 1):
        return None
    return _Comb(
        ink=ink,
        row=row,
        slant=slant * FINER,
        places=chosen[good] - slant * FINER * row,
        numbers=numbers[good],
        stray=stray,
    )


def _sheared_mean(band: NDArray[np.float32], shifts: Floats) -> Floats:
    """Mean of rows (R, C), each first moved left by its shift."""
    columns = np.arange(band.shape[1])
    moved = [
        np.interp(columns + shift, columns, row) for row, shift in zip(band, shifts, strict=True)
    ]
    return np.asarray(np.mean(moved, axis=0))


def _chain(places: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """The longest comb in peaks (N,) whose pitch changes slowly: its peaks and their numbers."""
    run = 8
    gaps = np.diff(places)
    if len(gaps) < run:
        return places[:0], np.zeros(0, np.int64)
    windows = np.lib.stride_tricks.sliding_window_view(gaps, run)
    uneven = windows.std(axis=1) / windows.mean(axis=1)
    best: tuple[Floats, NDArray[np.int64]] = (places[:0], np.zeros(0, np.int64))
    for seed in np.argsort(uneven)[:5]:
        if uneven[seed] > MOST_STRAY or windows[seed].mean() < LEAST_PITCH_PX * FINER:
            continue
        middle = seed + run // 2
        pitch = float(windows[seed].mean())
        ahead = _follow(places, places[middle], pitch)
        behind = _follow(-places[::-1], -places[middle], pitch)
        chain = {-n: -place for n, place in behind.items()} | ahead
        if len(chain) > len(best[0]):
            numbers = np.array(sorted(chain), np.int64)
            best = (np.array([chain[n] for n in numbers.tolist()]), numbers)
    return best


def _follow(places: Floats, start: float, pitch: float) -> dict[int, float]:
    """Step from peak to peak upwards from ``start``: number of each step and its place."""
    found = {0: start}
    number, last, missed = 0, start, 0
    while missed <= MOST_MISSED:
        number += 1
        aim = last + pitch * (missed + 1)
        nearest = float(places[np.argmin(np.abs(places - aim))])
        if abs(nearest - aim) < MOST_STRAY * pitch:
            pitch += 0.15 * ((nearest - last) / (missed + 1) - pitch)
            found[number], last, missed = nearest, nearest, 0
        else:
            missed += 1
    return found


def _lengths(comb: _Comb) -> Floats:
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


def _every_other(comb: _Comb, lengths: Floats, first: int, every: int) -> bool:
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
