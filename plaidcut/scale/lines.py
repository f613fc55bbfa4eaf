"""Lines through points of an edge, where they cross, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.scale.plane import Points

Floats = NDArray[np.float64]

TOLERANCE_PX: Final = 0.4
"""How far points may lie off an edge and still agree on it."""

TRIES: Final = 300
"""Parabolas tried for a consensus: were only a third of the points good, one of 27 would hit."""

CORRELATION_PX: Final = 8.0
"""Length along an edge over which its errors are one and the same: about a yarn."""

SHIFT_STD_PX: Final = 0.1
"""By how much whole edges are off, however many profiles agree: a camera's tone curve, the
ground's own unevenness (measured on rendered photos)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """A straight line through points of an edge."""

    point_px: Points
    """Centroid (2,) of the points."""
    direction: Points
    """Unit vector (2,) along the line, from the edge's start to its end."""
    residual_px: float
    """Robust standard deviation of one point across the line."""
    offset_std_px: float
    """Standard uncertainty of the line across itself, at its centroid."""
    slope_std: float
    """Standard uncertainty of its direction, radians."""

    def std_at(self, xy_px: ArrayLike) -> float:
        """Standard uncertainty across the line where it passes a point (2,), in pixels."""
        along = float((np.asarray(xy_px, float) - self.point_px) @ self.direction)
        return float(np.hypot(self.offset_std_px, along * self.slope_std))


def fit_line(xy_px: ArrayLike, *, shift_std_px: float = SHIFT_STD_PX) -> Line:
    """Straight line through points (N, 2), N at least 2, by total least squares.

    Outliers weigh less and less (Tukey's biweight, cut at 4.685 robust standard
    deviations). The uncertainty counts one independent point per
    :data:`CORRELATION_PX`, not one per profile, and adds what all points share.
    """
    xy = np.asarray(xy_px, float)
    weight = np.ones(len(xy))
    for _ in range(8):
        centroid = weight @ xy / weight.sum()
        apart = xy - centroid
        _, vectors = np.linalg.eigh((apart * weight[:, None]).T @ apart)
        direction = vectors[:, 1] * np.sign(vectors[:, 1] @ (xy[-1] - xy[0]) or 1.0)
        across = apart @ [-direction[1], direction[0]]
        spread = _robust_std(across)
        weight = np.clip(1 - (across / (4.685 * spread)) ** 2, 0, None) ** 2 + 1e-12
    along = apart @ direction
    independent = max(2.0, float(np.ptp(along)) / CORRELATION_PX)
    lever = float(np.sqrt(weight @ along**2 / weight.sum()))
    offset_std = float(np.hypot(spread / np.sqrt(independent), shift_std_px))
    return Line(
        point_px=centroid,
        direction=direction,
        residual_px=spread,
        offset_std_px=offset_std,
        slope_std=offset_std / lever,
    )


def bend_px(xy_px: ArrayLike) -> float:
    """How far points of an edge (N, 2) bow out between their ends, in pixels.

    The sagitta of a robust parabola through them, N at least 4; positive where
    the middle lies to the left of the chord, going from the first to the last.
    """
    xy = np.asarray(xy_px, float)
    chord = xy[-1] - xy[0]
    chord = chord / np.hypot(*chord)
    along = (xy - xy[0]) @ chord
    span = float(np.ptp(along))
    places = (along - along.min()) / span
    across = (xy - xy[0]) @ [chord[1], -chord[0]]
    curve, _ = parabola(places, across, np.ones(len(xy)), tolerance_px=TOLERANCE_PX)
    basis = np.vander(places, 3)
    square = np.linalg.lstsq(basis, curve, rcond=None)[0][0]
    return float(-square / 4)


def crossing(first: Line, second: Line) -> Points:
    """Where two lines cross (2,); ValueError when they are parallel."""
    system = np.column_stack([first.direction, -second.direction])
    if abs(np.linalg.det(system)) < 1e-9:
        msg = "the two lines are parallel and do not cross"
        raise ValueError(msg)
    step = np.linalg.solve(system, second.point_px - first.point_px)
    return np.asarray(first.point_px + step[0] * first.direction)


def crossing_std(first: Line, second: Line) -> float:
    """Standard uncertainty of one coordinate of the point where two lines cross, in pixels."""
    at = crossing(first, second)
    sine = abs(first.direction[0] * second.direction[1] - first.direction[1] * second.direction[0])
    both = np.hypot(first.std_at(at), second.std_at(at)) / max(sine, 1e-9)
    return float(both / np.sqrt(2))


def parabola(
    places: Floats, offsets_px: Floats, weight: Floats, *, tolerance_px: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Parabola through most offsets along an edge: its values (N,), and which points lie on it.

    Where something like the plain side lies beyond the edge, points stray
    outwards, many of them and all one way, which least squares would follow. So
    the start is a consensus: of many parabolas through three points each, the
    one with most weight within ``tolerance_px``. From there Tukey's biweight.
    """
    usable = np.asarray(np.isfinite(offsets_px) & (weight > 0), bool)
    if usable.sum() < 3:
        return np.full(len(places), np.nan), np.zeros(len(places), bool)
    basis = np.vander(2 * places - 1, 3)
    x, y, w = basis[usable], offsets_px[usable], weight[usable]
    order = np.arange(len(y))
    third = np.array_split(order, 3)
    rng = np.random.default_rng(0)
    picks = np.stack([rng.choice(part, TRIES) for part in third], axis=1)
    tried = np.linalg.solve(x[picks], y[picks][..., None])[..., 0]
    off = np.clip(np.abs(y - tried @ x.T) / tolerance_px, 0, 1)
    fitted = tried[np.argmin((off * off) @ w)]
    for _ in range(10):
        off = np.abs(y - x @ fitted)
        # about the curve, not about their median: offsets in whole pixels may lie on two rows
        usual = 1.4826 * float(np.median(off[off < 3 * tolerance_px]))
        spread = float(np.clip(usual, 0.05, tolerance_px))
        root = np.sqrt(w) * np.clip(1 - (off / (4.685 * spread)) ** 2, 0, None)
        fitted, *_ = np.linalg.lstsq(x * root[:, None], y * root, rcond=None)
    curve = basis @ fitted
    close = np.abs(np.nan_to_num(offsets_px, nan=np.inf) - curve) < 3 * spread
    return curve, usable & close


def _robust_std(values: Floats) -> float:
    """Standard deviation from the median absolute deviation, never quite zero."""
    return float(1.4826 * np.median(np.abs(values - np.median(values)))) + 1e-9
