"""The middle lines of what lies on the ground, parted where they fork or cross."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.plane import Points

SMOOTH_MM: Final = 0.4
"""Blur of the outline before its middle is drawn: fibres give no branches."""
SPUR: Final = 1.6
"""A branch that ends free within so many half widths of its fork is a strip's corner."""
PRUNINGS: Final = 4
LEAST_LINE_MM: Final = 5.0
"""Shorter lines are no strips' middles."""
LINE_STEP_MM: Final = 0.5
BEYOND_MM: Final = 1.5
"""How far past a strip's end its middle line is drawn on."""
LINE_STD_MM: Final = 0.12
"""How far a middle line may stray from the pixels that it goes through."""
MOST_HALF_MM: Final = 60.0
"""Half the width of what may still be several strips side by side."""

Flags = NDArray[np.bool_]
Pixels = NDArray[np.int64]


def middle_lines(lying: Flags, px_per_mm: float) -> list[tuple[Points, float]]:
    """Middle lines of the parts of a mask.

    Parameters
    ----------
    lying
        What lies on the ground (H, W).
    px_per_mm
        Steps of its grid to the millimetre.

    Returns
    -------
    list of (ndarray of shape (N, 2), float)
        Points in millimetres of the grid, every :data:`LINE_STEP_MM`, and the greatest half
        width along the line.
    """
    import cv2
    from skimage.morphology import skeletonize

    soft = cv2.GaussianBlur(lying.astype(np.float32), (0, 0), SMOOTH_MM * px_per_mm) > 0.5
    half = np.asarray(
        cv2.distanceTransform(soft.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE), np.float32
    )
    thin = skeletonize(soft)  # type: ignore[no-untyped-call]
    for _ in range(PRUNINGS):
        spurs = _spurs(thin, half)
        if not spurs.any():
            break
        thin = skeletonize(thin & ~spurs)  # type: ignore[no-untyped-call]
    parted = thin & ~_near_forks(thin, half)
    found = []
    for pixels in _paths(parted):
        line = _smooth_line(pixels[:, ::-1] / px_per_mm)
        widest = float(half[pixels[:, 0], pixels[:, 1]].max()) / px_per_mm
        if line is not None and widest < MOST_HALF_MM:
            found.append((_lengthened(line, widest + BEYOND_MM), widest))
    return found


def _neighbours(thin: Flags) -> NDArray[np.int64]:
    """How many of a pixel's eight neighbours are of the line; 0 off it."""
    from scipy.ndimage import convolve

    count = convolve(thin.astype(np.int64), np.ones((3, 3), np.int64), mode="constant")
    return np.asarray(np.where(thin, count - 1, 0), np.int64)


def _grown(flags: Flags) -> Flags:
    """Flags and their eight neighbours."""
    import cv2

    return np.asarray(cv2.dilate(flags.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0)


def _spurs(thin: Flags, half: NDArray[np.float32]) -> Flags:
    """Branches that end free, close to where they fork off."""
    from scipy.ndimage import label, maximum_filter

    count = _neighbours(thin)
    forks = thin & (count > 2)
    labels, number = label(thin & ~_grown(forks), np.ones((3, 3)))
    at_fork = maximum_filter(np.where(_grown(forks), half, 0), 5)
    size = np.bincount(labels.ravel(), minlength=number + 1)
    free, reach = np.zeros(number + 1, bool), np.zeros(number + 1)
    free[labels[thin & (count == 1)]] = True
    np.maximum.at(reach, labels[thin], at_fork[thin])
    doomed = free & (reach > 0) & (size < SPUR * reach)
    doomed[0] = False
    lone = _grown(forks) & thin & (count == 1)  # so short that only its end is left
    return np.asarray(doomed[labels] & thin | lone)


def _near_forks(thin: Flags, half: NDArray[np.float32]) -> Flags:
    """What lies within a half width of a fork."""
    near = np.zeros_like(thin)
    rows, columns = np.nonzero(thin & (_neighbours(thin) > 2))
    y, x = np.nonzero(thin)
    for row, column in zip(rows, columns, strict=True):
        close = np.hypot(y - row, x - column) <= half[row, column] + 1
        near[y[close], x[close]] = True
    return near


def _paths(thin: Flags) -> list[Pixels]:
    """The pixels (N, 2), row before column, of each line in order."""
    from scipy.ndimage import find_objects, label

    labels, _ = label(thin, np.ones((3, 3)))
    paths = []
    for number, box in enumerate(find_objects(labels), start=1):
        part = np.argwhere(labels[box] == number)
        offset = [side.start for side in box]
        paths.append(_in_order(part) + offset)
    return [path for path in paths if len(path) > 3]


def _in_order(pixels: Pixels) -> Pixels:
    """Pixels of a line that doesn't fork, from one end to the other."""
    left = {(int(row), int(column)) for row, column in pixels}

    def beside(at: tuple[int, int]) -> list[tuple[int, int]]:
        steps = ((0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1))
        return [(at[0] + dy, at[1] + dx) for dy, dx in steps if (at[0] + dy, at[1] + dx) in left]

    at = min(left, key=lambda spot: (len(beside(spot)), spot))
    path = [at]
    left.remove(at)
    while following := beside(at):
        at = following[0]
        path.append(at)
        left.remove(at)
    return np.array(path)


def _smooth_line(points_mm: Points) -> Points | None:
    """A smooth line through points (N, 2), evenly stepped; None where it is too short."""
    steps = np.linalg.norm(np.diff(points_mm, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if along[-1] < LEAST_LINE_MM:
        return None
    return smooth_through(along, points_mm, std_mm=LINE_STD_MM)


def _lengthened(line_mm: Points, by_mm: float) -> Points:
    """The line going straight on at both ends: a middle line ends a half width too soon."""
    steps = LINE_STEP_MM * np.arange(1, int(by_mm / LINE_STEP_MM) + 1)[:, None]
    back = min(8, len(line_mm) - 1)
    first, last = line_mm[0] - line_mm[back], line_mm[-1] - line_mm[-1 - back]
    first, last = first / np.linalg.norm(first), last / np.linalg.norm(last)
    return np.concatenate([line_mm[0] + steps[::-1] * first, line_mm, line_mm[-1] + steps * last])


def smooth_through(along: NDArray[np.float64], points_mm: Points, *, std_mm: float) -> Points:
    """A smooth line (M, 2) that strays ``std_mm`` from points (N, 2) at places ``along`` it."""
    from scipy.interpolate import UnivariateSpline

    squares = len(along) * std_mm**2
    at = np.arange(along[0], along[-1], LINE_STEP_MM)
    return np.column_stack(
        [UnivariateSpline(along, points_mm[:, k], k=3, s=squares)(at) for k in range(2)]
    )
