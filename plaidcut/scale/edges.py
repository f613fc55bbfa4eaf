"""Straight edges in a photo, to a small part of a pixel.

An edge is sought along a line that somebody already guessed: a side of a
marker, of an index card, of a ruler. One side of it is *plain* (paper, a black
frame); the other may be anything, wool above all. The guess is bettered in two
steps. First a line is laid so that what lies on the plain side looks plain and
what lies beyond does not: a matter of whole regions, which a band of the plaid
that runs along the edge cannot mislead. Then the step itself is fitted on short
profiles square to it, in linear light, as a step blurred by a Gaussian. Linear
light matters: the camera blurs light, not sRGB codes, and half way between two
codes is not half way between two lights, which makes black squares look smaller.

Pixel centres are whole numbers, x to the right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.scale.lines import SHIFT_STD_PX, TOLERANCE_PX, Floats, parabola
from plaidcut.scale.plane import Points
from plaidcut.scale.profiles import STEP_PX, Profiles

MOST_PROFILES: Final = 300
"""Profiles across one edge; more cost time and add nothing, neighbours see the same yarn."""

PLAIN_CHI2: Final = 16.0
"""Squared distance from the plain colour, in its own scatter, at which a sample counts for
neither side: the 99.9 % point of chi-square with 3 degrees of freedom."""

ODD: Final = 2.0
"""How much a sample that isn't plain tells against the plain side, where a plain one tells 1 for
it: the cloth may well have the paper's colour, the paper hardly the cloth's."""

CLEAR: Final = 3.0
"""How many times what the fitted step leaves over its height must be."""

LEAST_HEIGHT: Final = 0.003
"""Step in linear light that 8 bits can show in a dark place; less is the spline's own ringing."""

CLEAREST: Final = 60
"""Profiles from which the blur is taken: those with the highest steps."""

LEAST_SCATTER: Final = 0.02
"""Floor of the plain side's scatter in sRGB (0..1): five codes, JPEG's own doing."""

SHADOW_STD_PX: Final = 0.015
"""The same for a step of full contrast, from the shadow that paper throws on the cloth: the
lower the step, the more it moves (measured on rendered photos)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edge:
    """One edge as it was found: points on it, and how it looks."""

    xy_px: Points
    """Points on the edge (N, 2), in order from its start to its end; outliers are left out."""
    blur_px: float
    """Standard deviation of the Gaussian that blurs the step."""
    contrast: float
    """Median height of the step in linear light, as a share of full scale."""
    support: float
    """Share of the profiles, 0..1, that show the step where the others do."""

    @property
    def shift_std_px(self) -> float:
        """Standard uncertainty of the whole edge's place, across it."""
        return float(np.hypot(SHIFT_STD_PX, SHADOW_STD_PX / self.contrast))


def locate_edge(
    pixels: NDArray[np.uint8], start_xy_px: ArrayLike, end_xy_px: ArrayLike, *, reach_px: float
) -> Edge | None:
    """Find the edge near a guessed line; the plain side is on the right, going along it.

    For the sides of a polygon taken clockwise (on the picture, y down) the
    inside is the plain side.

    Parameters
    ----------
    pixels
        sRGB, shape (height, width, 3).
    start_xy_px, end_xy_px
        Ends of the guessed line (2,). They bound the profiles: what lies
        beyond them is not looked at.
    reach_px
        How far off the guess may be, across it. From there to half as far
        again the plain side must be plain.

    Returns
    -------
    Edge or None
        None when there is no such edge: the line is shorter than eight pixels
        or outside the picture, or fewer than a quarter of the profiles agree.

    Notes
    -----
    Model of one profile: ``a + b·Φ((t - c)/s)``, Φ the normal distribution
    function, s common to the whole edge; a, b and c by Gauss-Newton. Samples reach
    3 s + 1.5 px into the plain side, but only 1.2 s + 0.5 px beyond the edge, where
    the next yarn or a shadow begins.
    """
    start, end = np.asarray(start_xy_px, float), np.asarray(end_xy_px, float)
    length = float(np.hypot(*(end - start)))
    if length < 8:
        return None
    count = int(min(length, MOST_PROFILES))
    profiles = Profiles.across(pixels, start, end, count=count, reach_px=1.5 * reach_px + 8)
    if profiles is None:
        return None
    places = (np.arange(count) + 0.5) / count
    coarse = _plain_border(profiles, places, reach_px)
    return _blurred_step(profiles, places, coarse)


def _smooth_along(values: Floats, span: int) -> Floats:
    """Running median along the first axis over ``span`` rows (odd), ends repeated."""
    from scipy.ndimage import median_filter

    size = (span, *([1] * (values.ndim - 1)))
    return np.asarray(median_filter(values, size=size, mode="nearest"))


def _plain_border(profiles: Profiles, places: Floats, reach_px: float) -> Floats:
    """Offset of the edge at each profile (N,), to about a pixel, by how plain each side is.

    Of all straight borders within reach the one is taken with most plain
    samples inside it and most others outside; then each profile may bend it by
    a few pixels, and a parabola through those is the answer (lenses bend edges).
    """
    offsets = np.arange(-reach_px, 1.5 * reach_px + 4, 1.0)
    values = profiles.codes_at(np.tile(offsets, (len(places), 1)))
    inside = values[:, offsets >= reach_px]
    plain = np.median(np.nan_to_num(inside), axis=1)
    plain = _smooth_along(plain, 2 * (len(places) // 12) + 1)
    scatter = np.nanmedian(np.abs(inside - plain[:, None]), axis=(0, 1)) * 1.4826
    scatter = np.hypot(np.nan_to_num(scatter), LEAST_SCATTER)
    apart = np.sum(((values - plain[:, None]) / scatter) ** 2, axis=2)
    gain = np.nan_to_num(np.clip(1 - apart / PLAIN_CHI2, -ODD, 1))
    total = np.cumsum(gain, axis=1)
    worth = total[:, -1:] - 2 * total  # of a border right after each sample

    low, high = 0, int(np.searchsorted(offsets, reach_px))
    ends = np.arange(low, high + 1)
    first, last = np.meshgrid(ends, ends, indexing="ij")
    score = np.zeros(first.shape)
    for row, place in zip(worth, places, strict=True):
        score += row[np.rint(first + (last - first) * place).astype(int)]
    a, b = np.unravel_index(np.argmax(score), score.shape)
    straight = ends[a] + (ends[b] - ends[a]) * places

    bend = np.arange(-4, 5)
    at = np.clip(np.rint(straight[:, None] + bend).astype(int), 0, worth.shape[1] - 1)
    local = np.take_along_axis(worth, at, axis=1)
    own = np.take_along_axis(at, np.argmax(local, axis=1)[:, None], axis=1)[:, 0]
    return parabola(places, offsets[own] + 0.5, np.ones(len(own)), tolerance_px=1.5)[0]


def _blurred_step(profiles: Profiles, places: Floats, coarse: Floats) -> Edge | None:
    """Fit the blurred step on every profile, and one blur for them all."""
    blur, center = 1.0, coarse
    for _ in range(3):
        near = np.arange(-1.2 * blur - 0.5, 3 * blur + 1.5 + STEP_PX, STEP_PX)
        offsets = center[:, None] + near
        signal = _along_contrast(profiles.light_at(offsets))
        found, height = _fit_steps(signal, offsets, center, blur)
        center, kept = parabola(places, found, height, tolerance_px=TOLERANCE_PX)
        if kept.sum() < max(4, len(places) / 4):
            return None
        clear = np.flatnonzero(kept)[np.argsort(-height[kept])[:CLEAREST]]
        blur = _common_blur(signal[clear], offsets[clear], found[clear], blur)
    return Edge(
        xy_px=(profiles.feet_px + found[:, None] * profiles.inward)[kept],
        blur_px=blur,
        contrast=float(np.median(height[kept])),
        support=float(np.mean(kept)),
    )


def _along_contrast(light: Floats) -> Floats:
    """Project profiles (N, M, 3) each on its own colour difference across the edge: (N, M)."""
    third = light.shape[1] // 3
    change = np.mean(light[:, -third:], axis=1) - np.mean(light[:, :third], axis=1)
    unit = change / (np.linalg.norm(change, axis=1, keepdims=True) + 1e-9)
    return np.asarray(np.einsum("nmc,nc->nm", light, unit))


def _fit_steps(
    signal: Floats, offsets: Floats, center: Floats, blur: float
) -> tuple[Floats, Floats]:
    """Place (N,) and height (N,) of the step on each profile; nan where there is none."""
    from scipy.special import ndtr

    place = center.copy()
    usable = np.asarray(np.isfinite(signal).all(axis=1), bool)
    values = np.where(usable[:, None], signal, 0.0)
    for _ in range(8):
        z = (offsets - place[:, None]) / blur
        step = ndtr(z)
        slope = np.exp(-0.5 * z * z) / (blur * np.sqrt(2 * np.pi))
        # the derivative by the place is -height·slope: its coefficient, fitted beside the levels
        level, height, lean = _solve(np.stack([np.ones_like(step), step, slope], -1), values).T
        place = place - np.clip(lean / np.where(np.abs(height) > 1e-6, height, np.nan), -0.7, 0.7)
        place = np.where(np.isfinite(place), place, center)
    left = values - level[:, None] - height[:, None] * ndtr((offsets - place[:, None]) / blur)
    off = np.abs(place - center) > 2 * blur + 1.5
    faint = height < CLEAR * np.sqrt(np.mean(left * left, axis=1))
    bad = ~usable | off | faint | (height <= LEAST_HEIGHT)
    return np.where(bad, np.nan, place), np.where(bad, 0.0, height)


def _solve(basis: Floats, values: Floats) -> Floats:
    """Least squares of every row at once: basis (N, M, K), values (N, M) to (N, K)."""
    normal = np.einsum("nmk,nml->nkl", basis, basis) + 1e-9 * np.eye(basis.shape[2])
    right = np.einsum("nmk,nm->nk", basis, values)
    return np.asarray(np.linalg.solve(normal, right[..., None])[..., 0])


def _common_blur(signal: Floats, offsets: Floats, place: Floats, blur: float) -> float:
    """Blur that fits all profiles best, each with its own levels and place."""
    from scipy.optimize import minimize_scalar
    from scipy.special import ndtr

    def misfit(candidate: float) -> float:
        found, _ = _fit_steps(signal, offsets, place, candidate)
        z = (offsets - np.where(np.isfinite(found), found, place)[:, None]) / candidate
        basis = np.stack([np.ones_like(z), ndtr(z)], -1)
        left = signal - np.einsum("nmk,nk->nm", basis, _solve(basis, signal))
        return float(np.median(np.sum(left * left, axis=1)))

    bounds = (0.35, max(2.0, 2 * blur))
    found = minimize_scalar(misfit, bounds=bounds, method="bounded", options={"xatol": 0.01})
    return float(found.x)
