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
"""Grid steps from node to node."""
FIRST: Final = -0.5
"""Grid position of the first node: half way between two grid points, as OpenCV's resize has it."""
BAND_NODES: Final = 32
"""Rows of nodes to a band."""


def mesh_nodes(shape: tuple[int, ...]) -> Points:
    """Grid positions (M, N, 2), x before y, of the nodes that cover a grid of ``shape`` (H, W)."""
    rows, columns = (FIRST + MESH * np.arange((count - 1) // MESH + 2.0) for count in shape)
    return np.stack(np.meshgrid(columns, rows), axis=-1)


def over_mesh(values: Points, shape: tuple[int, ...]) -> NDArray[np.float32]:
    """Values (M, N, C) at the nodes spread over all of the grid, (H, W, C)."""
    import cv2

    size = (MESH * values.shape[1], MESH * values.shape[0])
    spread = cv2.resize(values.astype(np.float32), size, interpolation=cv2.INTER_LINEAR)
    return np.asarray(spread[MESH // 2 :, MESH // 2 :][: shape[0], : shape[1]])


def bands(shape: tuple[int, int]) -> list[tuple[slice, slice]]:
    """Some rows of a grid of ``shape`` (H, W) after the other, with those of the nodes over them.

    The nodes of a band are a mesh over it, so that no map of the whole grid is needed at once.
    """
    tall = BAND_NODES * MESH
    return [
        (slice(top, min(top + tall, shape[0])), slice(top // MESH, top // MESH + BAND_NODES + 1))
        for top in range(0, shape[0], tall)
    ]


def on_mesh(values: Points, rows: ArrayLike, columns: ArrayLike) -> Points:
    """Values (..., C) at some grid positions, from those (M, N, C) at the nodes."""
    y, x = np.broadcast_arrays(*((np.asarray(at) - FIRST) / MESH for at in (rows, columns)))
    top, left = np.floor(y).astype(int), np.floor(x).astype(int)
    down, right = (y - top)[..., None], (x - left)[..., None]
    upper = values[top, left] * (1 - right) + values[top, left + 1] * right
    lower = values[top + 1, left] * (1 - right) + values[top + 1, left + 1] * right
    return np.asarray(upper * (1 - down) + lower * down)


def remap(picture: NDArray[Any], at: NDArray[np.float32], interpolation: int) -> NDArray[Any]:
    """OpenCV's remap at positions (H, W, 2); 0 outside the picture."""
    import cv2

    return np.asarray(
        cv2.remap(
            picture,
            at,
            cast("NDArray[np.float32]", None),  # the stubs know no None
            interpolation,
            borderMode=cv2.BORDER_CONSTANT,
        )
    )
