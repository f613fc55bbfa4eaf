"""The cloth as its own yardstick: woven evenly, it shows the lens and the plane.

All repeats of one system are equal, so each system's field, once it counts
repeats, should climb equally fast everywhere on the plane. The plane's homography
and the lens's radial coefficient are refined together until it does, held by the
scale's own anchors (the card's corners), which alone say how long a millimetre is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from plaidcut.cloth.field import THROUGH_STIFFNESS, Floats, ThreadField
from plaidcut.cloth.follow import Shifts, slab_changes, window_shifts
from plaidcut.cloth.unrolled import Unrolled
from plaidcut.scale.plane import Points, Scale
from plaidcut.stripes.fold import Folded, fold_mean, periodic

UNEVEN_STD = 0.004
"""Relative departure of the local repeat from the mean, on cloth that lies flat."""
INDEPENDENT_MM = 60.0
"""Distance over which that departure is one and the same."""
LENS_STD = 0.012
"""Radial coefficient of a phone's lens, standard deviation (from memory)."""


def counted_field(field: ThreadField, folded: Folded, xy_mm: Points) -> ThreadField:
    """The field with the fold's drift put in: its value is the phase, repeat by repeat.

    ``xy_mm`` (N, 2) are plane points all over the cloth.
    """
    value = field.value(xy_mm)
    weight = np.ones(len(xy_mm))
    return field.bent(xy_mm, folded.phase_mm(value) - value, weight, stiffness=THROUGH_STIFFNESS)


def pattern_shifts(
    cloth: Unrolled, repeat_mm: float, *, smooth_mm: float, reach_mm: float
) -> Shifts:
    """Shifts of the columns against the pattern folded over all repeats."""
    change, known = slab_changes(cloth, smooth_mm=smooth_mm)
    seen = known.sum(axis=0)
    used = seen >= 3
    mean = change.sum(axis=0)[used] / seen[used, None]
    bins = max(16, round(repeat_mm / cloth.grid.step_mm))
    phase = cloth.grid.u_mm / repeat_mm * bins
    folded, _ = fold_mean(phase[used], mean, bins)
    return window_shifts(
        cloth, smooth_mm=smooth_mm, reach_mm=reach_mm, pattern=periodic(folded, phase)
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evened:
    """A refined scale, and how even the cloth then is."""

    scale: Scale
    uneven: float
    """Root mean square departure of the local repeat, relative."""


def even_out(scale: Scale, counted: Sequence[ThreadField | None], xy_mm: Points) -> Evened:
    """Refine plane and lens so that the fields climb evenly at plane points (N, 2)."""
    from scipy import optimize

    fields = [field for field in counted if field is not None]
    if not fields or len(xy_mm) < 12:
        return Evened(scale=scale, uneven=0.0)
    at_px = scale.to_px(xy_mm)
    step = 4.0
    offsets = step * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
    around = at_px[:, None] + offsets
    climbs = [_px_gradient(f.value(scale.to_mm(around)), step) for f in fields]
    area = len(xy_mm) * _cell(xy_mm)
    weight = np.sqrt(max(4.0, area / INDEPENDENT_MM**2) / len(xy_mm)) / UNEVEN_STD
    # normalised coordinates keep the nine unknowns of like size
    first = np.concatenate([np.zeros(8), [scale.lens.k1], np.zeros(len(fields))])
    known_mm = scale.anchors_mm if len(scale.anchors_mm) else xy_mm
    size = max(float(np.ptp(known_mm, axis=0).max()), 20.0)
    middle = known_mm.mean(axis=0)

    def scale_of(unknown: Floats) -> Scale:
        twist = np.eye(3)
        twist[0] += unknown[0:3] * 1e-3
        twist[1] += unknown[3:6] * 1e-3
        twist[2, :2] += unknown[6:8] * 1e-3
        norm = np.array(
            [[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1]]
        )
        plane = scale.plane_to_px @ np.linalg.inv(norm) @ twist @ norm
        return replace(
            scale, plane_to_px=plane / plane[2, 2], lens=replace(scale.lens, k1=float(unknown[8]))
        )

    def residuals(unknown: Floats) -> Floats:
        tried = scale_of(unknown)
        parts = [np.array([(unknown[8] - scale.lens.k1) / max(scale.lens_std, 1e-4)])]
        if len(scale.anchors_mm):
            away = tried.to_px(scale.anchors_mm) - scale.anchors_px
            parts.append(away.ravel() / max(scale.anchor_std_px, 0.02))
        else:
            parts.append(unknown[:6] * 10)
        jacobian = _px_jacobian(tried.to_mm(around), step)
        for climb, level in zip(climbs, unknown[9:], strict=True):
            steep = np.linalg.norm(np.einsum("nij,nj->ni", jacobian, climb), axis=1)
            parts.append(_huber(weight * (np.log(steep) - level * 1e-2)))
        return np.concatenate(parts)

    found = optimize.least_squares(residuals, first, method="lm")
    refined = scale_of(found.x)
    jacobian = _px_jacobian(refined.to_mm(around), step)
    uneven = [
        np.std(np.log(np.linalg.norm(np.einsum("nij,nj->ni", jacobian, climb), axis=1)))
        for climb in climbs
    ]
    slopes = np.asarray(found.jac)
    covariance = np.linalg.pinv(slopes.T @ slopes)
    return Evened(
        scale=replace(refined, lens_std=float(np.sqrt(covariance[8, 8]))),
        uneven=float(np.sqrt(np.mean(np.square(uneven)))),
    )


def _px_gradient(values: Floats, step: float) -> Floats:
    """Gradient (N, 2) per pixel from values (N, 4) right, left, below and above."""
    return np.stack([values[:, 0] - values[:, 1], values[:, 2] - values[:, 3]], axis=1) / (2 * step)


def _px_jacobian(xy_mm: Points, step: float) -> Floats:
    """Inverse transposed Jacobian (N, 2, 2) of plane by pixel, from positions (N, 4, 2)."""
    by_x, by_y = ((xy_mm[:, k] - xy_mm[:, k + 1]) / (2 * step) for k in (0, 2))
    jacobian = np.stack([by_x, by_y], axis=-1)
    return np.asarray(np.linalg.inv(jacobian).transpose(0, 2, 1), float)


def _huber(value: Floats, limit: float = 1.0) -> Floats:
    """Square roots of Huber's loss, signed: what lies far out pulls no harder."""
    size = np.abs(value)
    return np.where(
        size <= limit, value, np.sign(value) * np.sqrt(np.maximum(2 * limit * size - limit**2, 0))
    )


def _cell(xy_mm: Points) -> float:
    """Area that one of the regular sample points stands for, in mm²."""
    steps = np.diff(np.unique(np.round(xy_mm[:, 0], 3)))
    return float(steps[steps > 1e-3].min()) ** 2 if len(steps) else 1.0
