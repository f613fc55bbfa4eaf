"""Every way to give the scale, as a value that can be passed on, and one function that takes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.plane import Scale


@dataclass(frozen=True, slots=True, kw_only=True)
class ByCard:
    """The printed card, found by itself."""

    printed: tuple[float, float] = (1.0, 1.0)
    """How large the printer drew, across and down its page (`printed_ratio`)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ByRectangle:
    """A flat rectangle of known size, found by its outline unless its corners are given."""

    size_mm: tuple[float, float]
    corners_xy_px: tuple[tuple[float, float], ...] | None = None
    corner_radius_mm: float = 0.0
    thickness_mm: float = 0.0

    @classmethod
    def id1(cls, corners_xy_px: tuple[tuple[float, float], ...] | None = None) -> ByRectangle:
        """A library or loyalty card, ISO/IEC 7810 ID-1."""
        from plaidcut.scale.known_sizes import ID1_CORNER_RADIUS_MM, ID1_SIZE_MM, ID1_THICKNESS_MM

        return cls(
            size_mm=ID1_SIZE_MM,
            corners_xy_px=corners_xy_px,
            corner_radius_mm=ID1_CORNER_RADIUS_MM,
            thickness_mm=ID1_THICKNESS_MM,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ByRuler:
    """A plain ruler or tape, its graduations found."""

    unit: Literal["in", "mm", "both"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ByPoints:
    """Two points and the distance between them."""

    points_xy_px: tuple[tuple[float, float], tuple[float, float]]
    apart_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A known scale: a flatbed scan."""

    px_per_mm: float


ScaleWay = ByCard | ByRectangle | ByRuler | ByPoints | Given


def take_scale(pixels: NDArray[np.uint8], way: ScaleWay) -> Scale:
    """Take the scale of a photo in the way asked for.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).
    way
        What the scale is to be taken from.

    Raises
    ------
    NoScale, ScaleTooSmall, ScaleUncertain
        If it can't be taken so.
    """
    height, width = pixels.shape[:2]
    match way:
        case ByCard():
            from plaidcut.scale.card import find_card

            return find_card(pixels, printed=way.printed)
        case ByRectangle():
            from plaidcut.scale.rectangle import find_rectangle, from_corners

            shape = {"corner_radius_mm": way.corner_radius_mm, "thickness_mm": way.thickness_mm}
            if way.corners_xy_px is None:
                return find_rectangle(pixels, way.size_mm, **shape)
            return from_corners(
                (width, height), way.corners_xy_px, way.size_mm, pixels=pixels, **shape
            )
        case ByRuler():
            from plaidcut.scale.ruler import find_ruler

            return find_ruler(pixels, way.unit)
        case ByPoints():
            from plaidcut.scale.points import from_points

            return from_points((width, height), way.points_xy_px, way.apart_mm)
        case Given():
            from plaidcut.scale.points import given

            return given((width, height), way.px_per_mm)
