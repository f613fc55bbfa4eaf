"""Cutting a profile into bands: where colour steps, and how exactly that is known.

A blurred step has its steepest place where the edge is, so edges start as peaks of
the colour gradient (one a step, where change points would find a stair). All edges
are then fitted together, in linear light where blur is linear, as a piecewise
constant signal seen through one Gaussian blur; edges with too little contrast, or
too close for the narrowest band asked for, are taken out again, weakest first.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.weave import DARKEST
from plaidcut.srgb import LUMINANCE
from plaidcut.stripes.profile import Floats, lab_of

LEAST_CONTRAST = 4.0
"""CIE L*a*b* difference (over a dark crossing) under which two bands are one."""
LEAST_CONTRAST_ONCE = 6.0
"""... and under which they are one where no repeat confirms them: light and yarns drift."""
NOISE_FACTOR = 4.0
"""An edge must step by this many standard deviations of the bands' means."""
SHADOW_SHARE = 0.06
"""A step must have this share of a bold one within reach: unevenness grows with contrast."""
STAIR_SHARE = 0.2
"""... and this share where both go the same way: pile and glare trail off on one side."""
TWILL_SHARE = 0.25
TWILL_GAP_MM = 2.5
TWILL_EDGES = 4
"""So many edges in a row, so near to each other, stepping to and fro by less than this share of
the boldest step, are a twill's lines: they keep step with a sett of whole fours of threads."""
SHADOW_REACH_MM = 2.0
YARN_MM = 0.7
"""Pitch of usual wool yarn: samples within one yarn share its unevenness."""
RIPPLE_MM = 8.0
SMOOTH_SHARE = 0.22
"""Smoothing before the gradient, as a share of the narrowest band of interest."""
NARROW_MARGIN = 0.7
"""A band may measure this share of the narrowest one before it is taken out: measuring
scatters, and a band of just the least width must not be lost."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Signal:
    """What is cut into bands: one repeat (``circular``) or all that was seen."""

    step_mm: float
    share: Floats
    """Linear light (N, 3)."""
    crossing: Floats
    """Share (3,) of a dark crossing."""
    noise: Floats
    """Standard deviation of a sample's L*a*b*, (N,)."""
    circular: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cuts:
    """Edges of a signal, and the level between them."""

    edges_mm: Floats
    """Positions (E,), increasing, from the first sample; circular ones may lie just outside."""
    levels: Floats
    """Linear light (bands, 3); circular: E bands, band k from edge k to the next; else E + 1."""
    blur_mm: float
    """Standard deviation of the blur at the edges."""
    edge_std_mm: Floats
    """Standard uncertainty (E,) of the edges from the noise alone."""


def cut_into_bands(signal: Signal, *, narrowest_mm: float) -> Cuts:
    """Find the bands of a signal, none narrower than ``narrowest_mm``."""
    edges = _worth_fitting(signal, _gradient_peaks(signal, narrowest_mm))
    blur = max(0.25, SMOOTH_SHARE * narrowest_mm)
    while len(edges) > (1 if signal.circular else 0):
        # a rough fit tells which edges to take out, the last one where they are
        edges, levels, blur, _ = _fit(signal, edges, blur, rounds=2)
        weakest = _weakest(signal, edges, levels, blur, narrowest_mm)
        if not len(weakest):
            edges, levels, blur, std = _fit(signal, edges, blur)
            weakest = _weakest(signal, edges, levels, blur, narrowest_mm)
        if not len(weakest):
            return Cuts(edges_mm=edges, levels=levels, blur_mm=blur, edge_std_mm=std)
        edges = np.delete(edges, weakest)
    return Cuts(
        edges_mm=np.empty(0),
        levels=np.median(signal.share, axis=0, keepdims=True),
        blur_mm=blur,
        edge_std_mm=np.empty(0),
    )


def _gradient_peaks(signal: Signal, narrowest_mm: float) -> Floats:
    from scipy import ndimage

    sigma_mm = SMOOTH_SHARE * narrowest_mm
    mode: Literal["wrap", "nearest"] = "wrap" if signal.circular else "nearest"
    lab = lab_of(signal.share + signal.crossing)
    slope = ndimage.gaussian_filter1d(lab, sigma_mm / signal.step_mm, axis=0, order=1, mode=mode)
    steep = np.linalg.norm(slope, axis=1) / signal.step_mm
    # a step of contrast c through the smoothing alone has the slope c / (sigma·sqrt(2π)); real
    # blur adds to it, so half of that is asked for here and the fit decides
    least = 0.5 * LEAST_CONTRAST / (np.sqrt(2 * np.pi) * np.hypot(sigma_mm, 0.3))
    apart = max(1, round(NARROW_MARGIN * narrowest_mm / signal.step_mm / 2))
    highest = ndimage.maximum_filter1d(steep, 2 * apart + 1, mode=mode) == steep
    found = np.flatnonzero(highest & (steep > least))
    if not signal.circular:
        found = found[(found > apart) & (found < len(steep) - 1 - apart)]
    return np.asarray(found * signal.step_mm)


def _worth_fitting(signal: Signal, edges: Floats) -> Floats:
    """Edges between stretches whose means differ; yarns make many more peaks than stripes do."""
    at = np.arange(len(signal.share)) * signal.step_mm
    lab = lab_of(signal.share + signal.crossing)
    while len(edges) > 1:
        bands = np.searchsorted(edges, at, side="right")
        if signal.circular:
            bands = bands % len(edges)
        count = np.bincount(bands)
        mean = (
            np.stack([np.bincount(bands, c) for c in lab.T], axis=1) / np.maximum(count, 1)[:, None]
        )
        step = mean - np.roll(mean, 1, axis=0) if signal.circular else np.diff(mean, axis=0)
        if signal.circular:
            step = np.roll(step, -1, axis=0)
        contrast = np.linalg.norm(step, axis=1)
        lowest = np.minimum(np.roll(contrast, 1), np.roll(contrast, -1))
        weak = (contrast < 0.5 * LEAST_CONTRAST) & (contrast <= lowest)
        if not weak.any():
            break
        edges = edges[~weak]
    return edges


def _fit(
    signal: Signal, edges: Floats, blur: float, *, rounds: int = 6
) -> tuple[Floats, Floats, float, Floats]:
    """Edges, levels and blur together, by Gauss-Newton with the levels solved exactly."""
    bright = np.maximum((signal.share + signal.crossing) @ LUMINANCE, 0) + 2 * DARKEST
    weight = 1 / bright ** (2 / 3)  # a perceptual scale is about the cube root of light
    length = len(signal.share) * signal.step_mm
    levels = np.empty((0, 3))
    gap = 0.3 * max(blur, signal.step_mm)
    for _ in range(rounds):
        design = _bands_seen(signal, edges, blur)
        levels = _solve(design * weight[:, None], signal.share * weight[:, None])
        left = (signal.share - design @ levels) * weight[:, None]
        moves = _move_columns(signal, edges, levels, blur) * weight[:, None, None]
        wider = (_bands_seen(signal, edges, 1.05 * blur) - design) @ levels / (0.05 * blur)
        columns = np.concatenate([moves, (wider * weight[:, None])[:, None]], axis=1)
        matrix = columns.transpose(0, 2, 1).reshape(-1, columns.shape[1])
        normal = matrix.T @ matrix
        normal += 1e-4 * np.trace(normal) / len(normal) * np.eye(len(normal))
        change = np.linalg.solve(normal, matrix.T @ left.ravel())
        limit = 0.5 * np.diff(edges, append=edges[0] + length).min() if len(edges) > 1 else 0.3
        edges = edges + np.clip(change[:-1], -min(0.3, limit), min(0.3, limit))
        if not signal.circular:
            edges = np.clip(edges, gap, length - gap)
        blur = float(np.clip(blur + np.clip(change[-1], -0.1, 0.1), 0.1, 1.5))
    variance = float((left**2).sum()) / max(1, left.size - 4 * len(edges))
    # one look a yarn: its samples and its three channels are uneven together
    independent = 3 * max(1.0, YARN_MM / signal.step_mm)
    std = np.sqrt(np.diag(np.linalg.inv(normal))[:-1] * variance * independent)
    return edges, levels, blur, std


def _solve(design: Floats, target: Floats) -> Floats:
    """Least squares by the normal equations, barely damped."""
    normal = design.T @ design
    normal += 1e-9 * np.trace(normal) / len(normal) * np.eye(len(normal))
    return np.asarray(np.linalg.solve(normal, design.T @ target))


def _step(x: Floats, blur: float) -> Floats:
    from scipy.special import ndtr

    return np.asarray(ndtr(x / blur))


def _bands_seen(signal: Signal, edges: Floats, blur: float) -> Floats:
    """Share of each band in each sample, (N, bands), through the blur."""
    at = np.arange(len(signal.share)) * signal.step_mm
    length = len(at) * signal.step_mm
    if not signal.circular:
        rises = [np.ones(len(at)), *(_step(at - e, blur) for e in edges), np.zeros(len(at))]
        return np.stack([a - b for a, b in pairwise(rises)], axis=1)
    wrapped = np.concatenate([edges, edges + length])
    turns = np.array([-length, 0.0, length])
    bands = []
    for k in range(len(edges)):
        first, last = wrapped[k], wrapped[k + 1]
        seen = sum(_step(at - first - t, blur) - _step(at - last - t, blur) for t in turns)
        bands.append(seen)
    return np.stack(bands, axis=1)


def _move_columns(signal: Signal, edges: Floats, levels: Floats, blur: float) -> Floats:
    """Change of each sample (N, E, 3) as each edge moves by 1 mm."""
    at = np.arange(len(signal.share)) * signal.step_mm
    length = len(at) * signal.step_mm
    away = at[:, None] - edges[None]
    if signal.circular:
        away = (away + length / 2) % length - length / 2
        jump = np.roll(levels, 1, axis=0) - levels
    else:
        jump = levels[:-1] - levels[1:]
    bell = np.exp(-0.5 * (away / blur) ** 2) / (blur * np.sqrt(2 * np.pi))
    return np.asarray(bell[:, :, None] * jump[None])


def _weakest(
    signal: Signal, edges: Floats, levels: Floats, blur: float, narrowest_mm: float
) -> NDArray[np.intp]:
    """Indices of edges to take out now, each weaker than its neighbours; empty: all may stay."""
    lab = lab_of(levels + signal.crossing)
    length = len(signal.share) * signal.step_mm
    if signal.circular:
        contrast = np.linalg.norm(lab - np.roll(lab, 1, axis=0), axis=1)
        widths = np.diff(edges, append=edges[0] + length)
        beside = np.minimum(widths, np.roll(widths, 1))
    else:
        contrast = np.linalg.norm(np.diff(lab, axis=0), axis=1)
        widths = np.diff(np.concatenate([[0.0], edges, [length]]))
        beside = np.minimum(widths[:-1], widths[1:])
    index = (edges / signal.step_mm).astype(int) % len(signal.noise)
    yarns = np.maximum(beside / YARN_MM, 0.5)
    noise = np.hypot(signal.noise[index], _ripple(signal, edges, levels, blur)[index])
    least = LEAST_CONTRAST if signal.circular else LEAST_CONTRAST_ONCE
    needed = np.maximum(least, NOISE_FACTOR * noise / np.sqrt(yarns))
    apart = np.abs(edges[:, None] - edges[None])
    if signal.circular:
        apart = np.minimum(apart, length - apart)
    near = (apart < SHADOW_REACH_MM) & (apart > 0)
    steps = lab - np.roll(lab, 1, axis=0) if signal.circular else np.diff(lab, axis=0)
    share = np.where(steps @ steps.T > 0, STAIR_SHARE, SHADOW_SHARE)
    neighbour = np.where(near, share * contrast[None], 0).max(axis=1, initial=0)
    strength = contrast / np.maximum(needed, neighbour)
    if strength.min() < 1:
        around = np.where(near | (apart == 0), strength[None], np.inf).min(axis=1)
        return np.flatnonzero((strength < 1) & (strength <= around))
    whole = widths if signal.circular else widths[1:-1]
    lines = _twill_lines(steps, contrast, whole)
    if len(lines):
        return lines
    if len(whole) and whole.min() < NARROW_MARGIN * narrowest_mm:
        band = int(whole.argmin())
        pair = (band, (band + 1) % len(edges))
        return np.array([min(pair, key=lambda e: contrast[e])])
    return np.empty(0, np.intp)


def _twill_lines(steps: Floats, contrast: Floats, gaps_mm: Floats) -> NDArray[np.intp]:
    """Indices of edges that are no bands' but a twill's.

    ``steps`` (E, 3) and their sizes (E,) at each edge; ``gaps_mm`` from each edge to the next,
    (E,) round a repeat, else (E - 1,).
    """
    count = len(steps)
    first = np.arange(len(gaps_mm))
    second = (first + 1) % max(count, 1)
    faint = contrast < TWILL_SHARE * contrast.max(initial=0.0)
    to_and_fro = np.sum(steps[first] * steps[second], axis=1) < 0
    linked = faint[first] & faint[second] & to_and_fro & (gaps_mm < TWILL_GAP_MM)
    chain = np.tile(linked, 2) if len(gaps_mm) == count else linked
    turns = np.flatnonzero(np.diff(np.concatenate([[0], chain.astype(np.int8), [0]])))
    runs = [range(a, b + 1) for a, b in zip(turns[::2], turns[1::2], strict=True)]
    lines = {edge % count for run in runs if len(run) >= TWILL_EDGES for edge in run}
    return np.array(sorted(lines), np.intp)


def _ripple(signal: Signal, edges: Floats, levels: Floats, blur: float) -> Floats:
    """Unevenness (N,) that the bands leave, L*a*b*, over :data:`RIPPLE_MM` around each sample.

    Yarns and twill lines make it; they keep step with the repeat, so that the
    scatter between repeats does not show them.
    """
    from scipy import ndimage

    seen = _bands_seen(signal, edges, blur) @ levels
    away = lab_of(signal.share + signal.crossing) - lab_of(seen + signal.crossing)
    square = (away**2).sum(axis=1)
    size = max(3, round(RIPPLE_MM / signal.step_mm))
    mode: Literal["wrap", "nearest"] = "wrap" if signal.circular else "nearest"
    local = np.sqrt(ndimage.uniform_filter1d(square, size, mode=mode))
    # where an edge is not yet in its place all of its misfit must not count as ripple
    return np.asarray(np.minimum(local, 2 * np.median(local)))
