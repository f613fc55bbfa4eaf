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
SIDE_LIGHT: Final = 0.65
"""Light of the cut side over that of the face: it is turned away from most of the room's light
(from memory, no source)."""
UNCLEAR: Final = (0.25, 0.75)
"""Where, from the face's tone (0) to that of the ground beside it (1), the side's tone leaves
open whether it passes for face or for ground."""
UNCLEAR_STD: Final = 0.29
"""Then the edge may lie anywhere from the side's top to its foot: 1/sqrt(12) of its breadth ..."""
CLEAR_STD: Final = 0.1
"""... and else this share of it (chosen here)."""


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


def set_back_mm(side_mm: Floats, strip: Floats, other: Floats) -> tuple[Floats, Floats, Floats]:
    """From an edge as it is seen to where it stands on the table.

    Parameters
    ----------
    side_mm
        What `side_seen_mm` tells of it (N,).
    strip, other
        Linear light (N, 3) of the face and of what borders on the strip.

    Returns
    -------
    ndarray of shape (N,)
        How far the edge stands outwards of where it is seen ...
    ndarray of shape (N,)
        ... how that grows with the thickness, per millimetre ...
    ndarray of shape (N,)
        ... and the standard uncertainty of what was taken for the edge.
    """
    step = other - strip
    height = np.maximum(np.sum(step**2, axis=1), 1e-12)
    tone = -(1 - SIDE_LIGHT) * np.sum(strip * step, axis=1) / height
    near = side_mm > 0
    at_foot = near & (tone < 0.5)
    back = np.where(at_foot, 0.0, side_mm)
    unclear = (tone > UNCLEAR[0]) & (tone < UNCLEAR[1])
    doubt = np.where(near, side_mm * np.where(unclear, UNCLEAR_STD, CLEAR_STD), 0.0)
    return back, back / THICK_MM, doubt
