"""Unrolled cloth made from what is known: the weave's own model, written out."""

import numpy as np

from plaidcut.cloth.light import FULL
from plaidcut.cloth.mesh import mesh_nodes
from plaidcut.cloth.unrolled import ThreadGrid, Unrolled


def unrolled(rgb, *, step_mm=0.25, valid=None):
    """Light (H, W, 3) as an unrolled cloth whose plane is its own grid."""
    height, width = rgb.shape[:2]
    u, v = step_mm * np.arange(width), step_mm * np.arange(height)
    return Unrolled(
        grid=ThreadGrid(u_mm=u, v_mm=v, node_mm=step_mm * mesh_nodes(rgb.shape[:2])),
        rgb=np.rint(FULL * np.clip(rgb, 0, 1)).astype(np.uint16),
        valid=np.ones((height, width), bool) if valid is None else valid,
    )


def shares(colours, widths_mm, length_mm, *, step_mm=0.25):
    """Half a yarn's colour (N, 3) along bands of given widths, again and again."""
    at = np.arange(0.0, length_mm, step_mm) % sum(widths_mm)
    band = np.searchsorted(np.cumsum(widths_mm), at, side="right")
    return np.asarray(colours, float)[band] / 2
