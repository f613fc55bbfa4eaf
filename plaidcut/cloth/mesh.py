"""Smooth maps over a picture: worked out at the nodes of a mesh, linear in between.

Asking a camera or a spline at every pixel is slow, and needless where the answer is
smooth to a small part of a pixel.
"""

from __future__ import annotations

from typing import Any, Final, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.scale.plane import Points

MESH: Final = 8
"""Grid steps from node to node: a power of two, since OpenCV's remap rounds to 1/32 of one."""


def mesh_nodes(shape: tuple[int, ...]) -> Points:
    """Grid positions (M, N, 2), x before y, of the nodes that cover a grid of ``shape`` (H, W)."""
    rows, columns = (MESH * np.arange((count - 1) // MESH + 2.0) for count in shape)
    return np.stack(np.meshgrid(columns, rows), axis=-1)


def over_mesh(values: Points, shape: tuple[int, ...]) -> NDArray[np.float32]:
    """Values (M, N, C) at the nodes spread over all of the grid, (H, W, C)."""
    import cv2

    rows, columns = (np.arange(count, dtype=np.float32) / MESH for count in shape)
    at = np.stack(np.meshgrid(columns, rows), axis=-1, dtype=np.float32)
    return remap(values.astype(np.float32), at, cv2.INTER_LINEAR)


def on_mesh(values: Points, rows: ArrayLike, columns: ArrayLike) -> Points:
    """Values (..., C) at some grid positions, from those (M, N, C) at the nodes."""
    y, x = np.broadcast_arrays(np.asarray(rows) / MESH, np.asarray(columns) / MESH)
    top, left = np.floor(y).astype(int), np.floor(x).astype(int)
    down, right = (y - top)[..., None], (x - left)[..., None]
    upper = values[top, left] * (1 - right) + values[top, left + 1] * right
    lower = values[top + 1, left] * (1 - right) + values[top + 1, left + 1] * right
    return np.asarray(upper * (1 - down) + lower * down)


def remap(
    picture: NDArray[Any], at: NDArray[np.float32], interpolation: int, *, beyond: float = 0.0
) -> NDArray[Any]:
    """OpenCV's remap at positions (H, W, 2); ``beyond`` is what lies outside the picture."""
    import cv2

    return np.asarray(
        cv2.remap(
            picture,
            at,
            cast("NDArray[np.float32]", None),  # the stubs know no None
            interpolation,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(beyond,) * 4,
        )
    )
