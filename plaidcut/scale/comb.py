"""Lines along the edge of a ruler, found as a comb whose pitch changes slowly.

They are sought where the edge was laid out straight: rows go into the ruler,
columns along it. Lines are dark (or light) against their ground, cross the rows near the
edge and slant a little, as perspective has it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.lines import Floats
from plaidcut.scale.unrolled import FINER, Strip

SLANTS: Final = tuple(np.linspace(-0.16, 0.16, 17).tolist())
"""Slants of the lines against the edge's normal that are tried: what a tilt of 25 degrees does."""

DEPTHS: Final = (-0.12, -0.08, -0.04, 0.03, 0.05, 0.08, 0.12)
"""Where the comb is sought, as shares of the ruler's width inwards from what looks like its edge:
fine lines run together into a grey border, whose inner end may be taken for it."""

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comb:
    """Evenly spaced lines in an unrolled strip."""

    ink: NDArray[np.float32]
    row: int
    slants: Floats
    """Columns by which each line moves per row (N,)."""
    places: Floats
    """Columns (N,) at which lines cross that row."""
    numbers: NDArray[np.int64]
    """Consecutive numbers (N,), some left out."""
    stray: float
    """Robust standard deviation of the places, in columns."""

    @property
    def pitch(self) -> Floats:
        """Columns (N,) from line to line at each line."""
        slope = np.polyder(np.polyfit(self.numbers, self.places, 4))
        return np.asarray(np.polyval(slope, self.numbers))

    @property
    def worth(self) -> float:
        """Number of its lines, less where they stray."""
        return len(self.places) / (1 + 100 * self.stray / float(np.mean(self.pitch)))

    def column_of(self, numbers: NDArray[np.int64] | Floats) -> Floats:
        """Places of lines by number, on a smooth comb."""
        return np.asarray(np.polyval(np.polyfit(self.numbers, self.places, 4), numbers))


def find_combs(strip: Strip, width_px: float) -> list[Comb]:
    """The best comb of dark lines and that of light ones, the likelier first.

    Both are there where fine lines lie close: the gaps between lines are lines, too.
    """
    found = []
    for ink in (strip.ink(dark=True), strip.ink(dark=False)):
        rows = (strip.edge_row + round(depth * width_px) for depth in DEPTHS)
        combs = (_comb(ink, row, half=max(1, round(width_px / 60))) for row in rows)
        best = max((c for c in combs if c is not None), key=lambda c: c.worth, default=None)
        found += [best] if best is not None else []
    return sorted(found, key=lambda comb: -comb.worth)


def _comb(ink: NDArray[np.float32], row: int, half: int) -> Comb | None:
    """The comb of lines that crosses the rows about ``row``; None when there is none."""
    from scipy.signal import find_peaks

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
    return Comb(
        ink=ink,
        row=row,
        slants=np.full(int(good.sum()), slant * FINER),
        places=chosen[good],
        numbers=numbers[good],
        stray=stray,
    )


def follow_lines(
    comb: Comb, outer_row: int, inner_row: int
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Follow a comb's lines from an outer row to an inner one.

    Returns
    -------
    outer, inner, sound
        Columns (N,) at which the lines cross the two rows, and which of them (N,) are in their
        place on both and lean as their neighbours do: a tilt fans lines out, but smoothly.
    """
    half = max(1, (inner_row - outer_row) // 4)
    outer, inner = (_middles(comb, row, half) for row in (outer_row, inner_row))
    sound = np.ones(len(outer), bool)
    for places, degree in ((outer, 4), (inner - outer, 2)):
        for _ in range(4):
            off = places - np.polyval(
                np.polyfit(comb.numbers[sound], places[sound], degree), comb.numbers
            )
            sound &= np.abs(off) < 4 * 1.4826 * np.median(np.abs(off[sound])) + 0.02
    return outer, inner, sound


def fanned(comb: Comb, outer_row: int, inner_row: int) -> Comb:
    """The same comb with each line's own slant, smooth along the ruler, from between two rows."""
    outer, inner, sound = follow_lines(comb, outer_row, inner_row)
    slants = (inner - outer) / (inner_row - outer_row)
    fit = np.polyfit(comb.numbers[sound], slants[sound], 2)
    return replace(comb, slants=np.asarray(np.polyval(fit, comb.numbers)))


def _middles(comb: Comb, row: int, half: int) -> Floats:
    """Middles (N,) of the lines' ink in the rows about ``row``."""
    rows = range(max(0, row - half), min(len(comb.ink), row + half + 1))
    every = np.arange(comb.ink.shape[1], dtype=float)
    share = np.linspace(-0.4, 0.4, 41)
    found = comb.places + comb.slants * (row - comb.row)
    for _ in range(3):
        at = found[:, None] + share * comb.pitch[:, None]
        ink = np.zeros(at.shape)
        for r in rows:
            ink += np.interp(at + comb.slants[:, None] * (r - row), every, comb.ink[r])
        ink = np.maximum(ink - 0.25 * ink.max(axis=1, keepdims=True), 0)
        found = np.sum(ink * at, axis=1) / np.maximum(ink.sum(axis=1), 1e-9)
    return found


def _sheared_mean(band: NDArray[np.float32], shifts: Floats) -> Floats:
    """Mean of rows (R, C), each first moved left by its shift."""
    columns = np.arange(band.shape[1], dtype=float)
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
