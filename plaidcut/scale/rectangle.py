"""The scale from a flat rectangle of known size: an index card, a sheet of paper, an ID-1 card.

Its four sides are found to a small part of a pixel, and its corners are where
they cross, so that corners may be rounded, or clicked roughly. A lens bends the
sides; how far they bow tells its ``k1``. The rectangle's plane has x along the
side of the first length and y a quarter turn clockwise from it. An outline
can't tell which way up a card lies: of the two ways that one is taken in which
x runs rightwards and down rather than leftwards and up; the origin is the
corner at which x and y begin.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.errors import NoScale, ScaleTooSmall, ScaleUncertain, UsageError
from plaidcut.scale.camera import MISFIT_STD, View, deeper, view_of
from plaidcut.scale.known_sizes import relative_size_std
from plaidcut.scale.outlines import four_sided
from plaidcut.scale.plane import (
    LENS_STD,
    Lens,
    Method,
    Points,
    Scale,
    apply_homography,
    fit_homography,
)
from plaidcut.scale.sides import (
    Corners,
    end_at_corners,
    side_lengths_px,
    sides_near,
    where_sides_cross,
)

LIFT_STD_SHARE: Final = 0.3
"""A thick card sinks into the nap, and how far off the camera was follows from a guessed focal
length: relative standard uncertainty of what the thickness does (from memory, no source)."""

CLICK_STD_PX: Final = 1.5
"""Standard uncertainty of a coordinate marked by hand (from memory, no source)."""

CLICK_REACH_PX: Final = 12.0
"""How far off a corner marked by hand may be and its sides still be found."""

OUTLINE_REACH: Final = 0.005
"""How far off an outline found in the reduced picture may be, as a share of the longer side."""

OUTLINE_MISFIT_STD: Final = 0.03
"""What such an outline may add to the misfit of its view."""

MOST_STRAIN: Final = 3.5
"""Standard deviations (`View.strain`) from which a rectangle isn't of the shape stated."""

RIVAL_STRAIN: Final = 1.0
"""By how much the likelier way to lay the sides must be less strained than the other."""

LEAST_SIDE_PX: Final = 100.0
"""Shorter side below which the perspective of a rectangle says too little."""

MOST_CORNER_SHARE: Final = 0.01
"""Uncertainty of a corner over the shorter side from which a rectangle is too small."""

SAME_SHARE: Final = 0.03
"""Relative difference of scale from which two rectangles contradict each other."""


def from_corners(
    size_px: tuple[int, int],
    corners_xy_px: ArrayLike,
    size_mm: tuple[float, float],
    *,
    pixels: NDArray[np.uint8] | None = None,
    corner_radius_mm: float = 0.0,
    thickness_mm: float = 0.0,
) -> Scale:
    """Take the scale from a rectangle whose corners were marked by hand.

    Parameters
    ----------
    size_px
        Width and height of the upright photo.
    corners_xy_px
        Four corners (4, 2) in any order; where the sides would meet, if they are rounded.
    size_mm
        The rectangle's sides.
    pixels
        The photo, sRGB (height, width, 3): the sides are then sought near the corners, which
        may be off by `CLICK_REACH_PX`. Where one can't be seen the corners count as marked.
    corner_radius_mm
        Radius of rounded corners: there the sides aren't looked at.
    thickness_mm
        How far the rectangle's face lies above the cloth.

    Raises
    ------
    UsageError
        If the corners don't make a four-sided outline.
    ScaleTooSmall
        If it has too few pixels.
    ScaleUncertain
        If a rectangle of that size can't look like that.
    """
    outline = _clockwise(np.asarray(corners_xy_px, float))
    sides = None
    if pixels is not None:
        cut_px = _cut_px(outline, size_mm, corner_radius_mm)
        sides = sides_near(pixels, outline, reach_px=CLICK_REACH_PX, cut_px=cut_px)
    corners = None if sides is None else where_sides_cross(sides, size_px)
    if corners is None or np.abs(corners.seen_px - outline).max() > 2 * CLICK_REACH_PX:
        lens = Lens.of_size(*size_px)
        corners = Corners(ideal_px=outline, std_px=CLICK_STD_PX, lens=lens, lens_std=LENS_STD)
    return _scale_of(corners, size_px, size_mm, thickness_mm)


def find_rectangle(
    pixels: NDArray[np.uint8],
    size_mm: tuple[float, float],
    *,
    corner_radius_mm: float = 0.0,
    thickness_mm: float = 0.0,
) -> Scale:
    """Find a flat rectangle of known size by its outline, and take the scale from it.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).
    size_mm
        The rectangle's sides.
    corner_radius_mm
        Radius of its rounded corners.
    thickness_mm
        How far its face lies above the cloth.

    Raises
    ------
    NoScale
        If there is no rectangle of that shape that ends at its corners.
    ScaleTooSmall
        If there is one, of too few pixels.
    ScaleUncertain
        If there are several that contradict each other, or if it is curled.

    Notes
    -----
    Candidates are the smooth four-sided regions of `four_sided`. A candidate
    is believed if all four sides show as straight edges, if a rectangle of the
    stated shape can look like that (`view_of`), and if its sides end at the
    corners: a plaid's blocks are rectangles too, but their sides run on as the
    edges of bands.
    """
    height, width = pixels.shape[:2]
    size_px = (width, height)
    reach_px = max(6.0, OUTLINE_REACH * max(size_px))
    scales: list[Scale] = []
    doubt: ScaleTooSmall | ScaleUncertain | None = None
    for outline in four_sided(pixels):
        cut_px = _cut_px(outline, size_mm, corner_radius_mm)
        ways = _ways(outline, size_px, size_mm, OUTLINE_MISFIT_STD)
        if ways[0][1].strain > MOST_STRAIN:
            continue
        if not end_at_corners(pixels, outline, gap_px=reach_px / 2, cut_px=cut_px):
            continue
        sides = sides_near(pixels, outline, reach_px=reach_px, cut_px=cut_px)
        if sides is None:
            continue
        try:
            corners = where_sides_cross(sides, size_px)
            if end_at_corners(pixels, corners.seen_px, gap_px=3, cut_px=cut_px):
                scales.append(_scale_of(corners, size_px, size_mm, thickness_mm))
        except (ScaleTooSmall, ScaleUncertain) as error:
            doubt = doubt or error
    if not scales:
        length, breadth = size_mm
        raise doubt or NoScale(
            f"No flat rectangle of {length:g} x {breadth:g} mm can be made out in the photo.",
            hint="Lay it flat on the cloth, whole in the picture; or mark its four corners "
            "with --corners X,Y X,Y X,Y X,Y.",
        )
    best = min(scales, key=lambda scale: scale.anchor_std_px)
    for other in scales:
        _check_agreement(best, other)
    return best


def _clockwise(corners: Points) -> Points:
    """Four corners (4, 2) in clockwise order (y down); UsageError when they make no outline."""
    if corners.shape != (4, 2) or not np.isfinite(corners).all():
        msg = f"--corners needs four points X,Y, not {len(corners)}."
        raise UsageError(msg)
    from_middle = corners - corners.mean(axis=0)
    outline = corners[np.argsort(np.arctan2(from_middle[:, 1], from_middle[:, 0]))]
    side = np.roll(outline, -1, axis=0) - outline
    following = np.roll(side, -1, axis=0)
    turns = side[:, 0] * following[:, 1] - side[:, 1] * following[:, 0]
    if np.any(turns <= 0.02 * np.hypot(*side.T) * np.hypot(*following.T)):
        msg = "The four points of --corners don't make a four-sided outline."
        raise UsageError(msg, hint="Give the rectangle's four corners, each once, in any order.")
    return outline


def _cut_px(outline: Points, size_mm: tuple[float, float], radius_mm: float) -> float:
    """How much of a side's end belongs to a rounded corner, in pixels."""
    return radius_mm * float(side_lengths_px(outline).sum()) / (2 * sum(size_mm))


def _box(size_mm: tuple[float, float]) -> Points:
    """Corners (4, 2) of a rectangle in its plane, clockwise from the origin."""
    width, height = size_mm
    return np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])


def _ways(
    ideal_px: Points, size_px: tuple[int, int], size_mm: tuple[float, float], misfit_std: float
) -> list[tuple[Points, View]]:
    """The two ways to lay a rectangle's sides on four clockwise corners, likelier first.

    Each with its corners (4, 2) in the order of `_box`.
    """
    ways = []
    for turn in (0, 1):
        laid = np.roll(ideal_px, -turn, axis=0)
        if (laid[1] + laid[2] - laid[0] - laid[3]).sum() < 0:
            laid = np.roll(laid, 2, axis=0)
        plane_to_px = fit_homography(_box(size_mm), laid)
        ways.append((laid, view_of(plane_to_px, size_px, misfit_std=misfit_std)))
    return sorted(ways, key=lambda way: way[1].strain)


def _scale_of(
    corners: Corners, size_px: tuple[int, int], size_mm: tuple[float, float], thickness_mm: float
) -> Scale:
    """The scale from a rectangle's corners."""
    short_px = float(side_lengths_px(corners.ideal_px).min())
    if short_px < LEAST_SIDE_PX or corners.std_px > MOST_CORNER_SHARE * short_px:
        msg = f"The rectangle's shorter side has only {short_px:.0f} pixels in the photo."
        raise ScaleTooSmall(msg, hint="Move the camera closer, or use a larger rectangle.")
    size_std = relative_size_std(size_mm)
    misfit_std = np.hypot(np.hypot(MISFIT_STD, size_std), 2 * corners.std_px / short_px)
    (laid, view), (_, rival) = _ways(corners.ideal_px, size_px, size_mm, float(misfit_std))
    _check_shape(view, rival, size_mm)

    face = Scale(
        method=Method.RECTANGLE,
        size_px=size_px,
        plane_to_px=fit_homography(_box(size_mm), laid),
        lens=corners.lens,
        relative_std=size_std,
        lens_std=corners.lens_std,
        tilt_deg=view.tilt_deg,
        mark_px=corners.seen_px,
        anchors_mm=_box(size_mm),
        anchors_px=corners.lens.distort(laid),
        anchor_std_px=corners.std_px,
        mark_blur_px=corners.blur_px,
    )
    middle = corners.seen_px.mean(axis=0)
    scatter = float(face.anchors_relative_std_at(middle))
    cloth = _lowered(face, thickness_mm)
    lift = float(face.px_per_mm_at(middle) / cloth.px_per_mm_at(middle)) - 1
    relative_std = float(np.linalg.norm([size_std, scatter, LIFT_STD_SHARE * lift]))
    return replace(cloth, relative_std=relative_std)


def _lowered(face: Scale, thickness_mm: float) -> Scale:
    """The scale of the plane that lies a card's thickness below its face."""
    if thickness_mm == 0:
        return face
    plane_to_px = deeper(face.plane_to_px, face.size_px, thickness_mm)
    anchors_px = face.lens.distort(apply_homography(plane_to_px, face.anchors_mm))
    return replace(face, plane_to_px=plane_to_px, anchors_px=anchors_px)


def _check_shape(view: View, rival: View, size_mm: tuple[float, float]) -> None:
    """Refuse a rectangle of another shape, or one that could lie either way."""
    length, breadth = size_mm
    if view.strain > MOST_STRAIN:
        msg = (
            f"The four-sided outline isn't the shape of a rectangle of {length:g} x {breadth:g} mm"
            f" (off by {100 * view.misfit:.0f} %)."
        )
        raise ScaleUncertain(msg, hint="Check the size, and mark its corners with --corners.")
    unequal = abs(np.log(length / breadth)) > MISFIT_STD
    if unequal and rival.strain - view.strain < RIVAL_STRAIN:
        msg = "The rectangle is seen so slantwise that its longer side can't be told."
        raise ScaleUncertain(msg)


def _check_agreement(one: Scale, other: Scale) -> None:
    """Refuse two rectangles that give different scales."""
    middle = np.concatenate([one.anchors_px, other.anchors_px]).mean(axis=0)
    ratio = float(other.px_per_mm_at(middle) / one.px_per_mm_at(middle))
    if abs(np.log(ratio)) > SAME_SHARE:
        msg = (
            "Two rectangles in the photo could be the one of known size, and the scales they "
            f"give differ by {100 * abs(ratio - 1):.0f} %."
        )
        raise ScaleUncertain(msg, hint="Mark the right one's four corners with --corners.")
