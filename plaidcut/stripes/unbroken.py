"""Where the order of stripes goes on unbroken: a seam between two pieces ends it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plaidcut.stripes.fold import Folded, periodic
from plaidcut.stripes.profile import Floats, Profile
from plaidcut.stripes.repeat import DRIFT, SHORTEST_REPEAT_MM, longest_run

STEP_MM = 0.5
SMOOTH_MM = 0.5
NEAR_MM = 12.0
"""What differs is averaged over this much: a stain does not end the order."""
BROKEN = 0.1
"""Mean square difference after one repeat, over that of unrelated places, where it is broken."""
POOR_FOLD = 0.03
"""Share of the profile's variance that a fold leaves unexplained only if something is amiss."""
FEW_REPEATS = 2.0
"""A fold of fewer explains everything, seam or not: nothing was seen twice."""
LEAST_REPEATS = 4
"""Fewer repeats in what is unbroken could be a part of one longer repeat ..."""
LEAST_BEFORE, LEAST_BEYOND = 2.2, 1.25
"""... unless the same order goes on beyond a single break: repeats on its two sides ..."""
LONGEST_BREAK = 1.15
"""... which is no longer than a repeat, as where nothing lies in between ..."""
LEAST_BROKEN = 0.5
"""... and differs in this share of it at least: a stain differs only at its two ends."""
TRIMMED = 0.6
"""Share of a repeat taken off a broken end: the seam may lie anywhere in a band."""
LEAST_SHARE = 0.4
MOST_SHARE = 0.92
"""An unbroken stretch of less is no cloth to trust, one of more is all there is."""


def unexplained(profile: Profile, folded: Folded) -> float:
    """Share of the profile's variance in colour that the folded repeat leaves."""
    at, lab = profile.position_mm[profile.seen], profile.lab[profile.seen]
    model = periodic(folded.lab, folded.phase_mm(at) / folded.step_mm)
    return float(((lab - model) ** 2).sum(axis=1).mean() / lab.var(axis=0).sum())


def _explains(profile: Profile, folded: Folded) -> bool:
    low, high = folded.span_mm
    enough = high - low > FEW_REPEATS * folded.repeat_mm
    return enough and unexplained(profile, folded) < POOR_FOLD


def unbroken_span(profile: Profile, folded: Folded | None) -> tuple[float, float] | None:
    """Positions (mm) between which stripes come again unbroken; None where all does, or nothing.

    Infinite where no seam ends it.
    ``folded`` is the whole profile's fold: one that explains it well leaves nothing to look for.
    """
    if folded is not None and _explains(profile, folded):
        return None
    every = max(1, round(STEP_MM / profile.step_mm))
    step = every * profile.step_mm
    unlike = _unlike(profile, every)
    count = unlike.shape[1]
    best: _Piece | None = None
    for row, lag in enumerate(_lags(count, step)):
        after_one = unlike[row, : count - lag]
        for piece in (_goes_on(after_one, lag), _beside_one_break(after_one, lag, step)):
            # the shortest repeat that goes on as far
            if piece and (best is None or piece.length > 1.05 * best.length):
                best = piece
    if best is None or not LEAST_SHARE * count < best.length < MOST_SHARE * count:
        return None
    # the last repeat before the cloth's own end may be ragged: that is no seam
    low = best.first + best.trim if best.first > best.ragged else -np.inf
    high = best.last - best.trim if best.last < count - best.ragged else np.inf
    if np.isinf(low) and np.isinf(high):
        return None
    start = float(profile.position_mm[0])
    return start + low * step, start + high * step


@dataclass(frozen=True, slots=True)
class _Piece:
    """Samples between which the order is unbroken."""

    first: int
    last: int
    trim: float
    """How many to take off an end that is broken ..."""
    ragged: int
    """... which one with fewer than these beyond it is not."""

    @property
    def length(self) -> int:
        return self.last - self.first


def _goes_on(after_one: Floats, lag: int) -> _Piece | None:
    """The longest stretch in which the order comes again at every place.

    ``after_one`` (N,) tells how unlike each place is to that one repeat of ``lag`` on.
    """
    run, first = longest_run(after_one < BROKEN)
    if run < (LEAST_REPEATS - 1) * lag:
        return None
    return _Piece(first, first + run + lag, TRIMMED * lag, lag)


def _beside_one_break(after_one: Floats, lag: int, step: float) -> _Piece | None:
    """The longer of two pieces with one order, which breaks off once, between them.

    Over a seam every place of the repeat before it differs from what lies a repeat on.
    """
    differs = np.isfinite(after_one) & (after_one >= BROKEN)
    if not differs.any():
        return None
    first, last = (int(end) for end in np.flatnonzero(differs)[[0, -1]])
    near = NEAR_MM / step
    if last - first > LONGEST_BREAK * lag + near or differs[first : last + 1].mean() < LEAST_BROKEN:
        return None
    agrees = after_one < BROKEN
    before, beyond = int(agrees[:first].sum()), int(agrees[last + 1 :].sum())
    if max(before, beyond) < (LEAST_BEFORE - 1) * lag:
        return None
    if min(before, beyond) < (LEAST_BEYOND - 1) * lag:
        return None
    # bands that both pieces have in one place hide where the seam lies
    if before > beyond:
        return _Piece(0, min(first + lag, last), near, 0)
    return _Piece(max(first + lag, last), len(after_one) + lag, near, 0)


def _lags(count: int, step: float) -> range:
    return range(round(SHORTEST_REPEAT_MM / step), count // LEAST_REPEATS)


def _unlike(profile: Profile, every: int) -> Floats:
    """Square difference (L, N) from what lies a lag on, smoothed; the least within the drift."""
    from scipy import ndimage

    step = every * profile.step_mm
    colour = ndimage.gaussian_filter1d(profile.lab, SMOOTH_MM / profile.step_mm, axis=0)[::every]
    seen = profile.seen[::every]
    whole = 2 * float(colour[seen].var(axis=0).sum())
    count, near = len(colour), round(NEAR_MM / step)
    lags = _lags(count, step)
    each = np.full((lags.stop + round(DRIFT * lags.stop) + 2, count), np.inf)
    for lag in range(lags.start, len(each)):
        both = (seen[:-lag] & seen[lag:]).astype(float)
        square = ((colour[lag:] - colour[:-lag]) ** 2).sum(axis=1) * both
        known = ndimage.uniform_filter1d(both, near)
        mean = ndimage.uniform_filter1d(square, near) / np.maximum(known, 1e-6)
        each[lag, : count - lag] = np.where(known > 0.3, mean / whole, np.inf)
    least = np.empty((len(lags), count))
    for row, lag in enumerate(lags):
        reach = max(1, int(np.ceil(DRIFT * lag)))
        least[row] = each[lag - reach : lag + reach + 1].min(axis=0)
    return least
