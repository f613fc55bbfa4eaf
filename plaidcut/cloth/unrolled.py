"""The cloth laid out along its own threads: columns follow up, rows follow across."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.light import WorkPicture
from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Points, Scale

MESH_MM = 2.0
"""Mesh on which the fields are inverted and the camera asked; between its points the map is
linear, which at a tilt of 25° is wrong by 0.01 pixel."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadGrid:
    """A regular grid in thread coordinates: u across the up threads, v across the others."""

    u_mm: Floats
    """Column positions (W,), evenly spaced."""
    v_mm: Floats
    """Row positions (H,), evenly spaced."""
    xy_mm: NDArray[np.float32]
    """Plane position (H, W, 2) of each grid point."""
    xy_px: NDArray[np.float32]
    """Photo position (H, W, 2) of each grid point."""

    @property
    def step_mm(self) -> float:
        """Spacing of the grid."""
        return float(self.u_mm[1] - self.u_mm[0])


def thread_grid(
    scale: Scale, fields: tuple[ThreadField, ThreadField], box_uv_mm: Floats, *, step_mm: float
) -> ThreadGrid:
    """Grid over ``box_uv_mm`` ((u, v) lowest, (u, v) highest) and where it lies."""
    import cv2

    low, high = box_uv_mm
    counts = np.maximum(2, np.ceil((high - low) / step_mm).astype(int) + 1)
    u, v = (low[i] + step_mm * np.arange(counts[i]) for i in (0, 1))
    mesh = max(1, round(MESH_MM / step_mm))
    nodes = [low[i] + step_mm * mesh * np.arange(counts[i] // mesh + 2) for i in (0, 1)]
    xy = invert(*fields, np.stack(np.meshgrid(*nodes), axis=-1))
    where = np.concatenate([xy, scale.to_px(xy)], axis=-1).astype(np.float32)
    at_u, at_v = (np.arange(n, dtype=np.float32) / mesh for n in counts)
    fine = cv2.remap(
        where, *np.meshgrid(at_u, at_v), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    mm, px = (np.asarray(part, np.float32) for part in (fine[..., :2], fine[..., 2:]))
    return ThreadGrid(u_mm=u, v_mm=v, xy_mm=mm, xy_px=px)


def invert(up: ThreadField, across: ThreadField, uv_mm: Points, *, rounds: int = 8) -> Points:
    """Plane points (..., 2) at which the two fields take the values ``uv_mm`` (..., 2)."""
    inverse = np.linalg.inv(np.array([up.normal, across.normal]))
    xy = uv_mm @ inverse.T
    for _ in range(rounds):
        miss = uv_mm - np.stack([up.value(xy), across.value(xy)], axis=-1)
        xy = xy + miss @ inverse.T
    return np.asarray(xy)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unrolled:
    """What the photo shows on a thread grid."""

    grid: ThreadGrid
    rgb: NDArray[np.float32]
    """What the sampled picture holds (H, W, 3), linear light or tones; 0 where not valid."""
    valid: NDArray[np.bool_]
    """Where there is cloth to be measured (H, W)."""

    def turned(self) -> Unrolled:
        """Rows and columns exchanged, so that one routine serves both systems."""
        grid = ThreadGrid(
            u_mm=self.grid.v_mm,
            v_mm=self.grid.u_mm,
            xy_mm=self.grid.xy_mm.transpose(1, 0, 2),
            xy_px=self.grid.xy_px.transpose(1, 0, 2),
        )
        return Unrolled(grid=grid, rgb=self.rgb.transpose(1, 0, 2), valid=self.valid.T)


def unroll(
    picture: WorkPicture,
    scale: Scale,
    view: PlaneView,
    cloth: NDArray[np.bool_],
    fields: tuple[ThreadField, ThreadField],
    *,
    step_mm: float,
) -> Unrolled:
    """Sample the photo along its threads over all that ``cloth`` (H, W of the view) marks."""
    up, across = fields
    rows, columns = np.nonzero(cloth[::4, ::4])
    marked = view.to_mm(4.0 * np.stack([columns, rows], axis=-1))
    uv = np.stack([up.value(marked), across.value(marked)], axis=-1)
    box = np.array([uv.min(axis=0), uv.max(axis=0)])
    grid = thread_grid(scale, fields, box, step_mm=step_mm)
    rgb = picture.sample(grid.xy_px)
    valid = view.look_up(cloth, grid.xy_mm) & np.isfinite(rgb[..., 0])
    rgb[~valid] = 0
    return Unrolled(grid=grid, rgb=rgb, valid=valid)
