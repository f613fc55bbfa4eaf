"""A plane through points whose places along a line are known: rulers, and points given by hand.

One line says how large things are along it, and how that changes from one end
to the other; it says nothing of how the plane turns about it. What is likely of
a hand-held phone says the rest, as an expectation with a spread, and one
least-squares fit weighs the two. Its covariance, carried on to the scale of the
picture, is the uncertainty: large beside two points, small
beside a ruler, whose lines are square to its edge and so show the whole plane.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.camera import FOCAL_SHARE, FOCAL_SPREAD
from plaidcut.scale.lines import Floats
from plaidcut.scale.plane import LENS_STD, Lens, Method, Points, Scale

TILT_STD_DEG: Final = 5.5
"""Standard deviation of a hand-held phone's tilt about each of its two axes (from memory, no
source)."""

ACROSS_STD_PX: Final = 1.0
"""How far points of a straight edge may lie off it: shadows, chipped edges."""

SQUARE_STD: Final = 0.003
"""How far all lines of a ruler may slant against its edge, radians (from memory, no source)."""

GRID: Final = (1 / 6, 1 / 2, 5 / 6)
"""Places in the picture over which the scale is averaged, as shares of its width and height."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rail:
    """Points on one straight line of the plane."""

    xy_px: Points
    """Points (N, 2) in the photo, in order."""
    at_mm: Floats
    """Their places (N,) along the line, from anywhere."""
    std_px: float
    """Standard uncertainty of a point along the line."""
    inner_xy_px: Points | None = None
    """Points (N, 2) in the photo on the plane's lines square to this one, on the side to which y
    runs (from which it runs, for a rail that runs the other way)."""
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
    """Of the mean scale over the picture, the lens's part left out. A tilt that isn't known makes
    the scale too large on one side and as much too small on the other: that isn't in it."""
    tilt_deg: float
    tilt_std_deg: float
    distance_mm: float
    """From the camera to the plane, along its axis."""
    misfit: float
    """Median size of what the points are off, in standard deviations; 0.67 is to be expected."""


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
    fit = least_squares(model.residuals, model.start(), x_scale="jac")
    root = np.linalg.pinv(np.asarray(fit.jac, float))
    covariance = root @ root.T
    plane_to_px, lens = model.plane(fit.x), model.lens(fit.x)

    slopes = np.zeros(len(fit.x))
    for place in range(len(fit.x)):
        step = np.zeros(len(fit.x))
        step[place] = 1e-4 * max(abs(fit.x[place]), 1e-2)
        change = model.log_scale(fit.x + step) - model.log_scale(fit.x - step)
        slopes[place] = 0.0 if place == _K1 else change / (2 * step[place])
    variance = float(slopes @ covariance @ slopes)
    tilt_variance = float(covariance[_TILT, _TILT].trace())
    return Pose(
        plane_to_px=plane_to_px,
        lens=lens,
        lens_std=float(np.sqrt(covariance[_K1, _K1])),
        relative_std=float(np.hypot(np.sqrt(variance), tilt_variance / 2)),
        tilt_deg=float(np.degrees(np.hypot(*fit.x[_TILT]))),
        tilt_std_deg=float(np.degrees(np.sqrt(tilt_variance))),
        distance_mm=float(np.exp(fit.x[_FOCAL] - fit.x[_SCALE])),
        misfit=float(np.median(np.abs(fit.fun))),
    )


_TURN, _TILT, _ORIGIN, _SCALE, _FOCAL, _K1, _RAILS = 0, slice(1, 3), slice(3, 5), 5, 6, 7, 8
"""Places of the parameters; after `_RAILS` a stretch per rail, then shift and offset of each but
the first, and a slant per rail."""


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
        return np.array([*head, *np.zeros(len(self.rails)), *places, *np.zeros(len(self.rails))])

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

    def log_scale(self, state: Floats) -> float:
        """Mean logarithm of the scale over the picture."""
        grid = np.stack(np.meshgrid(GRID, GRID), axis=-1).reshape(-1, 2)
        return float(np.log(self._scale(state).px_per_mm_at(grid * self.size_px)).mean())

    def residuals(self, state: Floats) -> Floats:
        """Points off their places, and parameters off what is likely, in standard deviations."""
        scale = self._scale(state)
        count = len(self.rails)
        stretches = state[_RAILS : _RAILS + count]
        places = np.vstack([np.zeros(2), state[_RAILS + count : -count].reshape(-1, 2)])
        slants = state[-count:]
        parts = []
        for number, rail in enumerate(self.rails):
            forward = 1 if number == 0 else -1
            shift, offset = places[number]
            x_mm = shift + forward * (1 + stretches[number]) * rail.at_mm
            line = np.stack([x_mm, np.full_like(x_mm, offset)], axis=-1)
            seen = scale.to_px(line)
            along = rail.xy_px[-1] - rail.xy_px[0]
            along = along / np.hypot(*along)
            off = seen - rail.xy_px
            parts += [off @ along / rail.std_px, off @ [-along[1], along[0]] / ACROSS_STD_PX]
            if rail.inner_xy_px is not None:
                square = scale.to_px(line + forward * np.array([slants[number], 1.0])) - seen
                square = square / np.hypot(*square.T)[:, None]
                beside = rail.inner_xy_px - rail.xy_px
                turned = square[:, 0] * beside[:, 1] - square[:, 1] * beside[:, 0]
                parts.append(turned / (np.sqrt(2) * rail.std_px))
        likely = [
            *(state[_TILT] / np.radians(TILT_STD_DEG)),
            (state[_FOCAL] - np.log(FOCAL_SHARE * max(self.size_px))) / FOCAL_SPREAD,
            state[_K1] / LENS_STD,
            *(stretches / [rail.stretch_std for rail in self.rails]),
            *(slants / SQUARE_STD),
        ]
        return np.concatenate([*parts, likely])
