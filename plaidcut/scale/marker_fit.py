"""A marker fitted to the photo, to a hundredth of a pixel.

A marker is fitted as a whole: its pattern, blurred and seen through a
homography of its own, is laid over the photo's linear light by least squares.
All its black-white edges share in that, not the corners alone.

In the photo's gamma-coded values a blurred edge looks shifted towards black,
so the fit is in linear light, where it is not. What remains, the printer's ink
spreading and the camera's own tone curve, shifts all edges alike, outwards
from black; the fit has one term for it, so that it does not move the corners.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.card_layout import MODULES, marker_cells
from plaidcut.scale.plane import Points, apply_homography, fit_homography
from plaidcut.scale.sighting import SeenMarker, side_px

QUIET_MODULES: Final = 0.9
"""White around a marker that its fit looks at; the card leaves 1.4 modules and more."""

SAMPLES: Final = 4000
"""Pixels of a marker that its fit uses at most: enough for 0.01 px, and quick."""

SOFTENED_MODULES: Final = 0.08
"""Standard deviation of the blur that is added to the photo before a fit: every edge then spans
several of the pixels that are used, however sharp the photo, and all pixels have a say."""

LEAST_SOFTENED_PX: Final = 0.5
"""Below it whole pixels can't hold a Gaussian, and small markers have no pixels to spare."""

START_BLUR_MODULES: Final = 0.3
"""Blur that a fit begins with: wide enough to feel edges that lie a third of a module off."""

LEAST_CONTRAST: Final = 0.004
"""White less black in linear light below which nothing is seen: a dozen steps of 8-bit sRGB."""

WANDER_MODULES: Final = 2.0
"""How far from where it was seen a corner may end: the detector is out by half a module."""

ROUNDS: Final = 25
"""Steps of a fit at most; about five are usual."""

SETTLED: Final = 1e-4
"""Gain of a step, as a share of what is left, with which a fit is done."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedMarker:
    """A marker as its fit places it."""

    id: int
    corners_px: Points
    """Corners (4, 2), clockwise from the pattern's top left."""
    blur_px: float
    """Standard deviation of the blur of its edges, the pixel's own width included."""
    misfit: float
    """Scatter of what the fit leaves of the modules' mean light, as a share of its scatter."""
    contrast: float
    """White less black in linear light, 0..1."""


def fit_marker(
    light: NDArray[np.float32], offset_xy_px: tuple[int, int], seen: SeenMarker
) -> FittedMarker | None:
    """Fit one marker's pattern to the photo's linear light.

    Parameters
    ----------
    light
        Linear light 0..1 around the marker, (height, width).
    offset_xy_px
        Where the photo has that part's first pixel.
    seen
        Where the marker is, to a third of a module.

    Returns
    -------
    FittedMarker or None
        None when the fit does not settle near the start: no such marker there.
    """
    import cv2

    middle = seen.corners_px.mean(axis=0)
    length_px = side_px(seen.corners_px)
    softened_px = SOFTENED_MODULES * length_px / MODULES
    if softened_px < LEAST_SOFTENED_PX:
        softened_px = 0.0
    else:
        light = np.asarray(cv2.GaussianBlur(light, (0, 0), softened_px), np.float32)
    square = MODULES * np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    to_modules = fit_homography((seen.corners_px - middle) / length_px, square)

    xy_px, value = _pixels_of(light, offset_xy_px, to_modules, middle, length_px)
    if len(value) < 4 * MODULES**2:
        return None
    fit = _lay_over((xy_px - middle) / length_px, value, to_modules, marker_cells(seen.id))
    if fit is None:
        return None
    to_photo = np.asarray(np.linalg.inv(fit.to_modules), float)
    corners_px = apply_homography(to_photo, square) * length_px + middle
    module_px = side_px(corners_px) / MODULES
    if np.abs(corners_px - seen.corners_px).max() > WANDER_MODULES * module_px:
        return None
    blur_px = np.sqrt(max((fit.blur * module_px) ** 2 - softened_px**2, 0.0))
    return FittedMarker(
        id=seen.id,
        corners_px=corners_px,
        blur_px=float(blur_px),
        misfit=fit.misfit,
        contrast=fit.contrast,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Fit:
    to_modules: NDArray[np.float64]
    blur: float
    misfit: float
    contrast: float


def _pixels_of(
    light: NDArray[np.float32],
    offset_xy_px: tuple[int, int],
    to_modules: NDArray[np.float64],
    middle: Points,
    length_px: float,
) -> tuple[Points, NDArray[np.float64]]:
    """Pixels (N, 2) of the marker and its quiet zone, and their light (N,)."""
    high, wide = light.shape
    reach = (0.5 * MODULES + QUIET_MODULES) * 1.5 * length_px / MODULES
    stride = max(1, int(np.sqrt((2 * reach) ** 2 / 2 / SAMPLES)))
    start = np.maximum(np.ceil(middle - reach).astype(int) - offset_xy_px, 0)
    stop = np.minimum(np.floor(middle + reach).astype(int) - offset_xy_px + 1, (wide, high))
    columns, rows = np.arange(start[0], stop[0], stride), np.arange(start[1], stop[1], stride)
    x, y = (grid.ravel() for grid in np.meshgrid(columns, rows))
    xy_px = np.stack([x, y], axis=-1) + np.asarray(offset_xy_px, float)
    uv = apply_homography(to_modules, (xy_px - middle) / length_px)
    near = np.all((uv > -QUIET_MODULES) & (uv < MODULES + QUIET_MODULES), axis=-1)
    return xy_px[near], light[y[near], x[near]].astype(float)


def _lay_over(
    xy: Points,
    value: NDArray[np.float64],
    to_modules: NDArray[np.float64],
    cells: NDArray[np.bool_],
) -> _Fit | None:
    """Least squares over homography and blur (Levenberg-Marquardt, variable projection).

    ``xy`` (N, 2) are pixels, ``to_modules`` takes them to the marker's modules.
    The light's own terms are linear, and solved for anew at every step.
    """
    state = _State.of(xy, value, to_modules, START_BLUR_MODULES, cells)
    damping = 1e-3
    for _ in range(ROUNDS):
        slopes = state.slopes(xy)
        normal = slopes.T @ slopes
        normal[np.diag_indices(9)] *= 1 + damping
        try:
            step = np.linalg.solve(normal, slopes.T @ state.rest)
        except np.linalg.LinAlgError:  # nothing there: no pattern moves the light
            return None
        tried = state.to_modules.copy()
        tried.flat[:8] += step[:8]
        blur = float(np.clip(state.blur + step[8], 0.02, 1.0))
        new = _State.of(xy, value, tried, blur, cells)
        won = state.squares - new.squares
        if abs(won) < SETTLED * state.squares:
            return state.finished()
        if won > 0:
            state, damping = new, damping / 10
        else:
            damping *= 10
    return None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _State:
    """A pattern laid over a marker's pixels, and how well it fits.

    The light is ``(a + bx + cy) + (d + ex + fy)·D + g·|∇D|``: white and black
    each under their own slant of light, ``D`` the blurred ink (0..1), and the
    growth of ink by ``-g/d``, which to first order adds its slope.
    """

    to_modules: NDArray[np.float64]
    blur: float
    uv: Points
    """Pixels in modules from the marker's top left corner, (N, 2)."""
    ink_slopes: NDArray[np.float64]
    """Derivatives of D by u, v and blur, (N, 3)."""
    columns: NDArray[np.float64]
    """The light's seven terms, (N, 7)."""
    terms: NDArray[np.float64]
    """What the photo has of each, (7,)."""
    rest: NDArray[np.float64]
    """Photo less fit, (N,)."""

    @classmethod
    def of(
        cls,
        xy: Points,
        value: NDArray[np.float64],
        to_modules: NDArray[np.float64],
        blur: float,
        cells: NDArray[np.bool_],
    ) -> _State:
        """The best light for one homography and one blur (in modules)."""
        uv = apply_homography(to_modules, xy)
        ink, ink_slopes = _blurred_ink(uv, blur, cells)
        growth = np.hypot(ink_slopes[:, 0], ink_slopes[:, 1])
        one = np.ones_like(ink)
        slant = np.column_stack([one, xy])
        columns = np.column_stack([slant, slant * ink[:, None], growth])
        terms = np.linalg.lstsq(columns.T @ columns, columns.T @ value)[0]
        return cls(
            to_modules=to_modules,
            blur=blur,
            uv=uv,
            ink_slopes=ink_slopes,
            columns=columns,
            terms=terms,
            rest=value - columns @ terms,
        )

    @property
    def squares(self) -> float:
        """Sum of squared differences."""
        return float(self.rest @ self.rest)

    def slopes(self, xy: Points) -> NDArray[np.float64]:
        """Derivatives of the fit (N, 16) by homography, blur and the light's terms."""
        x, y = xy.T
        u, v = self.uv.T
        w = self.to_modules[2, 0] * x + self.to_modules[2, 1] * y + 1
        depth = self.columns[:, :3] @ self.terms[3:6] / w
        by_u, by_v = depth * self.ink_slopes[:, 0], depth * self.ink_slopes[:, 1]
        by_w = -(u * by_u + v * by_v)
        by_blur = depth * w * self.ink_slopes[:, 2]
        shape = np.column_stack(
            [by_u * x, by_u * y, by_u, by_v * x, by_v * y, by_v, by_w * x, by_w * y, by_blur]
        )
        return np.hstack([shape, self.columns])

    def finished(self) -> _Fit:
        """The fit, judged by the mean light of whole modules, where noise hardly tells."""
        cell = np.clip(np.floor(self.uv).astype(int) + 1, 0, MODULES + 1)
        index = cell[:, 1] * (MODULES + 2) + cell[:, 0]
        counts = np.bincount(index)
        full = counts > 0.3 * counts.max()
        rest, value = (
            np.bincount(index, weights=light)[full] / counts[full]
            for light in (self.rest, self.rest + self.columns @ self.terms)
        )
        contrast = -float(self.terms[3])
        seen = contrast > LEAST_CONTRAST
        return _Fit(
            to_modules=self.to_modules,
            blur=self.blur,
            misfit=float(np.sqrt(np.mean(rest**2)) / np.std(value)) if seen else np.inf,
            contrast=contrast,
        )


def _blurred_ink(
    uv: Points, blur: float, cells: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """A marker's ink (N,) under a Gaussian blur, and its derivatives (N, 3) by u, v and blur.

    A blurred square is the product of two blurred intervals, each a difference
    of two normal distributions; by the heat equation the derivative by the
    blur's standard deviation is that times the Laplacian.
    """
    from scipy.special import ndtr

    # pixels along the memory: a marker has thousands, and but a few modules
    z = (uv.T[:, None] - np.arange(MODULES + 1)[:, None]) / blur
    density = np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
    step_u, step_v = -np.diff(ndtr(z), axis=1)
    slope_u, slope_v = -np.diff(density, axis=1) / blur
    bend_u, bend_v = np.diff(density * z, axis=1) / blur**2
    ink = cells.T.astype(float)
    columns = ink @ step_v
    over_columns = partial(np.einsum, "kn,kn->n")
    by_u = over_columns(columns, slope_u)
    by_v = over_columns(ink @ slope_v, step_u)
    laplacian = over_columns(columns, bend_u) + over_columns(ink @ bend_v, step_u)
    return over_columns(columns, step_u), np.column_stack([by_u, by_v, blur * laplacian])
