"""What a strip's thickness does to the width that a photo shows.

A strip's face lies above the table, so it is seen too large; and to the side of the camera its
cut side is seen as well. Both grow with the thickness over the camera's height.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.loose.unrolled import Floats
from plaidcut.scale.camera import view_of
from plaidcut.scale.plane import Method, Points, Scale

THICK_MM: Final = 1.0
"""Thickness of wool that is hooked with (from memory, no source) ..."""
THICK_STD_MM: Final = 0.25
"""... and how much it differs from cloth to cloth (standard deviation; from memory, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Eye:
    """Where the camera stands over the plane."""

    foot_mm: tuple[float, float]
    """The point of the plane straight below it."""
    height_mm: float


def eye_over(scale: Scale) -> Eye | None:
    """Where the camera stood; None for a scan, which has no such point."""
    if scale.method is Method.GIVEN:
        return None
    width, height = scale.size_px
    focal = view_of(scale.plane_to_px, scale.size_px).focal_px
    inner = np.array([[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]])
    ahead = np.linalg.inv(inner) @ scale.plane_to_px
    ahead /= np.linalg.norm(ahead[:, :2], axis=0).mean()
    right, down, shift = ahead.T
    turn = np.column_stack([right, down, np.cross(right, down)])
    x, y, z = (-np.linalg.inv(turn) @ shift).tolist()
    return Eye(foot_mm=(x, y), height_mm=abs(z))


def side_seen_mm(eye: Eye | None, edge_mm: Points, outwards: Points) -> Floats:
    """How far an edge's face is set off by its height, along its outward normal.

    Parameters
    ----------
    eye
        Where the camera stood; None for a scan.
    edge_mm, outwards
        Points (N, 2) of the edge, and unit vectors away from the strip.

    Returns
    -------
    ndarray of shape (N,)
        How broad the cut side is seen below the face, on the side nearer to the camera;
        negative on the other side, where it is hidden and the face hangs over by so much.
    """
    if eye is None:
        return np.zeros(len(edge_mm))
    towards = np.sum((eye.foot_mm - edge_mm) * outwards, axis=1)
    return np.asarray(THICK_MM / eye.height_mm * towards)
