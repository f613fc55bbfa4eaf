"""The cloth laid out along its own threads: columns follow up, rows follow across."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.cloth.both import one_by_one
from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.light import WorkPicture
from plaidcut.cloth.mesh import bands, mesh_nodes, on_mesh, over_mesh
from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Points, Scale

Picture = NDArray[np.float32]

WHOLE_MM = 1.0
"""A grid is made of whole squares of about this side: none that is averaged over is cut off."""
MOST_STEPS = 8
"""Steps after which the inversion of two fields ends in any case."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadGrid:
    """A regular grid in thread coordinates: u across the up threads, v across the others."""

    u_mm: Floats
    """Column positions (W,), evenly spaced."""
    v_mm: Floats
    """Row positions (H,), evenly spaced."""
    node_mm: Points
    """Plane position (M, N, 2) of the nodes of a mesh over the grid: between nodes 2 mm apart
    a linear map is wrong by 0.01 pixel at a tilt of 25°."""

    @property
    def step_mm(self) -> float:
        """Spacing of the grid."""
        return float(self.u_mm[1] - self.u_mm[0])

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return len(self.v_mm), len(self.u_mm)

    def xy_mm(self, rows: ArrayLike, columns: ArrayLike) -> Points:
        """Plane positions (..., 2) of grid points."""
        return on_mesh(self.node_mm, rows, columns)


def thread_grid(
    fields: tuple[ThreadField, ThreadField], box_uv_mm: Floats, *, step_mm: float
) -> ThreadGrid:
    """Grid over ``box_uv_mm`` ((u, v) lowest, (u, v) highest) and where it lies."""
    low, high = box_uv_mm
    whole = max(1, round(WHOLE_MM / step_mm))
    squares = np.maximum(2, np.ceil(((high - low) / step_mm + 1) / whole).astype(int))
    columns, rows = (whole * squares).tolist()
    uv = low + step_mm * mesh_nodes((rows, columns))
    return ThreadGrid(
        u_mm=low[0] + step_mm * np.arange(columns),
        v_mm=low[1] + step_mm * np.arange(rows),
        node_mm=invert(*fields, uv),
    )


def values(up: ThreadField, across: ThreadField, xy_mm: Points) -> Points:
    """Thread coordinates (..., 2) of plane points (..., 2)."""
    return np.stack([up.value(xy_mm), across.value(xy_mm)], axis=-1)


def invert(
    up: ThreadField, across: ThreadField, uv_mm: Points, *, within_mm: float = 1e-4
) -> Points:
    """Plane points (..., 2) at which the two fields take the values ``uv_mm`` (..., 2).

    Each step leaves of the miss what the fields' slopes differ by from their mean ones: a few
    parts in a hundred.
    """
    inverse = np.linalg.inv(np.array([up.normal, across.normal]))
    xy = uv_mm @ inverse.T
    for _ in range(MOST_STEPS):
        miss = uv_mm - values(up, across, xy)
        xy = xy + miss @ inverse.T
        if np.abs(miss).max(initial=0) < 10 * within_mm:
            break
    return np.asarray(xy)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unrolled:
    """What the photo shows on a thread grid."""

    grid: ThreadGrid
    rgb: NDArray[np.uint16]
    """What the sampled picture holds (H, W, 3), linear light or tones; 0 where not valid."""
    valid: NDArray[np.bool_]
    """Where there is cloth to be measured (H, W)."""

    def turned(self) -> Unrolled:
        """Rows and columns exchanged, so that one routine serves both systems."""
        grid = ThreadGrid(
            u_mm=self.grid.v_mm,
            v_mm=self.grid.u_mm,
            node_mm=self.grid.node_mm.transpose(1, 0, 2),
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
    uv = values(up, across, marked)
    box = np.array([uv.min(axis=0), uv.max(axis=0)])
    grid = thread_grid(fields, box, step_mm=step_mm)
    nodes_px = picture.from_photo_px(scale.to_px(grid.node_mm))
    nodes_view = view.to_grid(grid.node_mm)
    rgb, valid = np.empty((*grid.shape, 3), np.uint16), np.empty(grid.shape, np.bool_)

    def sample(band: tuple[slice, slice]) -> None:
        rows, nodes = band
        shape = valid[rows].shape
        shown, framed = picture.sample(over_mesh(nodes_px[nodes], shape))
        here = framed & view.sample(cloth, over_mesh(nodes_view[nodes], shape))
        shown[~here] = 0
        rgb[rows], valid[rows] = shown, here

    one_by_one(sample, bands(grid.shape))
    return Unrolled(grid=grid, rgb=rgb, valid=valid)


def blocks(rgb: NDArray[Any], valid: NDArray[Any], tall: int, wide: int) -> tuple[Picture, Picture]:
    """Means over blocks, (h, w, 3), of pixels that are 0 where not valid; how valid (h, w).

    Values and how valid they are: integers up to their type's largest, for 1, or 0..1.
    """
    if rgb.strides[0] < rgb.strides[1]:  # turned: OpenCV would copy it first
        turned, seen = blocks(rgb.swapaxes(0, 1), valid.T, wide, tall)
        return turned.swapaxes(0, 1), seen.T
    share = _means(255 * valid.view(np.uint8) if valid.dtype == bool else valid, tall, wide)
    mean = _means(rgb, tall, wide)
    mean /= np.maximum(share, np.float32(1e-6))[..., None]
    return mean, share


def _means(values: NDArray[Any], tall: int, wide: int) -> Picture:
    """Means of values (H, W, ...) over blocks, 0..1; what lies beyond them counts as 0."""
    import cv2

    rows, columns = (-(-n // k) for n, k in zip(values.shape[:2], (tall, wide), strict=True))
    below, beside = rows * tall - values.shape[0], columns * wide - values.shape[1]
    if below or beside:
        values = cv2.copyMakeBorder(
            values, 0, below, 0, beside, cv2.BORDER_CONSTANT, value=(0, 0, 0)
        )
    mean = cv2.resize(values, (columns, rows), interpolation=cv2.INTER_AREA)
    one = np.iinfo(values.dtype).max if values.dtype.kind == "u" else 1
    return np.asarray(mean, np.float32) / np.float32(one)
