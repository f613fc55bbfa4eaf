"""A thread system as a smooth scalar field over the cloth's plane.

Threads of one system are the lines on which the field is constant; its value is
the distance across them in millimetres, up to a smooth stretch. The field is a
plane wave front plus a penalised cubic B-spline (a P-spline, Eilers and Marx,
Statistical Science 11(2), 1996, doi:10.1214/ss/1038425655).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Self

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.plane import Points

Floats = NDArray[np.float64]

KNOT_MM = 40.0
"""Distance of the spline's knots: cloth that lies flat bends on no shorter scale."""
THROUGH_STIFFNESS = 1e-5
"""Barely any: the points given to :meth:`ThreadField.through` are smooth already."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadField:
    """``value(xy) = normal·xy + spline(xy)``, all in millimetres."""

    normal: Floats
    """Unit vector (2,) across the threads, in plane coordinates."""
    corner_mm: Floats
    """Plane position (2,) of the spline's first knot."""
    knot_mm: float
    coefficients: Floats
    """Spline coefficients, shape (rows, columns), one beyond each edge."""

    @classmethod
    def straight(cls, angle_deg: float, box_mm: Floats, *, knot_mm: float = KNOT_MM) -> Self:
        """Straight threads: ``angle_deg`` is the normal's, ``box_mm`` (2, 2) what is covered."""
        rad = np.deg2rad(angle_deg)
        spans = np.ceil((box_mm[1] - box_mm[0]) / knot_mm).astype(int)
        return cls(
            normal=np.array([np.cos(rad), np.sin(rad)]),
            corner_mm=np.asarray(box_mm[0], float),
            knot_mm=knot_mm,
            coefficients=np.zeros((spans[1] + 3, spans[0] + 3)),
        )

    @classmethod
    def through(cls, xy_mm: Points, value_mm: Floats, box_mm: Floats) -> Self:
        """Field that takes ``value_mm`` (N,) at scattered points (N, 2), as nearly as it bends."""
        terms = np.column_stack([xy_mm, np.ones(len(xy_mm))])
        slope_x, slope_y, _ = np.linalg.lstsq(terms, value_mm, rcond=None)[0]
        field = cls.straight(float(np.rad2deg(np.arctan2(slope_y, slope_x))), box_mm)
        left = value_mm - field.value(xy_mm)
        return field.bent(xy_mm, left, np.ones(len(left)), stiffness=THROUGH_STIFFNESS)

    def _knots(self, xy_mm: Points) -> Points:
        return np.asarray((xy_mm - self.corner_mm) / self.knot_mm + 1)

    def value(self, xy_mm: Points) -> Floats:
        """Distance across the threads (...) at plane points (..., 2), in mm."""
        from scipy import ndimage

        at = self._knots(xy_mm).reshape(-1, 2).T[::-1]
        bend = ndimage.map_coordinates(
            self.coefficients, at, order=3, prefilter=False, mode="nearest"
        )
        straight = np.asarray(xy_mm @ self.normal)
        return straight + bend.reshape(straight.shape)

    def gradient(self, xy_mm: Points, *, step_mm: float = 1.0) -> Points:
        """Gradient (..., 2) at plane points, by central differences."""
        xy = np.asarray(xy_mm, float)
        dx, dy = np.array([step_mm, 0]), np.array([0, step_mm])
        along_x = self.value(xy + dx) - self.value(xy - dx)
        along_y = self.value(xy + dy) - self.value(xy - dy)
        return np.stack([along_x, along_y], axis=-1) / (2 * step_mm)

    def bent(self, xy_mm: Points, shift_mm: Floats, weight: Floats, *, stiffness: float) -> Self:
        """Add to the field a smooth fit to ``shift_mm`` (N,) at points (N, 2)."""
        basis = _basis(self._knots(xy_mm), self.coefficients.shape, (0, 0))
        change = _penalised(basis, shift_mm, weight, self.coefficients.shape, stiffness)
        return replace(self, coefficients=self.coefficients + change)

    def turned(self, xy_mm: Points, tangent: Points, weight: Floats, *, stiffness: float) -> Self:
        """Bend the field until it is level along ``tangent`` (N, 2) at points (N, 2).

        Square to the tangent its gradient is held as it was: otherwise a field that is
        flat everywhere would do.
        """
        shape, at = self.coefficients.shape, self._knots(xy_mm)
        along_x, along_y = _basis(at, shape, (0, 1)), _basis(at, shape, (1, 0))
        tx, ty = tangent[:, :1], tangent[:, 1:]
        climb = -np.sum(self.gradient(xy_mm) * tangent, axis=-1) * self.knot_mm
        change = _penalised(
            np.concatenate([tx * along_x + ty * along_y, -ty * along_x + tx * along_y]),
            np.concatenate([climb, np.zeros_like(climb)]),
            np.concatenate([weight, weight]),
            shape,
            stiffness,
        )
        return replace(self, coefficients=self.coefficients + change)


def _cubic(x: Floats, derivative: int) -> Floats:
    """Cubic B-spline at distances ``x`` from its knot, or its first derivative."""
    a = np.abs(x)
    if derivative:
        inner, outer = np.sign(x) * (1.5 * a * a - 2 * a), -np.sign(x) * 0.5 * (2 - a) ** 2
    else:
        inner, outer = 2 / 3 - a * a + a**3 / 2, (2 - a) ** 3 / 6
    return np.where(a < 1, inner, np.where(a < 2, outer, 0.0))


def _basis(at: Points, shape: tuple[int, ...], derivatives: tuple[int, int]) -> Floats:
    """Design matrix (N, rows·columns) at knot positions (N, 2), derivatives of (row, column)."""
    rows = _cubic(at[:, 1, None] - np.arange(shape[0]), derivatives[0])
    columns = _cubic(at[:, 0, None] - np.arange(shape[1]), derivatives[1])
    return np.asarray((rows[:, :, None] * columns[:, None, :]).reshape(len(at), -1))


def _penalised(
    basis: Floats, target: Floats, weight: Floats, shape: tuple[int, ...], stiffness: float
) -> Floats:
    """Weighted least squares with second differences penalised, as coefficients (rows, columns)."""
    from scipy import linalg

    total = max(float(weight.sum()), 1e-12)
    normal = (basis * weight[:, None]).T @ basis / total
    right = basis.T @ (weight * target) / total
    n = normal.shape[0]
    normal += stiffness / n * _roughness(shape)
    normal += 1e-9 * np.trace(normal) / n * np.eye(n)
    return np.asarray(linalg.cho_solve(linalg.cho_factor(normal), right).reshape(shape))


@cache
def _roughness(shape: tuple[int, ...]) -> Floats:
    """Sum of squared second differences of coefficients, as a quadratic form (n, n)."""
    n = shape[0] * shape[1]
    index = np.arange(n).reshape(shape)
    form = np.zeros((n, n))
    for triple in (
        (index[:-2], index[1:-1], index[2:]),
        (index[:, :-2], index[:, 1:-1], index[:, 2:]),
    ):
        before, middle, after = (part.ravel() for part in triple)
        rough = np.zeros((len(middle), n))
        each = np.arange(len(middle))
        rough[each, before], rough[each, middle], rough[each, after] = 1, -2, 1
        form += rough.T @ rough
    form.flags.writeable = False
    return form
