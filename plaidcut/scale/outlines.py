"""Four-sided smooth regions in a photo: what may be a card or a sheet on the cloth.

Wool is rough and plaid is full of edges; paper is neither. A reduced picture is
cut where its colour changes within a few pixels; what hangs together between
the cuts, is large enough and has four sides is a candidate. Thin ruled lines and
print are taken out first, by a median and by filling holes. Which change counts
as a cut depends on cloth and light, so that several are tried.
"""

from __future__ import annotations

from itertools import chain
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.plane import Points

REDUCED_PX: Final = 1000
"""Longer side of the picture in which outlines are sought."""

CUTS: Final = (2.0, 3.0, 4.5, 6.5, 10.0, 15.0)
"""Changes of colour within a 3 x 3 neighbourhood, CIE L*a*b*, above which a region ends."""

THIN_PX: Final = 5
"""Width of the median, which takes out lines up to half as wide, in the reduced picture."""

NECKS_PX: Final = (2.0, 8.0, 18.0)
"""Half widths of what is too thin to join two regions: bands of the paper's own colour run up
to it, and only their narrowness tells them apart."""

MOST_HOLE: Final = 0.01
"""Area, as a share of the picture's, of what counts as print within a region."""

LEAST_AREA: Final = 0.004
"""Area of a candidate as a share of the picture's: an ID-1 card across a seventh of it."""

MOST_AREA: Final = 0.8
"""Beyond this a region is the table or the cloth, with the rest cut off by the frame."""

LEAST_FILL: Final = 0.93
"""Share of its hull that a region fills, and of its four-sided outline that the hull fills."""


def four_sided(pixels: NDArray[np.uint8]) -> list[Points]:
    """Outlines (4, 2) of smooth four-sided regions, largest first, to about 5 reduced pixels.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).
    """
    import cv2

    height, width = pixels.shape[:2]
    factor = min(1.0, REDUCED_PX / max(height, width))
    size = (round(width * factor), round(height * factor))
    small = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
    change = _change(np.asarray(small, np.uint8))
    found: list[Points] = []
    for cut in CUTS:
        depth = _depth(change < cut)
        for outline in chain.from_iterable(_outlines(depth, neck) for neck in NECKS_PX):
            xy = (outline + 0.5) / [size[0] / width, size[1] / height] - 0.5
            if not any(_same(xy, other, 8 / factor) for other in found):
                found.append(xy)
    return sorted(found, key=_area, reverse=True)


def _change(small: NDArray[np.uint8]) -> NDArray[np.float32]:
    """How much the colour changes within 3 x 3 pixels, thin lines taken out: (h, w)."""
    import cv2

    lab = cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB)
    box = np.ones((3, 3), np.uint8)
    total = np.zeros(small.shape[:2], np.float32)
    for channel in cv2.split(lab):
        smooth = cv2.medianBlur(channel, THIN_PX)
        total += (cv2.dilate(smooth, box) - cv2.erode(smooth, box)) ** 2
    return np.sqrt(total)


def _depth(smooth: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Distance of each smooth pixel from the next rough one, holes filled first: (h, w)."""
    import cv2

    filled = smooth.astype(np.uint8)
    _, parts, facts, _ = cv2.connectedComponentsWithStats(1 - filled, connectivity=4)
    small = facts[:, cv2.CC_STAT_AREA] < MOST_HOLE * smooth.size
    filled[small[parts]] = 1
    return cv2.distanceTransform(filled, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)


def _outlines(depth: NDArray[np.float32], neck: float) -> list[Points]:
    """Four-sided regions within the frame that hang together by more than twice ``neck``."""
    import cv2

    core = (depth > neck).astype(np.uint8)
    contours, _ = cv2.findContours(core, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    height, width = depth.shape
    outlines = []
    for contour in contours:
        hull = cv2.convexHull(contour)
        area = cv2.contourArea(hull)
        if not LEAST_AREA < area / depth.size < MOST_AREA:
            continue
        if cv2.contourArea(contour) < LEAST_FILL * area:
            continue
        quad = _four_corners(hull)
        if quad is None or area < LEAST_FILL * _area(quad):
            continue
        grown = _grown(quad, neck + THIN_PX / 2)
        if np.all((grown > 1) & (grown < [width - 2, height - 2])):
            outlines.append(grown)
    return outlines


def _four_corners(hull: NDArray[np.int32]) -> Points | None:
    """The hull's outline with four corners, clockwise; None when it has no such."""
    import cv2

    around = cv2.arcLength(hull, True)  # noqa: FBT003
    for share in np.arange(0.01, 0.08, 0.005):
        simple = cv2.approxPolyDP(hull, share * around, True)[:, 0]  # noqa: FBT003
        if len(simple) == 4:
            quad = simple.astype(float)
            return quad if _signed_area(quad) > 0 else quad[::-1]
        if len(simple) < 4:
            return None
    return None


def _signed_area(quad: Points) -> float:
    """Area of a quadrilateral (4, 2), positive when it runs clockwise (y down)."""
    (ax, ay), (bx, by) = quad[2] - quad[0], quad[3] - quad[1]
    return float(ax * by - ay * bx) / 2


def _area(quad: Points) -> float:
    """Area of a quadrilateral (4, 2) that runs clockwise."""
    return _signed_area(quad)


def _grown(quad: Points, by_px: float) -> Points:
    """A quadrilateral (4, 2), clockwise, with each side moved outwards."""
    sides = np.roll(quad, -1, axis=0) - quad
    outward = np.stack([sides[:, 1], -sides[:, 0]], -1) / np.hypot(*sides.T)[:, None]
    corners = []
    for before in range(-1, 3):
        after = before + 1
        normals = np.array([outward[before], outward[after]])
        reach = [by_px + outward[before] @ quad[after], by_px + outward[after] @ quad[after]]
        corners.append(np.linalg.solve(normals, reach))
    return np.array(corners)


def _same(one: Points, other: Points, within_px: float) -> bool:
    """Whether two outlines have the same corners, in whatever order they begin."""
    apart = np.linalg.norm(one[:, None] - other[None], axis=2)
    return bool(apart.min(axis=1).max() < within_px)
