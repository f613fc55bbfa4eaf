"""The repeat: how far along the cloth the same order of bands comes again."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.fold import Folded, fold, fold_mean, periodic
from plaidcut.stripes.profile import END_MM, Floats, Profile

Doubt = Literal["longer", "shorter"]

LAG_STEP_MM = 0.4
MULTIPLES_SHARE = 0.6
"""Multiples of a repeat are looked at up to this share of the longest lag."""
SMOOTH_MM = 0.5
WINDOW_MM = 40.0
TRUSTED = 0.75
"""Share of the windows that a repeat is judged by: the others may hold a seam or a stain."""
DRIFT = 0.02
"""The local scale may differ by this much over a photo (lens and plane not yet refined)."""
SHORTEST_REPEAT_MM = 2.5
OFTEN = 2.5
"""Repeats in what is seen."""
WORST_LIKENESS = 0.2
"""Mean square difference after one repeat over that of unrelated places: 1 is no repeat."""
FITTING = 0.9
LEAST_OVERLAP_MM = 15.0
LEAST_OVERLAP_VARIANCE = 0.3
"""A stretch that is all one band looks like itself at any distance and says nothing."""
LEAST_DIFFERENCE = 8.0
"""Parts of a supposed repeat that differ by more (CIE L*a*b*) make it a longer one ..."""
WIGGLE_MM = 0.8
"""... wherever the other part may lie within this much of its place ..."""
LEAST_STRETCH_MM = 0.6
"""... over at least this much, away from the ends of what is seen."""


def likeness(profile: Profile) -> tuple[Floats, Floats, Floats]:
    """Candidate repeats (mm) and how unlike the cloth is to itself that far on (0 the same).

    For each lag the square difference is averaged over windows, each of which may
    choose the best lag within :data:`DRIFT`; it is divided by twice the variance of
    the part that is compared. The third array is the same without that choice: it
    is the sharper of the two where the scale is even.
    """
    from scipy import ndimage

    every = max(1, round(LAG_STEP_MM / profile.step_mm))
    step = every * profile.step_mm
    smooth = ndimage.gaussian_filter1d(profile.lab, SMOOTH_MM / profile.step_mm, axis=0)
    colour, seen = smooth[::every], profile.seen[::every]
    window = max(8, round(WINDOW_MM / step))
    lags = np.arange(round(SHORTEST_REPEAT_MM / step), len(colour) - round(LEAST_OVERLAP_MM / step))
    number, total, variance = _by_window(colour, seen, lags, window)
    known = number.sum(axis=1) * step >= LEAST_OVERLAP_MM
    known &= variance >= LEAST_OVERLAP_VARIANCE * float(colour[seen].var(axis=0).sum())
    number[number < min(window, LEAST_OVERLAP_MM / step) / 2] = 0
    known &= number.any(axis=1)
    unlike = np.divide(total, number, out=np.full(total.shape, np.inf), where=number > 0)
    score, sharp = np.full(len(lags), np.inf), np.full(len(lags), np.inf)
    for values, found in ((_least_nearby(unlike, lags), score), (unlike, sharp)):
        found[known] = _trimmed_mean(values[known], number[known]) / (2 * variance[known])
    return np.asarray(lags * step, float), score, sharp


def _trimmed_mean(values: Floats, weight: Floats) -> Floats:
    """Weighted means (L,) of the lower :data:`TRUSTED` of each row's values (L, W)."""
    order = np.argsort(values, axis=1)
    values, weight = (np.take_along_axis(each, order, axis=1) for each in (values, weight))
    before = np.cumsum(weight, axis=1) - weight
    limit = TRUSTED * weight.sum(axis=1, keepdims=True)
    weight = np.clip(limit - before, 0, weight)
    used = np.multiply(values, weight, out=np.zeros_like(values), where=weight > 0)
    return np.asarray(used.sum(axis=1) / weight.sum(axis=1))


def _by_window(
    colour: Floats, seen: NDArray[np.bool_], lags: NDArray[np.intp], window: int
) -> tuple[Floats, Floats, Floats]:
    """How unlike the cloth is to itself, by lag and by window of where a pair begins.

    Returns the number of pairs (L, W) of which both are seen, the sum (L, W) of their square
    differences, and the variance (L,) of what is compared.
    """
    # single precision: differences matter down to a thousandth of what is summed
    colour = (colour - colour[seen].mean(axis=0)).astype(np.float32)
    later = np.lib.stride_tricks.sliding_window_view(
        np.pad(colour.T, ((0, 0), (0, lags[-1]))), len(lags), axis=1
    )
    later_seen = np.lib.stride_tricks.sliding_window_view(np.pad(seen, (0, lags[-1])), len(lags))
    numbers, totals = [], []
    sums, squares = np.zeros((2, len(lags), 3)), np.zeros((2, len(lags), 3))
    for first in range(0, len(colour), window):
        here = slice(first, min(first + window, len(colour)))
        there = slice(here.start + lags[0], here.stop + lags[0])
        both = (seen[here, None] & later_seen[there]).astype(np.float32)
        second = later[:, there] * both
        one = both.T @ colour[here]
        product = colour[here].T.ravel() @ second.reshape(-1, len(lags))
        own = both.T @ colour[here] ** 2
        theirs = np.square(second).sum(axis=1).T
        numbers.append(both.sum(axis=0))
        totals.append(np.maximum(own.sum(axis=1) - 2 * product + theirs.sum(axis=1), 0))
        sums += np.stack([one, second.sum(axis=1).T])
        squares += np.stack([own, theirs])
    number = np.stack(numbers, axis=1)
    count = number.sum(axis=1)[:, None]
    variance = (squares / np.maximum(count, 1) - (sums / np.maximum(count, 1)) ** 2).sum(axis=2)
    return number, np.stack(totals, axis=1), variance.mean(axis=0)


def _least_nearby(unlike: Floats, lags: NDArray[np.intp]) -> Floats:
    """The least of ``unlike`` (L, W) within :data:`DRIFT` of each lag."""
    from scipy import ndimage

    least = np.empty_like(unlike)
    reaches = np.maximum(1, np.ceil(DRIFT * lags).astype(int))
    for reach in np.unique(reaches):
        rows = np.flatnonzero(reaches == reach)
        low = max(rows[0] - reach, 0)
        part = ndimage.minimum_filter1d(
            unlike[low : rows[-1] + reach + 1], 2 * reach + 1, axis=0, mode="nearest"
        )
        least[rows] = part[rows - low]
    return least


def candidate_repeats(profile: Profile) -> tuple[float, ...]:
    """Likely repeats, shortest first: valleys of the likeness nearly as deep as the deepest."""
    lag_mm, score, sharp = likeness(profile)
    if not np.isfinite(score).any():
        return ()
    filled = np.where(np.isfinite(score), score, 2.0)
    valleys = peaks(-np.concatenate([filled, [2.0]]))
    deepest = float(filled[valleys].min()) if len(valleys) else np.inf
    # a repeat seen often is judged once more by its parts: it may be much worse at first
    often = lag_mm < (lag_mm[-1] + LEAST_OVERLAP_MM) / OFTEN
    limit = np.where(often, deepest + 0.15, max(2.5 * deepest, deepest + 0.05))
    good = [k for k in valleys if filled[k] <= min(WORST_LIKENESS, limit[k])]
    return tuple(dict.fromkeys(_refined(lag_mm, sharp, k) for k in good))


def _refined(lag_mm: Floats, sharp: Floats, valley: int) -> float:
    """A repeat's length to a part of a step.

    First the deepest lag of its valley, whose floor is flat for as far as drift may go,
    then that of its multiples, over which an error adds up.
    """
    reach = 2 * DRIFT * lag_mm[valley] + 1
    repeat = _deepest(lag_mm, sharp, lag_mm[valley], reach)
    for times in range(2, int(MULTIPLES_SHARE * lag_mm[-1] / repeat) + 1):
        reach = min(0.2 * repeat, 2 * DRIFT * times * repeat)
        repeat = _deepest(lag_mm, sharp, times * repeat, reach) / times
    return repeat


def _deepest(lag_mm: Floats, sharp: Floats, near_mm: float, reach_mm: float) -> float:
    """Lag of the lowest ``sharp`` within reach, by a parabola through it and its neighbours."""
    index = np.flatnonzero(np.abs(lag_mm - near_mm) <= max(reach_mm, lag_mm[1] - lag_mm[0]))
    low = int(index[sharp[index].argmin()])
    if low in (0, len(sharp) - 1) or not np.isfinite(sharp[low - 1 : low + 2]).all():
        return float(lag_mm[low])
    before, least, after = sharp[low - 1 : low + 2]
    curve = before - 2 * least + after
    shift = 0.5 * (before - after) / curve if curve > 0 else 0.0
    return float(lag_mm[low] + np.clip(shift, -1, 1) * (lag_mm[1] - lag_mm[0]))


def peaks(values: Floats) -> NDArray[np.intp]:
    """Indices of local maxima, the first of a level top (scipy.signal takes a second to load)."""
    rises = values[1:-1] > values[:-2]
    return np.flatnonzero(rises & (values[1:-1] >= values[2:])) + 1


def find_repeat(profile: Profile, *, drift_share: float = 1.0) -> Folded | None:
    """The shortest true repeat, all repeats folded; None where the cloth shows none."""
    for candidate in candidate_repeats(profile):
        folded = fold(profile, candidate, drift_share=drift_share)
        if _fits(profile, folded) and not _is_part(profile, folded):
            return folded
    return None


def _fits(profile: Profile, folded: Folded) -> bool:
    """Whether the folded repeat explains the profile, a stained tenth of it left aside."""
    at = profile.position_mm[profile.seen]
    lab = profile.lab[profile.seen]
    model = periodic(folded.lab, folded.phase_mm(at) / folded.step_mm)
    left = np.sort(((lab - model) ** 2).sum(axis=1))[: round(FITTING * len(lab))]
    return float(left.sum()) <= WORST_LIKENESS * len(lab) * float(lab.var(axis=0).sum())


def doubt_of(profile: Profile, folded: Folded) -> Doubt | None:
    """Whether a repeat might as well be two or three times as long, or a half or a third.

    It might be longer where its recurrences differ by half of what makes them parts of one,
    shorter where its own parts differ by little more.
    """
    if _is_part(profile, folded, least=LEAST_DIFFERENCE / 2):
        return "longer"
    reach = round(WIGGLE_MM / folded.step_mm)
    for times in (2, 3):
        part = len(folded.share) // times
        shifted = [np.roll(folded.lab, part + s, axis=0) for s in range(-reach, reach + 1, 2)]
        apart = np.min([np.linalg.norm(folded.lab - o, axis=1) for o in shifted], axis=0)
        if apart.max() < 1.5 * LEAST_DIFFERENCE:
            return "shorter"
    return None


def _is_part(profile: Profile, folded: Folded, *, least: float = LEAST_DIFFERENCE) -> bool:
    """Whether a double or triple repeat would show parts that differ in colour.

    The parts must differ by ``least`` (CIE L*a*b*) and by three times what one part
    differs from its own recurrences, over a stretch that could be a band.
    """
    from scipy import ndimage

    inner = ndimage.binary_erosion(profile.seen, iterations=round(END_MM / profile.step_mm))
    if not inner.any():
        return False
    at = profile.position_mm[inner]
    lab = ndimage.gaussian_filter1d(profile.lab, 0.4 / profile.step_mm, axis=0)[inner]
    bins = len(folded.share)
    for times in (2, 3):
        if folded.repeat_mm * times > 0.9 * (at[-1] - at[0]):
            continue
        phase = folded.phase_mm(at) / folded.step_mm
        long, weight = fold_mean(phase, lab, bins * times)
        square, _ = fold_mean(
            phase, ((lab - periodic(long, phase)) ** 2).sum(axis=1, keepdims=True), bins * times
        )
        per_repeat = folded.step_mm / profile.step_mm
        known = (weight > 0.3 * per_repeat).reshape(times, bins).all(axis=0)
        parts = long.reshape(times, bins, 3)
        reach = round(WIGGLE_MM / folded.step_mm)
        apart = np.zeros(bins)
        for other in parts[1:]:
            shifted = [np.roll(other, s, axis=0) for s in range(-reach, reach + 1, 2)]
            nearest = np.min([np.linalg.norm(parts[0] - o, axis=1) for o in shifted], axis=0)
            apart = np.maximum(apart, nearest)
        own = np.sqrt(square).reshape(times, bins).max(axis=0)
        differs = known & (apart > least) & (apart > 3 * own)
        if longest_run(differs)[0] * folded.step_mm > LEAST_STRETCH_MM:
            return True
    return False


def longest_run(flags: NDArray[np.bool_]) -> tuple[int, int]:
    """Length of the longest run of True, and where it begins."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    if not len(edges):
        return 0, 0
    lengths = edges[1::2] - edges[::2]
    return int(lengths.max()), int(edges[2 * int(lengths.argmax())])
