"""The scale given by hand: two points and how far apart they are, or pixels per millimetre."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from plaidcut.errors import ScaleTooSmall, UsageError
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.scale.pose import Rail, fit_pose

POINT_STD_PX: Final = 1.5
"""Standard uncertainty of a point marked by hand, along the line (from memory, no source)."""

APART_STD_MM: Final = 25.4 / 64
"""Standard uncertainty of the distance she gives: a ruler read to 1/32 in at both ends, ±1/64 in
each (P08), and what it was laid off the line."""

LEAST_APART_PX: Final = 150.0
"""Distance of the points below which marking them leaves 1.4 % of the scale open."""

GIVEN_STD: Final = 0.002
"""Relative standard uncertainty of a flatbed scanner's resolution (from memory, no source)."""


def from_points(size_px: tuple[int, int], points_xy_px: ArrayLike, apart_mm: float) -> Scale:
    """Take the scale from two points marked by hand and the distance between them.

    Parameters
    ----------
    size_px
        Width and height of the upright photo.
    points_xy_px
        The two points (2, 2).
    apart_mm
        How far apart they are on the cloth.

    Returns
    -------
    Scale
        A camera straight above is taken as the likeliest: x from the first point to the second,
        y a quarter turn clockwise. How far a hand-held phone tilts is in ``relative_std``, with
        the marking of the points and the measuring of the distance; ``tilt_deg`` is None. It
        holds for the picture's mean: towards its edges a tilt of
        `~plaidcut.scale.pose.TILT_STD_DEG` changes the scale by some 4 %, which only the cloth's
        own repeats can show.

    Raises
    ------
    UsageError
        If there aren't two points, or the distance isn't positive.
    ScaleTooSmall
        If the points are too close together in the picture.
    """
    points = np.asarray(points_xy_px, float)
    if points.shape != (2, 2) or not np.isfinite(points).all():
        raise UsageError(f"--points needs two points X1,Y1,X2,Y2, not {points.size} numbers.")
    if not (math.isfinite(apart_mm) and apart_mm > 0):
        raise UsageError(f"--apart must be more than nothing, not {apart_mm:g} mm.")
    apart_px = float(np.hypot(*(points[1] - points[0])))
    if apart_px < LEAST_APART_PX:
        raise ScaleTooSmall(
            f"The two points are only {apart_px:.0f} pixels apart.",
            hint=f"Mark two that are at least {LEAST_APART_PX:.0f} pixels apart, the further the "
            "better.",
        )
    rail = Rail(
        xy_px=points,
        at_mm=np.array([0.0, apart_mm]),
        std_px=POINT_STD_PX,
        stretch_std=APART_STD_MM / apart_mm,
    )
    pose = fit_pose(size_px, [rail])
    return Scale(
        method=Method.POINTS,
        size_px=size_px,
        plane_to_px=pose.plane_to_px,
        lens=pose.lens,
        relative_std=pose.relative_std,
        lens_std=pose.lens_std,
    )


def given(size_px: tuple[int, int], px_per_mm: float) -> Scale:
    """Take the scale as known, the picture as seen from straight above: a flatbed scan.

    The plane's millimetres count from the picture's top left pixel.

    Raises
    ------
    UsageError
        If ``px_per_mm`` isn't a positive number.
    """
    if not (math.isfinite(px_per_mm) and px_per_mm > 0):
        raise UsageError(f"--px-per-mm must be more than nothing, not {px_per_mm:g}.")
    return Scale(
        method=Method.GIVEN,
        size_px=size_px,
        plane_to_px=np.diag([px_per_mm, px_per_mm, 1.0]),
        lens=Lens.of_size(*size_px),
        relative_std=GIVEN_STD,
        tilt_deg=0.0,
    )
