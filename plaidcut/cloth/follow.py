"""Following the threads: each system's field is bent until its stripes line up.

The unrolled cloth is cut into slabs along the threads; in each window of a slab
the change of colour across the threads is matched with the mean over all slabs
(or with a given pattern), and the field is bent by a smooth fit to the shifts.
Taking differences across the threads removes the other system, which is level
along a slab. Several rounds, coarse to fine, always from the photo itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.both import both
from plaidcut.cloth.directions import parabola_peaks
from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.light import WorkPicture
from plaidcut.cloth.unrolled import Unrolled, blocks, unroll
from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Points, Scale

SLAB_MM = 8.0
WINDOW_MM = 64.0
LEAST_MATCH = 0.3
"""Correlation under which a window says nothing."""
SHIFT_STIFFNESS = 0.003


@dataclass(frozen=True, slots=True)
class Round:
    """How finely one round looks."""

    step_mm: float
    smooth_mm: float
    reach_mm: float
    """Largest shift looked for: below half of the finest check's repeat."""


ROUNDS = (
    Round(0.5, 1.2, 3.0),
    Round(0.5, 0.8, 2.0),
    Round(0.35, 0.5, 1.0),
    Round(0.35, 0.4, 0.6),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shifts:
    """How far each window of each slab lies from the pattern."""

    xy_mm: Points
    """Centre of each window on the plane, (N, 2)."""
    shift_mm: Floats
    """The pattern's position less the window's, (N,)."""
    match: Floats
    """Correlation at that shift, (N,), at most 1."""


def window_shifts(
    cloth: Unrolled, *, smooth_mm: float, reach_mm: float, pattern: Floats | None = None
) -> Shifts:
    """Shifts of the columns of ``cloth`` against the slabs' mean, or against ``pattern``.

    ``pattern`` (W, 3) is the derivative across the threads on the same columns.
    """
    step = cloth.grid.step_mm
    change, known = slab_changes(cloth, smooth_mm=smooth_mm)
    if pattern is None:
        seen = known.sum(axis=0)
        pattern = change.sum(axis=0) / np.maximum(seen, 1)[:, None] * (seen >= 3)[:, None]
    width = min(int(WINDOW_MM / step), change.shape[1])
    reach = round(reach_mm / step)
    window = np.hanning(width + 2)[1:-1]
    padded = np.pad(pattern, ((reach, reach), (0, 0)))
    rows_per_slab = max(1, round(SLAB_MM / step))
    rows, columns, shift, match = [], [], [], []
    for first in range(0, change.shape[1] - width + 1, max(1, width // 2)):
        here = slice(first, first + width)
        part = change[:, here] * window[:, None]
        lags = np.lib.stride_tricks.sliding_window_view(
            padded[first : first + width + 2 * reach], width, axis=0
        )
        product = part.reshape(len(part), -1) @ lags.transpose(2, 1, 0).reshape(-1, len(lags))
        own = np.sqrt(np.einsum("snc,n->s", change[:, here] ** 2, window))
        theirs = np.sqrt((known[:, here] * window) @ (lags**2).sum(axis=1).T)
        score = product / np.maximum(own[:, None] * theirs, 1e-9)
        index, apex = parabola_peaks(score)
        covered = (known[:, here] @ window) > 0.25 * window.sum()
        for slab in np.nonzero(covered & (index > 0) & (index < 2 * reach) & (own > 0))[0]:
            middle = window * known[slab, here]
            columns.append(first + int(middle @ np.arange(width) / middle.sum()))
            rows.append(min(int((slab + 0.5) * rows_per_slab), cloth.valid.shape[0] - 1))
            shift.append((index[slab] + apex[slab] - reach) * step)
            match.append(score[slab, index[slab]])
    return Shifts(
        xy_mm=cloth.grid.xy_mm(np.array(rows, int), np.array(columns, int)),
        shift_mm=np.array(shift, float),
        match=np.array(match, float),
    )


def slab_changes(cloth: Unrolled, *, smooth_mm: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Derivative across the threads of each slab's mean: (S, W, 3), and where known (S, W)."""
    import cv2
    from scipy import ndimage

    step = cloth.grid.step_mm
    rows = max(1, round(SLAB_MM / step))
    mean, share = blocks(cloth.rgb, cloth.valid, rows, 1)
    known = share > 0.5
    sigma = smooth_mm / step
    size = (2 * int(4 * sigma + 0.5) + 1, 1)
    weight, smooth = (
        np.asarray(cv2.GaussianBlur(np.ascontiguousarray(each), size, sigma))
        for each in (known.astype(np.float32), mean * known[..., None])
    )
    change = np.gradient(smooth / np.maximum(weight, 1e-3)[..., None], axis=1)
    known = ndimage.binary_erosion(known, np.ones((1, 2 * int(2 * sigma) + 1), bool))
    return change * known[..., None], known


def bend_to(
    field: ThreadField, shifts: Shifts, *, stiffness: float = SHIFT_STIFFNESS
) -> ThreadField:
    """Bend a field by the shifts; those out of line with their neighbours count little."""
    trust = np.clip(shifts.match - LEAST_MATCH, 0, 1) ** 2
    if np.count_nonzero(trust) < 4:
        return field
    weight, bent = trust, field
    for _ in range(3):
        bent = field.bent(shifts.xy_mm, shifts.shift_mm, weight, stiffness=stiffness)
        left = shifts.shift_mm - (bent.value(shifts.xy_mm) - field.value(shifts.xy_mm))
        spread = 1.5 * float(np.median(np.abs(left[trust > 0]))) + 0.02
        weight = trust / (1 + (left / spread) ** 2)
    return bent


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Followed:
    """Both systems' fields, and how well the last round agreed."""

    fields: tuple[ThreadField, ThreadField]
    shifts: tuple[Shifts, Shifts]


def follow_threads(
    tones: WorkPicture,
    scale: Scale,
    view: PlaneView,
    cloth: NDArray[np.bool_],
    fields: tuple[ThreadField, ThreadField],
    *,
    striped: tuple[bool, bool] = (True, True),
    rounds: tuple[Round, ...] = ROUNDS,
) -> Followed:
    """Bend the fields until the stripes of every slab line up, seen in ``tones``.

    A system that is not ``striped`` stays as it is: there, only twill lines and yarns
    could be followed.
    """
    shifts = (_NONE, _NONE)
    for each in rounds:
        unrolled = unroll(tones, scale, view, cloth, fields, step_mm=each.step_mm)
        look = partial(window_shifts, smooth_mm=each.smooth_mm, reach_mm=each.reach_mm)
        shifts = both(look, (unrolled, unrolled.turned()))
        fields = both(_bent_if, striped, fields, shifts)
    return Followed(fields=fields, shifts=shifts)


def _bent_if(striped: bool, field: ThreadField, shifts: Shifts) -> ThreadField:  # noqa: FBT001
    return bend_to(field, shifts) if striped else field


_NONE = Shifts(xy_mm=np.empty((0, 2)), shift_mm=np.empty(0), match=np.empty(0))
