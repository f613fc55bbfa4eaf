"""The scale of a photo: pixels to millimetres on the cloth's plane, and back.

All other code asks a :class:`Scale`; nothing else applies a homography or
multiplies by a scale. Pixel centres are whole numbers, x to the right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Final, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]
"""Points of shape (..., 2), x before y."""

LENS_STD: Final = 0.012
"""Standard uncertainty of an unknown phone lens's radial coefficient (from memory, no source)."""

LEAST_ANCHORS: Final = 4
"""Points that a homography takes to be fitted."""


class Method(StrEnum):
    """What the scale was taken from."""

    CARD = "card"
    RECTANGLE = "rectangle"
    RULER = "ruler"
    POINTS = "points"
    GIVEN = "given"
    HAND = "hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lens:
    """Radial distortion: ``distorted = c + norm·d·(1 + k1·|d|²)``, ``d = (ideal - c)/norm``."""

    k1: float
    """Radial coefficient, dimensionless; negative is barrel."""
    center_px: tuple[float, float]
    norm_px: float
    """Radius at which ``|d|`` is 1: half the picture's diagonal."""

    @classmethod
    def of_size(cls, width_px: int, height_px: int, k1: float = 0.0) -> Self:
        """The lens of an uncropped picture: its centre, half its diagonal."""
        center = ((width_px - 1) / 2, (height_px - 1) / 2)
        return cls(k1=k1, center_px=center, norm_px=float(np.hypot(width_px, height_px)) / 2)

    def distort(self, ideal_xy_px: ArrayLike) -> Points:
        """Ideal pixel positions (..., 2) to where the lens puts them."""
        d = (np.asarray(ideal_xy_px, float) - self.center_px) / self.norm_px
        r2 = np.sum(d * d, axis=-1, keepdims=True)
        return np.asarray(self.center_px + self.norm_px * d * (1 + self.k1 * r2))

    def undistort(self, xy_px: ArrayLike) -> Points:
        """Inverse of :meth:`distort`, by Newton steps on the radius (to 1e-9 px)."""
        d = (np.asarray(xy_px, float) - self.center_px) / self.norm_px
        rd = np.sqrt(np.sum(d * d, axis=-1, keepdims=True))
        r = rd.copy()
        for _ in range(8):
            r -= (r * (1 + self.k1 * r * r) - rd) / (1 + 3 * self.k1 * r * r)
        ratio = np.divide(r, rd, out=np.ones_like(rd), where=rd > 0)
        return np.asarray(self.center_px + self.norm_px * d * ratio)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scale:
    """Pixels ↔ millimetres on the cloth's plane, with its uncertainty."""

    method: Method
    size_px: tuple[int, int]
    """Width and height of the upright photo."""
    plane_to_px: NDArray[np.float64]
    """Homography (3, 3), plane millimetres to pixels without lens distortion."""
    lens: Lens
    relative_std: float
    """Relative standard uncertainty of every length, shared by the whole photo."""
    lens_std: float = 0.0
    """Standard uncertainty of ``lens.k1`` that ``relative_std`` does not hold yet."""
    tilt_deg: float | None = None
    """Angle between the camera's axis and the plane's normal; None when it can't be known."""
    mark_px: Points | None = None
    """Outline (N, 2) of the card, rectangle or ruler in the picture: no cloth there."""
    other_marks_px: tuple[Points, ...] = ()
    """Outlines of further cards: no cloth there either."""
    anchors_mm: Points = field(default_factory=lambda: np.empty((0, 2)))
    """Known points of the mark (N, 2) in plane millimetres ..."""
    anchors_px: Points = field(default_factory=lambda: np.empty((0, 2)))
    """... and where the photo shows them (N, 2): what the scale was fitted to."""
    anchor_std_px: float = 0.0
    """Standard uncertainty of one anchor's coordinate, in pixels."""
    white: tuple[float, float, float] | None = None
    """Linear-light RGB (0..1) of the mark's white where it lies; None without one."""
    mark_blur_px: float | None = None
    """Standard deviation of the blur of the mark's own edges; None where it wasn't measured."""

    def to_px(self, xy_mm: ArrayLike) -> Points:
        """Plane millimetres (..., 2) to pixels of the photo (..., 2)."""
        return self.lens.distort(apply_homography(self.plane_to_px, xy_mm))

    def to_mm(self, xy_px: ArrayLike) -> Points:
        """Pixels of the photo (..., 2) to plane millimetres (..., 2)."""
        px_to_plane = np.asarray(np.linalg.inv(self.plane_to_px), float)
        return apply_homography(px_to_plane, self.lens.undistort(xy_px))

    @property
    def center_px(self) -> Points:
        """The picture's centre (2,)."""
        width, height = self.size_px
        return np.array([(width - 1) / 2, (height - 1) / 2])

    def px_per_mm_at(self, xy_px: ArrayLike) -> NDArray[np.float64]:
        """Square root of the local area scale at pixels (..., 2), in px/mm."""
        xy = np.asarray(xy_px, float)
        step = 0.5
        dx = (self.to_mm(xy + [step, 0]) - self.to_mm(xy - [step, 0])) / (2 * step)
        dy = (self.to_mm(xy + [0, step]) - self.to_mm(xy - [0, step])) / (2 * step)
        area = np.abs(dx[..., 0] * dy[..., 1] - dx[..., 1] * dy[..., 0])
        return np.asarray(1 / np.sqrt(area))

    @property
    def px_per_mm(self) -> float:
        """Square root of the local area scale at the picture's centre."""
        return float(self.px_per_mm_at(self.center_px))

    def with_lens(self, k1: float) -> Scale:
        """The same scale with another radial coefficient, fitted anew to its anchors.

        Without anchors enough for a homography (fewer than 4) the plane stays.
        """
        lens = replace(self.lens, k1=k1)
        if len(self.anchors_mm) < LEAST_ANCHORS:
            return replace(self, lens=lens)
        plane_to_px = fit_homography(self.anchors_mm, lens.undistort(self.anchors_px))
        return replace(self, lens=lens, plane_to_px=plane_to_px)

    def anchors_relative_std_at(self, xy_px: ArrayLike) -> NDArray[np.float64]:
        """Relative standard uncertainty of the scale at pixels (..., 2) that the anchors leave.

        ``anchor_std_px`` carried through the fit, one coordinate nudged after the other: least
        amid the anchors, growing away from them. Zero where there are too few for a fit.
        """
        xy = np.asarray(xy_px, float)
        variance = np.zeros(xy.shape[:-1])
        if len(self.anchors_mm) < LEAST_ANCHORS:
            return variance
        nudge_px = 0.1
        here = np.log(self.with_lens(self.lens.k1).px_per_mm_at(xy))
        for index in np.ndindex(self.anchors_px.shape):
            nudged = self.anchors_px.copy()
            nudged[index] += nudge_px
            moved = replace(self, anchors_px=nudged).with_lens(self.lens.k1)
            variance += ((np.log(moved.px_per_mm_at(xy)) - here) / nudge_px) ** 2
        return np.asarray(self.anchor_std_px * np.sqrt(variance))


def apply_homography(matrix: NDArray[np.float64], xy: ArrayLike) -> Points:
    """Map points (..., 2) through a homography (3, 3)."""
    xy = np.asarray(xy, float)
    out = xy @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(out[..., :2] / out[..., 2:])


def fit_homography(from_xy: ArrayLike, to_xy: ArrayLike) -> NDArray[np.float64]:
    """Least-squares homography (3, 3) through matched points (N, 2), N at least 4."""
    import cv2

    source, target = np.asarray(from_xy, float), np.asarray(to_xy, float)
    matrix, _ = cv2.findHomography(source, target, 0)
    if matrix is None:
        msg = "the points do not fix a homography: three or more lie on one line"
        raise ValueError(msg)
    return np.asarray(matrix / matrix[2, 2], float)
