"""The repeat: how far along the cloth the same order of bands comes again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.profile import Floats, Profile, lab_of

LAG_STEP_MM = 0.4
MULTIPLES_SHARE = 0.6
"""Multiples of a repeat are looked at up to this share of the longest lag."""
SMOOTH_MM = 0.5
WINDOW_MM = 40.0
DRIFT = 0.02
"""The local scale may differ by this much over a photo (lens and plane not yet refined)."""
SHORTEST_REPEAT_MM = 2.5
WORST_LIKENESS = 0.2
"""Mean square difference after one repeat over that of unrelated places: 1 is no repeat."""
LEAST_OVERLAP_MM = 15.0
LEAST_OVERLAP_VARIANCE = 0.3
"""A stretch that is all one band looks like itself at any distance and says nothing."""
AMPLE_MM = 80.0
"""A thread seen along this much is known as well as its own unevenness lets it be."""
DRIFT_STD_MM = (np.inf, 1.0, 0.7)
"""How far a lens and a plane not yet refined may bend the scale: Legendre terms from the
first, which is the repeat itself, standard deviations."""
SAMPLES_OF_A_YARN = 4
"""Neighbouring samples that share one yarn's unevenness."""
BIN_MM = 0.1
LEAST_DIFFERENCE = 5.0
"""Parts of a supposed repeat that differ by more (CIE L*a*b*) make it a longer one ..."""
WIGGLE_MM = 0.8
"""... wherever the other part may lie within this much of its place ..."""
LEAST_STRETCH_MM = 0.6
"""... over at least this much, away from the ends of what is seen."""
END_MM = 6.0


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
    count = len(colour)
    window = max(8, round(WINDOW_MM / step))
    lags = np.arange(round(SHORTEST_REPEAT_MM / step), count - round(LEAST_OVERLAP_MM / step))
    starts = np.arange(0, count, window)
    unlike = np.full((len(lags), len(starts)), np.nan)
    weight = np.zeros((len(lags), len(starts)))
    variance = np.zeros(len(lags))
    whole = float(colour[seen].var(axis=0).sum())
    for k, lag in enumerate(lags):
        both = seen[:-lag] & seen[lag:]
        square = np.where(both, ((colour[lag:] - colour[:-lag]) ** 2).sum(axis=1), 0)
        used = starts[starts < len(both)]
        number = np.add.reduceat(both.astype(float), used)
        total = np.add.reduceat(square, used)
        enough = number >= min(window, LEAST_OVERLAP_MM / step) / 2
        unlike[k, : len(used)][enough] = total[enough] / number[enough]
        weight[k, : len(used)][enough] = number[enough]
        if both.sum() * step >= LEAST_OVERLAP_MM:
            first, second = colour[:-lag][both], colour[lag:][both]
            variance[k] = (first.var(axis=0).sum() + second.var(axis=0).sum()) / 2
    score, sharp = np.full(len(lags), np.inf), np.full(len(lags), np.inf)
    for k, lag in enumerate(lags):
        if variance[k] < LEAST_OVERLAP_VARIANCE * whole:
            continue
        reach = max(1, int(np.ceil(DRIFT * lag)))
        near = slice(max(0, k - reach), k + reach + 1)
        best = np.where(np.isnan(unlike[near]), np.inf, unlike[near]).min(axis=0)
        known = np.isfinite(best) & (weight[k] > 0)
        if known.any():
            score[k] = np.average(best[known], weights=weight[k][known]) / (2 * variance[k])
        known = np.isfinite(unlike[k])
        if known.any():
            sharp[k] = np.average(unlike[k][known], weights=weight[k][known]) / (2 * variance[k])
    return lags * step, score, sharp


def candidate_repeats(profile: Profile) -> tuple[float, ...]:
    """Likely repeats, shortest first: valleys of the likeness nearly as deep as the deepest."""
    lag_mm, score, sharp = likeness(profile)
    if not np.isfinite(score).any():
        return ()
    filled = np.where(np.isfinite(score), score, 2.0)
    valleys = peaks(-np.concatenate([filled, [2.0]]))
    deepest = float(filled[valleys].min()) if len(valleys) else np.inf
    good = [
        k for k in valleys if filled[k] <= min(WORST_LIKENESS, max(2.5 * deepest, deepest + 0.05))
    ]
    return tuple(dict.fromkeys(_refined(lag_mm, sharp, k) for k in good))


def _refined(lag_mm: Floats, sharp: Floats, valley: int) -> float:
    """A repeat's length to a part of a step: the deepest lag of its valley, whose floor is flat
    for as far as drift may go, then that of its multiples, over which an error adds up.
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Folded:
    """All repeats of a profile laid on one."""

    repeat_mm: float
    share: Floats
    """Linear light (K, 3) over one repeat, evenly sampled from phase 0."""
    crossing: Floats
    spread: Floats
    """Standard deviation (K, 3) between the repeats, L*a*b*; nan where seen once."""
    count: Floats
    """How many repeats were seen at each phase, (K,)."""
    drift: Floats
    """Legendre coefficients (mm) of ``phase - position`` over the profile's span."""
    span_mm: tuple[float, float]

    @property
    def step_mm(self) -> float:
        """Spacing of the samples."""
        return self.repeat_mm / len(self.share)

    @property
    def lab(self) -> Floats:
        """CIE L*a*b* (K, 3) over a dark crossing."""
        return lab_of(self.share + self.crossing)

    def phase_mm(self, position_mm: Floats) -> Floats:
        """Phase, growing without bound, at positions of the profile."""
        low, high = self.span_mm
        unit = 2 * (position_mm - low) / (high - low) - 1
        return np.asarray(position_mm - low + np.polynomial.legendre.legval(unit, self.drift))


def fold(profile: Profile, repeat_mm: float, *, drift_share: float = 1.0) -> Folded:
    """Lay all repeats on one, following a slow drift of the scale.

    The phase is ``position + drift``, the drift a polynomial whose linear part is
    given to the repeat; Gauss-Newton on the difference from the folded mean,
    smoothed coarse to fine. ``drift_share`` says how much of :data:`DRIFT_STD_MM` is
    to be looked for: less once plane and lens are refined.
    """
    from scipy import ndimage

    at, lab = profile.position_mm[profile.seen], profile.lab
    low, high = float(at[0]), float(at[-1])
    repeats = (high - low) / repeat_mm
    degree = int(np.clip(round(1.5 * repeats) - 1, 1, len(DRIFT_STD_MM)))
    unit = 2 * (at - low) / (high - low) - 1
    basis = np.polynomial.legendre.legvander(unit, degree)[:, 1:]
    drift = np.zeros(degree)
    prior = 1e-6 + 1 / np.square(drift_share * np.array(DRIFT_STD_MM[:degree]))
    bins = max(16, round(repeat_mm / BIN_MM))
    for smooth_mm in (1.5, 1.5, 1.0, 1.0, 0.6, 0.6, 0.4, 0.4):
        sigma = min(smooth_mm, repeat_mm / 12)
        colour = ndimage.gaussian_filter1d(lab, sigma / profile.step_mm, axis=0)[profile.seen]
        phase = (at - low + basis @ drift) / repeat_mm * bins
        mean, _ = _fold_mean(phase, colour, bins)
        slope = (np.roll(mean, -1, axis=0) - np.roll(mean, 1, axis=0)) / (2 * repeat_mm / bins)
        left = colour - _periodic(mean, phase)
        steep = _periodic(slope, phase)
        design = (steep[:, None, :] * basis[:, :, None]).transpose(0, 2, 1).reshape(-1, degree)
        noise = SAMPLES_OF_A_YARN * float((left**2).mean()) + 1e-6
        normal = design.T @ design / noise + np.diag(prior)
        change = np.linalg.solve(normal, design.T @ left.ravel() / noise - prior * drift)
        drift = drift + np.clip(change, -1.0, 1.0)
    # phase must advance by as many millimetres as the position does, on average
    stretch = 1 + 2 * drift[0] / (high - low)
    repeat_mm = repeat_mm / stretch
    bins = max(16, round(repeat_mm / BIN_MM))
    drift = np.concatenate([[0.0, 0.0], drift[1:] / stretch])
    folded_phase = (at - low + np.polynomial.legendre.legval(unit, drift)) / repeat_mm * bins
    colour = profile.lab[profile.seen]
    weight = _agreement(profile, folded_phase, colour, bins)
    share, _ = _fold_mean(folded_phase, profile.share[profile.seen], bins, weight)
    mean, count = _fold_mean(folded_phase, colour, bins)
    square, _ = _fold_mean(
        folded_phase, (colour - _periodic(mean, folded_phase)) ** 2, bins, weight
    )
    once = count <= 1.5 * np.median(count) / max(repeats, 1)
    return Folded(
        repeat_mm=repeat_mm,
        share=share,
        crossing=profile.crossing,
        spread=np.where(once[:, None], np.nan, np.sqrt(square)),
        count=count * profile.step_mm / (repeat_mm / bins),
        drift=drift,
        span_mm=(low, high),
    )


def _agreement(profile: Profile, phase: Floats, colour: Floats, bins: int) -> Floats:
    """Weight of each seen sample: how much of its thread was seen, and whether the other
    repeats agree with it (two rounds of Cauchy weights), so that a stain counts little.
    """
    along = np.minimum(profile.along_mm[profile.seen], AMPLE_MM)
    weight = along
    for _ in range(2):
        mean, _ = _fold_mean(phase, colour, bins, weight)
        away = np.linalg.norm(colour - _periodic(mean, phase), axis=1)
        weight = along / (1 + (away / (3 * float(np.median(away)) + 0.5)) ** 2)
    return weight


def _fold_mean(
    phase: Floats, values: Floats, bins: int, weight_of: Floats | None = None
) -> tuple[Floats, Floats]:
    """Mean of values (N, C) by phase (N,), shared between the two nearest of ``bins``; weights."""
    each = np.ones(len(phase)) if weight_of is None else weight_of / weight_of.mean()
    whole = np.floor(phase).astype(int)
    part = phase - whole
    total = np.zeros((bins, values.shape[1]))
    weight = np.zeros(bins)
    for index, share in ((whole % bins, 1 - part), ((whole + 1) % bins, part)):
        np.add.at(total, index, values * (share * each)[:, None])
        np.add.at(weight, index, share * each)
    known = weight > 0.05
    mean = total / np.maximum(weight, 1e-9)[:, None]
    if not known.all():
        where = np.arange(bins)
        for c in range(values.shape[1]):
            mean[~known, c] = np.interp(where[~known], where[known], mean[known, c], period=bins)
    return mean, weight


def _periodic(samples: Floats, phase: Floats) -> Floats:
    """Linear interpolation of periodic samples (K, C) at phases (N,) in samples."""
    whole = np.floor(phase).astype(int)
    part = (phase - whole)[:, None]
    count = len(samples)
    return np.asarray(samples[whole % count] * (1 - part) + samples[(whole + 1) % count] * part)


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
    """Whether the folded repeat explains the profile."""
    at = profile.position_mm[profile.seen]
    lab = profile.lab[profile.seen]
    model = _periodic(folded.lab, folded.phase_mm(at) / folded.step_mm)
    left = float(((lab - model) ** 2).sum(axis=1).mean())
    return left <= WORST_LIKENESS * float(lab.var(axis=0).sum())


def _is_part(profile: Profile, folded: Folded) -> bool:
    """Whether a double or triple repeat would show parts that differ in colour.

    The parts must differ by :data:`LEAST_DIFFERENCE` and by three times what one
    part differs from its own recurrences, over a stretch that could be a band.
    """
    from scipy import ndimage

    # at the ends of what is seen, colours are the least sure
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
        long, weight = _fold_mean(phase, lab, bins * times)
        square, _ = _fold_mean(
            phase, ((lab - _periodic(long, phase)) ** 2).sum(axis=1, keepdims=True), bins * times
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
        differs = known & (apart > LEAST_DIFFERENCE) & (apart > 3 * own)
        if _longest_run(differs) * folded.step_mm > LEAST_STRETCH_MM:
            return True
    return False


def _longest_run(flags: NDArray[np.bool_]) -> int:
    """Length of the longest run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max()) if len(edges) else 0
