"""A line's surroundings, laid straight: rows along it, columns across."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.light import WorkPicture
from plaidcut.scale.plane import Points, Scale

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidStraight:
    """What a photo shows beside a line on the plane."""

    line_mm: Points
    """The line (N, 2), evenly stepped."""
    normals: Points
    """Unit vectors (N, 2) across it, to its right as the photo is seen."""
    across_mm: Floats
    """How far from the line each column lies (M,), ascending."""
    rgb: NDArray[np.float32]
    """Linear light (N, M, 3); nan beyond the photo."""

    def at(self, rows: NDArray[np.int64], across_mm: Floats) -> Points:
        """Plane points (..., 2) so far from the line at its rows."""
        return np.asarray(self.line_mm[rows] + across_mm[..., None] * self.normals[rows])


def normals_of(line_mm: Points) -> Points:
    """Unit vectors (N, 2) across a line: its direction turned right, y pointing down."""
    ahead = np.gradient(line_mm, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True) + 1e-12
    return np.column_stack([-ahead[:, 1], ahead[:, 0]])


def lay_straight(
    picture: WorkPicture, scale: Scale, line_mm: Points, *, half_mm: float, step_mm: float
) -> LaidStraight:
    """Sample the photo along the normals of a line, ``half_mm`` to either side of it."""
    count = int(np.ceil(half_mm / step_mm))
    across = np.asarray(step_mm * np.arange(-count, count + 1), float)
    normals = normals_of(line_mm)
    points = line_mm[:, None] + across[:, None] * normals[:, None]
    at = picture.from_photo_px(scale.to_px(points)).astype(np.float32)
    rgb = picture.light_at(at)
    return LaidStraight(line_mm=line_mm, normals=normals, across_mm=across, rgb=rgb)
