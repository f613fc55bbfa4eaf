"""All repeats of a profile laid on one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plaidcut.stripes.profile import Floats, Profile, lab_of

BIN_MM = 0.1
DRIFT_STD_MM = (np.inf, 1.0, 0.7)
"""How far a lens and a plane not yet refined may bend the scale: Legendre terms from the
first, which is the repeat itself, standard deviations."""
SAMPLES_OF_A_YARN = 4
"""Neighbouring samples that share one yarn's unevenness."""
LEAST_WEIGHT = 0.005
"""A phase that was seen with less than this is bridged from beside it."""
AMPLE_MM = 80.0
"""A thread seen along this much is known as well as its own unevenness lets it be."""


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
        mean, _ = fold_mean(phase, colour, bins)
        slope = (np.roll(mean, -1, axis=0) - np.roll(mean, 1, axis=0)) / (2 * repeat_mm / bins)
        left = colour - periodic(mean, phase)
        steep = periodic(slope, phase)
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
    share, _ = fold_mean(folded_phase, profile.share[profile.seen], bins, weight)
    mean, count = fold_mean(folded_phase, colour, bins)
    square, _ = fold_mean(folded_phase, (colour - periodic(mean, folded_phase)) ** 2, bins, weight)
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
    """Weight of each seen sample, so that a stain counts little.

    It tells how much of the thread was seen, and whether the other repeats agree (two
    rounds of Cauchy weights).
    """
    along = np.minimum(profile.along_mm[profile.seen], AMPLE_MM)
    weight = along
    for _ in range(2):
        mean, _ = fold_mean(phase, colour, bins, weight)
        away = np.linalg.norm(colour - periodic(mean, phase), axis=1)
        weight = along / (1 + (away / (3 * float(np.median(away)) + 0.5)) ** 2)
    return weight


def fold_mean(
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
    known = weight > LEAST_WEIGHT
    mean = total / np.maximum(weight, 1e-9)[:, None]
    if not known.all():
        where = np.arange(bins)
        for c in range(values.shape[1]):
            mean[~known, c] = np.interp(where[~known], where[known], mean[known, c], period=bins)
    return mean, weight


def periodic(samples: Floats, phase: Floats) -> Floats:
    """Linear interpolation of periodic samples (K, C) at phases (N,) in samples."""
    whole = np.floor(phase).astype(int)
    part = (phase - whole)[:, None]
    count = len(samples)
    return np.asarray(samples[whole % count] * (1 - part) + samples[(whole + 1) % count] * part)
