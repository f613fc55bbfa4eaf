"""The cloth laid out along its own threads: columns follow up, rows follow across."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.scale.plane import Points

MESH_MM = 4.0
"""Mesh on which the two fields are inverted; between its points the map is cubic."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadGrid:
    """A regular grid in thread coordinates: u across the up threads, v across the others."""

    u_mm: Floats
    """Column positions (W,), evenly spaced."""
    v_mm: Floats
    """Row positions (H,), evenly spaced."""
    xy_mm: Points
    """Plane position (H, W, 2) of each grid point, float32."""

    @property
    def step_mm(self) -> float:
        """Spacing of the grid."""
        return float(self.u_mm[1] - self.u_mm[0])


def thread_grid(
    up: ThreadField, across: ThreadField, box_uv_mm: Floats, *, step_mm: float
) -> ThreadGrid:
    """Grid over ``box_uv_mm`` ((u, v) lowest, (u, v) highest) with its plane positions."""
    import cv2

    low, high = box_uv_mm
    counts = np.maximum(2, np.ceil((high - low) / step_mm).astype(int) + 1)
    u, v = (low[i] + step_mm * np.arange(counts[i]) for i in (0, 1))
    mesh = max(1, round(MESH_MM / step_mm))
    nodes = [low[i] + step_mm * mesh * np.arange(counts[i] // mesh + 2) for i in (0, 1)]
    xy = invert(up, across, np.stack(np.meshgrid(*nodes), axis=-1))
    at_u = (np.arange(counts[0]) / mesh).astype(np.float32)
    at_v = (np.arange(counts[1]) / mesh).astype(np.float32)
    at = np.stack(np.meshgrid(at_u, at_v), axis=-1)
    fine = cv2.remap(xy.astype(np.float32), at, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return ThreadGrid(u_mm=u, v_mm=v, xy_mm=fine)


def invert(up: ThreadField, across: ThreadField, uv_mm: Points, *, rounds: int = 8) -> Points:
    """Plane points (..., 2) at which the two fields take the values ``uv_mm`` (..., 2)."""
    inverse = np.linalg.inv(np.array([up.normal, across.normal]))
    xy = uv_mm @ inverse.T
    for _ in range(rounds):
        miss = uv_mm - np.stack([up.value(xy), across.value(xy)], axis=-1)
        xy = xy + miss @ inverse.T
    return np.asarray(xy)
