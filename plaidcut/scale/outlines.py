"""Smooth regions in a photo with straight sides: what may be a card, a sheet or a ruler.

Wool is rough and plaid is full of edges; paper, plastic and wood are neither.
A reduced picture is cut where its colour changes within a few pixels, or where
the full picture is rough within a few; what hangs together between the cuts and
is large enough is a region. Thin ruled lines, graduations and print are taken
out first. How much counts as a cut depends on cloth and light, so that several
are tried, and it is left to others to tell which of the candidates is real.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.plane import Points

REDUCED_PX: Final = 1000
"""Longer side of the picture in which outlines are sought."""

CHANGE_CUTS: Final = (2.0, 3.0, 4.5, 6.5, 10.0, 15.0)
"""Changes of colour within a 3 x 3 neighbourhood, CIE L*a*b*, above which a region ends: for
marks of one colour on cloth of any."""

GRAIN_CUTS: Final = (2, 3, 5)
"""Differences of a pixel from its surroundings, sRGB codes, from which it counts as rough: for
marks of several colours, which are smoother than any yarn."""

GRAIN_BLUR_PX: Final = 2.0
"""What a pixel's surroundings are: a Gaussian of this standard deviation, about a yarn."""

GRAIN_WINDOW_PX: Final = 9
"""Window of the reduced picture in which rough pixels are counted: a line crosses it thinly."""

MOST_GRAIN: Final = 0.4
"""Share of rough pixels in that window above which a region ends."""

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


LEAST_LENGTH: Final = 0.2
"""Length of a strip as a share of the picture's longer side."""

LEAST_ELONGATION: Final = 4.0
"""Length of a strip over its width."""

LEAST_STRIP_FILL: Final = 0.7
"""Share of its rectangle that a strip fills: figures nibble at it, perspective tapers it."""


def four_sided(pixels: NDArray[np.uint8]) -> list[Points]:
    """Outlines (4, 2) of smooth four-sided regions, largest first, to about 5 reduced pixels.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).
    """
    reduced = _Reduced.of(pixels)
    found: list[Points] = []
    for smooth in _smooth_parts(pixels, reduced):
        depth = _depth(smooth)
        for outline in chain.from_iterable(_outlines(depth, neck) for neck in NECKS_PX):
            xy = reduced.to_photo_px(outline)
            if not any(_same(xy, other, 8 / reduced.factor) for other in found):
                found.append(xy)
    return sorted(found, key=_area, reverse=True)


def long_strips(pixels: NDArray[np.uint8]) -> list[Points]:
    """Outlines (4, 2) of long smooth strips, longest first, to about 5 reduced pixels.

    Clockwise, with the first side a long one. A strip may run out of the picture;
    its outline then ends near the frame.
    """
    reduced = _Reduced.of(pixels)
    found: list[Points] = []
    for smooth in _smooth_parts(pixels, reduced):
        depth = _depth(smooth)
        for neck in NECKS_PX[:2]:
            for contour in _regions(depth, neck):
                strip = _strip(contour, neck)
                if strip is None:
                    continue
                xy = reduced.to_photo_px(strip)
                if not any(_same(xy, other, 12 / reduced.factor) for other in found):
                    found.append(xy)
    return sorted(found, key=lambda strip: -float(np.hypot(*(strip[1] - strip[0]))))


@dataclass(frozen=True, slots=True, eq=False)
class _Reduced:
    """A photo reduced by area."""

    pixels: NDArray[np.uint8]
    factor: float

    @classmethod
    def of(cls, pixels: NDArray[np.uint8]) -> _Reduced:
        """Reduce a photo to `REDUCED_PX`, or leave a smaller one as it is."""
        import cv2

        height, width = pixels.shape[:2]
        factor = min(1.0, REDUCED_PX / max(height, width))
        size = (round(width * factor), round(height * factor))
        return cls(
            np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8), factor
        )

    def to_photo_px(self, xy: Points) -> Points:
        """Positions (..., 2) here to those in the photo."""
        return np.asarray((xy + 0.5) / self.factor - 0.5)


def _smooth_parts(pixels: NDArray[np.uint8], reduced: _Reduced) -> Iterator[NDArray[np.bool_]]:
    """What of the reduced picture is smooth (h, w), by one cut after another."""
    change = _change(reduced.pixels)
    for cut in CHANGE_CUTS:
        yield change < cut
    height, width = change.shape
    for rough in _grain(pixels, (width, height)):
        yield rough < MOST_GRAIN


def _grain(pixels: NDArray[np.uint8], size: tuple[int, int]) -> Iterator[NDArray[np.float32]]:
    """Share of pixels that are rough, for one cut after another, in a picture of ``size``."""
    import cv2

    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    apart = cv2.absdiff(grey, cv2.GaussianBlur(grey, (0, 0), GRAIN_BLUR_PX))
    for cut in GRAIN_CUTS:
        rough = cv2.threshold(apart, cut - 1, 255, cv2.THRESH_BINARY)[1]
        share = cv2.resize(rough, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255
        yield np.asarray(cv2.blur(share, (GRAIN_WINDOW_PX, GRAIN_WINDOW_PX)), np.float32)


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
    return np.asarray(cv2.distanceTransform(filled, cv2.DIST_L2, cv2.DIST_MASK_PRECISE), np.float32)


def _regions(depth: NDArray[np.float32], neck: float) -> Iterator[NDArray[np.int32]]:
    """Outlines (N, 1, 2) of what hangs together by more than twice ``neck``.

    A region that lies in another's hole is one, too: a card on a smooth table.
    """
    import cv2

    core = (depth > neck).astype(np.uint8)
    contours, tree = cv2.findContours(core, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    for number, contour in enumerate(contours):
        if tree[0][number][3] < 0:  # the outline of a region, not that of a hole
            yield np.asarray(contour, np.int32)


def _outlines(depth: NDArray[np.float32], neck: float) -> list[Points]:
    """Four-sided regions within the frame that hang together by more than twice ``neck``."""
    import cv2

    height, width = depth.shape
    outlines = []
    for contour in _regions(depth, neck):
        hull = cv2.convexHull(contour)
        area = cv2.contourArea(hull)
        if not LEAST_AREA < area / depth.size < MOST_AREA:
            continue
        if cv2.contourArea(contour) < LEAST_FILL * area:
            continue
        quad = _four_corners(np.asarray(hull, np.int32))
        if quad is None or area < LEAST_FILL * _area(quad):
            continue
        grown = _grown(quad, neck + THIN_PX / 2)
        if np.all((grown > 1) & (grown < [width - 2, height - 2])):
            outlines.append(grown)
    return outlines


def _strip(contour: NDArray[np.int32], neck: float) -> Points | None:
    """The long rectangle about a region, clockwise from a long side; None when it isn't one."""
    import cv2

    center, sides, turn_deg = cv2.minAreaRect(contour)
    grown = tuple(side + 2 * neck + THIN_PX for side in sides)
    long, short = max(grown), min(grown)
    if long < LEAST_LENGTH * REDUCED_PX or long < LEAST_ELONGATION * short:
        return None
    if cv2.contourArea(contour) < LEAST_STRIP_FILL * sides[0] * sides[1]:
        return None
    quad = np.asarray(cv2.boxPoints((center, grown, turn_deg)), float)
    if _signed_area(quad) < 0:
        quad = quad[::-1]
    return quad if np.hypot(*(quad[1] - quad[0])) > short + 1 else np.roll(quad, -1, axis=0)


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
