"""What of a photo of strips is the ground that they lie on: the rest may be strips.

The ground is the colour that most of the picture has, followed into light and shade: its colour
at a place is that of the ground around it, so that a shadow's soft edge is walked across and a
strip's sharp one is not. Light and shade change a ground's colour along one line only, and so
mostly does the grain of wood: what lies off that line is told from it by less.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Points
from plaidcut.stripes.colour import lab_of_linear_rgb

SOFT_MM: Final = 0.25
"""Blur before colours are compared: the grain of wood and of the sensor is finer."""
MODE_STEP: Final = 5.0
"""Step in L*a*b* of the count of colours that the commonest is taken from."""
FOLLOW_MM: Final = 6.0
"""How far around a place the ground tells its colour there (standard deviation)."""
MOSTLY: Final = 0.5
"""Share of its surroundings that must be ground for a place to tell the ground's colour."""
FARTHER: Final = 1e-3
"""What the ground four times as far counts, so that only it tells where there is none nearer."""
ROUNDS: Final = 12
LEAST_APART: Final = 7.0
"""Least L*a*b* distance from the ground around of what is not ground (rendered photos) ..."""
OFF_SHADE: Final = 1.75
"""What a step of colour counts that no light or shade on the ground explains (rendered photos:
dark brown strips on dark wood lie 5 to 6 off, grain and cracks 2 at most)."""
SCATTERS: Final = 3.2
"""... and as many robust standard deviations of the ground's own grain."""
MARK_ROOM_MM: Final = 2.5
"""Kept free around the card, whose edge throws a shadow."""
LEAST_MM: Final = 1.2
"""What is narrower than this is a crack or a thread (chosen here; a #2 has 1.6 mm)."""
HOLE_MM2: Final = 6.0
"""Gaps up to this size within a strip are of its pattern."""


Colours = NDArray[np.floating[Any]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Foreground:
    """What lies on the ground, on the view's grid."""

    view: PlaneView
    """The plane from straight above."""
    ground_lab: NDArray[np.float32]
    """The ground's colour at each place (H, W, 3), also beneath what lies on it."""
    marked: NDArray[np.bool_]
    """The card and its surroundings, and what lies outside the photo (H, W)."""
    lying: NDArray[np.bool_]
    """What isn't ground (H, W): strips, their shadows, and anything else."""
    limit: float
    """The distance from the ground, by :func:`apart`, that it starts from."""

    def lies_at(self, points_mm: Points) -> NDArray[np.bool_]:
        """Whether something lies at points (N, 2) of the plane."""
        return np.asarray(self.lying[self.places(points_mm)])

    def ground_at(self, points_mm: Points) -> NDArray[np.float64]:
        """The ground's colour (N, 3), L*a*b*, at points (N, 2) of the plane."""
        return self.ground_lab[self.places(points_mm)].astype(float)

    def bare_at(self, points_mm: Points) -> NDArray[np.bool_]:
        """Whether the photo shows bare ground at points (N, 2) of the plane."""
        at = np.rint(self.view.to_grid(points_mm)).astype(int)
        height, width = self.view.framed.shape
        inside = (at >= 0).all(axis=1) & (at < [width, height]).all(axis=1)
        here = self.places(points_mm)
        return np.asarray(inside & ~self.lying[here] & ~self.marked[here])

    def places(self, points_mm: Points) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Rows and columns of the view nearest to points (N, 2)."""
        at = np.rint(self.view.to_grid(points_mm)).astype(int)
        height, width = self.view.framed.shape
        return np.clip(at[:, 1], 0, height - 1), np.clip(at[:, 0], 0, width - 1)


def foreground(view: PlaneView, marks_mm: list[NDArray[np.float64]]) -> Foreground:
    """Tell what lies on the ground from the ground.

    Parameters
    ----------
    view
        The plane from straight above.
    marks_mm
        Outlines (N, 2) of the card and of other marks.
    """
    import cv2

    px = view.px_per_mm
    marked = ~view.framed
    for outline in marks_mm:
        marked |= view.polygon(outline)
    marked = _grown(marked, MARK_ROOM_MM * px)
    rgb = cv2.GaussianBlur(view.rgb, (0, 0), SOFT_MM * px)
    lab = lab_of_linear_rgb(np.clip(rgb, 0, 1)).astype(np.float32)
    shade, off = _steps(lab, _commonest(lab, ~marked))
    ground = (np.abs(shade) < 2 * LEAST_APART) & (off < LEAST_APART) & ~marked
    around, limit = lab, LEAST_APART
    for _ in range(ROUNDS):
        around = _mean_around(lab, _mostly(ground, ~marked, FOLLOW_MM * px), FOLLOW_MM * px)
        away = apart(lab, around)
        scatter = float(np.median(away[ground])) / 1.54  # of a distance in three dimensions
        limit = max(LEAST_APART, SCATTERS * scatter)
        grown = (away < limit) & ~marked
        if np.mean(grown ^ ground) < 1e-4:
            break
        ground = grown
    lying = _tidy(~ground & ~marked, px)
    return Foreground(view=view, ground_lab=around, marked=marked, lying=lying, limit=limit)


def _commonest(lab: NDArray[np.float32], among: NDArray[np.bool_]) -> NDArray[np.float32]:
    """The colour (3,) about which most pixels lie."""
    from scipy.ndimage import gaussian_filter

    few = lab[::4, ::4][among[::4, ::4]]
    edges = [np.arange(low, high, MODE_STEP) for low, high in ((-5, 110), (-90, 95), (-90, 95))]
    count, _ = np.histogramdd(few, bins=edges)
    at = np.unravel_index(int(gaussian_filter(count, 1.0).argmax()), count.shape)
    middle = np.array([edge[k] + MODE_STEP / 2 for edge, k in zip(edges, at, strict=True)])
    near = few[np.linalg.norm(few - middle, axis=1) < 2 * MODE_STEP]
    return np.asarray(np.median(near, axis=0) if len(near) else middle, np.float32)


def apart(lab: Colours, ground: Colours) -> Colours:
    """How far colours (..., 3) lie from that of the ground (..., 3), both L*a*b*.

    A difference in light counts as it is (CIE 1976), any other :data:`OFF_SHADE` times as much.
    """
    shade, off = _steps(lab, ground)
    return np.asarray(np.hypot(shade, off), lab.dtype)


def _steps(lab: Colours, ground: Colours) -> tuple[Colours, Colours]:
    """Distance from the ground's colour along the line of its shades, and weighed, off it.

    By the definition of L*a*b*, light times ``s`` multiplies (L* + 16, a*, b*) by the cube root
    of ``s`` (but for the very dark).
    """
    along = ground + np.array([16, 0, 0], lab.dtype)
    along = along / np.linalg.norm(along, axis=-1, keepdims=True)
    step = lab - ground
    shade = np.sum(step * along, axis=-1)
    off = np.linalg.norm(step - shade[..., None] * along, axis=-1)
    return np.asarray(shade, lab.dtype), np.asarray(OFF_SHADE * off, lab.dtype)


def _mostly(flags: NDArray[np.bool_], among: NDArray[np.bool_], std: float) -> NDArray[np.bool_]:
    """Flagged pixels where most around are flagged: specks of a strip don't tell the ground."""
    import cv2

    few, all_ = (
        cv2.GaussianBlur(each[::4, ::4].astype(np.float32), (0, 0), std / 4)
        for each in (flags, among)
    )
    most = (few > MOSTLY * all_).astype(np.uint8)
    return flags & (cv2.resize(most, flags.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0)


def _mean_around(
    lab: NDArray[np.float32], among: NDArray[np.bool_], std: float
) -> NDArray[np.float32]:
    """Mean colour (H, W, 3) of the flagged pixels around each place, however far they are."""
    import cv2

    # smooth enough that every fourth pixel tells it all
    size = (-(-lab.shape[1] // 4), -(-lab.shape[0] // 4))
    weight = cv2.resize(among.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    held = cv2.resize(lab * among[..., None], size, interpolation=cv2.INTER_AREA)
    total = np.full(weight.shape, 1e-9)
    mean = np.zeros(held.shape)
    for reach, part in ((std, 1.0), (4 * std, FARTHER), (16 * std, FARTHER**2)):
        total += part * np.asarray(cv2.GaussianBlur(weight, (0, 0), reach / 4))
        mean += part * np.asarray(cv2.GaussianBlur(held, (0, 0), reach / 4))
    mean /= total[..., None]
    large = cv2.resize(mean, lab.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(large, np.float32)


def _tidy(lying: NDArray[np.bool_], px: float) -> NDArray[np.bool_]:
    """Without cracks and specks, and without gaps that belong to a pattern."""
    import cv2

    size = 2 * int(LEAST_MM * px / 2) + 1
    element = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    opened = cv2.morphologyEx(lying.astype(np.uint8), cv2.MORPH_OPEN, element)
    _, gaps, stats, _ = cv2.connectedComponentsWithStats(1 - opened, connectivity=4)
    small = stats[:, cv2.CC_STAT_AREA] < HOLE_MM2 * px * px
    small[0] = False
    return np.asarray((opened > 0) | small[gaps])


def _grown(flags: NDArray[np.bool_], radius: float) -> NDArray[np.bool_]:
    """Flags dilated by a disc of that radius in grid steps."""
    import cv2

    away = cv2.distanceTransform((~flags).view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.asarray(away <= radius)
