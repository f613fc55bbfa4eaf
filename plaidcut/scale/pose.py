"""A plane through points whose places along a line are known: rulers, and points given by hand.

One line says how large things are along it, and how that changes from one end
to the other; it says nothing of how the plane turns about it. What is likely of
a hand-held phone says the rest, as an expectation with a spread, and one
least-squares fit weighs the two. Its covariance, carried on to the scale all over
the picture, is the uncertainty: large beside a single line, small where two
edges of a ruler are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.camera import FOCAL_SHARE, FOCAL_SPREAD
from plaidcut.scale.edges import Floats
from plaidcut.scale.plane import Lens, Method, Points, Scale
from plaidcut.scale.sides import LENS_STD

TILT_STD_DEG: Final = 5.5
"""Standard deviation of a hand-held phone's tilt about each of its two axes (from memory, no
source)."""

ACROSS_STD_PX: Final = 1.0
"""How far points of a straight edge may lie off it: shadows, chipped edges."""

GRID: Final = (1 / 6, 1 / 2, 5 / 6)
"""Where in the picture the uncertainty is looked at, as shares of its width and height."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rail:
    """Points on one straight line of the plane."""

    xy_px: Points
    """Points (N, 2) in the photo, in order."""
    at_mm: Floats
    """Their places (N,) along the line, from anywhere."""
    std_px: float
    """Standard uncertainty of a point along the line."""
    stretch_std: float
    """Relative standard uncertainty of all places together."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pose:
    """A plane and a lens, as far as rails tell."""

    plane_to_px: NDArray[np.float64]
    """Plane millimetres, x along the first rail from its place 0, to ideal pixels."""
    lens: Lens
    lens_std: float
    relative_std: float
    """Of lengths over the picture, the lens's part left out."""
    tilt_deg: float
    tilt_std_deg: float
    distance_mm: float
    """From the camera to the plane, along its axis."""


def fit_pose(size_px: tuple[int, int], rails: Sequence[Rail]) -> Pose:
    """Fit plane, focal length and lens to one rail, or to parallel ones.

    Parameters
    ----------
    size_px
        Width and height of the photo.
    rails
        The first defines the plane's x axis. The others are parallel to it, as far away as
        they are found to be, and run the other way: opposite edges of a ruler, both read
        clockwise.

    Notes
    -----
    Parameters are the turn and two tilts of the plane, where its origin is seen, the logarithms
    of the scale there and of the focal length, ``k1``, and per rail a stretch and its place. The
    scale's second-order loss by an unknown tilt, σ²/2 about each axis, is added at the end
    (facts, section 11: tape tilt).
    """
    from scipy.optimize import least_squares

    model = _Model(size_px, tuple(rails))
    fit = least_squares(model.residuals, model.start(), x_scale="jac", method="trf")
    root = np.linalg.pinv(np.asarray(fit.jac, float))
    covariance = root @ root.T
    plane_to_px, lens = model.plane(fit.x), model.lens(fit.x)

    slopes = []
    for place in range(len(fit.x)):
        step = np.zeros(len(fit.x))
        step[place] = 1e-4 * max(abs(fit.x[place]), 1e-2)
        change = model.log_scale(fit.x + step) - model.log_scale(fit.x - step)
        slopes.append(np.zeros_like(change) if place == _K1 else change / (2 * step[place]))
    by_place = np.array(slopes)
    variance = np.einsum("pg,pq,qg->g", by_place, covariance, by_place)
    tilt_variance = float(covariance[_TILT, _TILT].trace())
    return Pose(
        plane_to_px=plane_to_px,
        lens=lens,
        lens_std=float(np.sqrt(covariance[_K1, _K1])),
        relative_std=float(np.hypot(np.sqrt(variance.mean()), tilt_variance / 2)),
        tilt_deg=float(np.degrees(np.hypot(*fit.x[_TILT]))),
        tilt_std_deg=float(np.degrees(np.sqrt(tilt_variance))),
        distance_mm=float(np.exp(fit.x[_FOCAL] - fit.x[_SCALE])),
    )


_TURN, _TILT, _ORIGIN, _SCALE, _FOCAL, _K1, _RAILS = 0, slice(1, 3), slice(3, 5), 5, 6, 7, 8
"""Places of the parameters; after `_RAILS` a stretch per rail, then shift and offset of each but
the first."""


@dataclass(frozen=True, slots=True, eq=False)
class _Model:
    """Rails as a camera sees them."""

    size_px: tuple[int, int]
    rails: tuple[Rail, ...]

    def start(self) -> Floats:
        """Parameters of a plane seen from straight above."""
        first = self.rails[0]
        span = first.xy_px[-1] - first.xy_px[0]
        length_px = float(np.hypot(*span))
        scale = length_px / (first.at_mm[-1] - first.at_mm[0])
        along = span / length_px
        origin = first.xy_px[0] - along * scale * first.at_mm[0]
        focal = np.log(FOCAL_SHARE * max(self.size_px))
        head = [np.arctan2(along[1], along[0]), 0.0, 0.0, *origin, np.log(scale), focal, 0.0]
        places = []
        for rail in self.rails[1:]:
            off = (rail.xy_px[0] - origin) / scale
            places += [off @ along + rail.at_mm[0], off @ [-along[1], along[0]]]
        return np.array([*head, *np.zeros(len(self.rails)), *places])

    def plane(self, state: Floats) -> NDArray[np.float64]:
        """Homography (3, 3) from plane millimetres to ideal pixels."""
        import cv2

        width, height = self.size_px
        focal, scale = np.exp(state[_FOCAL]), np.exp(state[_SCALE])
        camera = np.array([[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]])
        spin = cv2.Rodrigues(np.array([0.0, 0.0, state[_TURN]]))[0]
        lean = cv2.Rodrigues(np.array([*state[_TILT], 0.0]))[0]
        ray = np.linalg.solve(camera, [*state[_ORIGIN], 1.0])
        matrix = camera @ np.column_stack([(lean @ spin)[:, :2], ray * focal / scale])
        return np.asarray(matrix / matrix[2, 2], float)

    def lens(self, state: Floats) -> Lens:
        """The lens of these parameters."""
        return Lens.of_size(*self.size_px, k1=float(state[_K1]))

    def _scale(self, state: Floats) -> Scale:
        return Scale(
            method=Method.RULER,
            size_px=self.size_px,
            plane_to_px=self.plane(state),
            lens=self.lens(state),
            relative_std=0.0,
        )

    def log_scale(self, state: Floats) -> Floats:
        """Logarithm of the scale (G,) over the picture."""
        grid = np.stack(np.meshgrid(GRID, GRID), axis=-1).reshape(-1, 2)
        return np.log(self._scale(state).px_per_mm_at(grid * self.size_px))

    def residuals(self, state: Floats) -> Floats:
        """Points off their places, and parameters off what is likely, in standard deviations."""
        scale = self._scale(state)
        stretches = state[_RAILS : _RAILS + len(self.rails)]
        places = state[_RAILS + len(self.rails) :].reshape(-1, 2)
        parts = []
        for number, rail in enumerate(self.rails):
            x_mm = (1 + stretches[number]) * rail.at_mm
            y_mm = np.zeros_like(x_mm)
            if number:
                shift, offset = places[number - 1]
                x_mm, y_mm = shift - x_mm, y_mm + offset
            off = scale.to_px(np.stack([x_mm, y_mm], axis=-1)) - rail.xy_px
            along = rail.xy_px[-1] - rail.xy_px[0]
            along = along / np.hypot(*along)
            parts += [off @ along / rail.std_px, off @ [-along[1], along[0]] / ACROSS_STD_PX]
        likely = [
            *(state[_TILT] / np.radians(TILT_STD_DEG)),
            (state[_FOCAL] - np.log(FOCAL_SHARE * max(self.size_px))) / FOCAL_SPREAD,
            state[_K1] / LENS_STD,
            *(stretches / [rail.stretch_std for rail in self.rails]),
        ]
        return np.concatenate([*parts, likely])
