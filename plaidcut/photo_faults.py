"""Why nothing can be made out in a photo: it is burnt out, or blurred all over.

These judge a photo of which no scale is known; where one is, the cloth itself is judged.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import Overexposed, TooBlurred

CLIPPED: Final = 250
"""sRGB value from which a channel counts as clipped, JPEG's ringing allowed for."""

MOST_CLIPPED: Final = 0.5
"""Share of clipped pixels from which a photo is overexposed (good ones have under 5 %)."""

MOST_BLUR: Final = 0.0009
"""Blur (standard deviation) over the photo's longer side from which it is blurred all over:
rendered photos that can still be measured have up to 0.0008, those that are shaken or out of
focus from 0.00095."""

JUDGED_PX: Final = 1600
"""Longer side at which blur is judged."""

SMOOTHED_PX: Final = 1.0
"""Standard deviation by which noise is smoothed away first."""

REBLUR_PX: Final = 2.5
"""Standard deviation of the second blur."""

DIRECTIONS: Final = 6
"""Directions that edges are sorted by: a shaken photo is sharp along the shake."""

EDGE_SHARE: Final = 0.002
"""Share of all pixels that count as the strongest edges of one direction."""

SHARPER: Final = 0.75
"""Share of them that may be blurred more than what is told: corners are, even in sharp photos."""

LEAST_SLOPE: Final = 1.0
"""Grey levels per pixel under which there is no edge to judge by."""


def refuse_burnt_out(pixels: NDArray[np.uint8]) -> None:
    """Refuse a photo that is mostly pure white.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).

    Raises
    ------
    Overexposed
        If more than half of it is pure white.
    """
    clipped = clipped_share(pixels)
    if clipped > MOST_CLIPPED:
        msg = f"{100 * clipped:.0f} % of the photo is pure white."
        raise Overexposed(msg)


def refuse_blurred(pixels: NDArray[np.uint8]) -> None:
    """Refuse a photo that is blurred all over.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).

    Raises
    ------
    TooBlurred
        If no edge of some direction is sharp.
    """
    blur = blur_share(pixels)
    if blur is not None and blur > MOST_BLUR:
        msg = (
            "The photo is so blurred that nothing of known size can be made out: its edges are "
            f"spread over {4 * blur * max(pixels.shape[:2]):.0f} pixels."
        )
        raise TooBlurred(msg)


def clipped_share(pixels: NDArray[np.uint8]) -> float:
    """Share of a photo's pixels whose three channels are all clipped."""
    import cv2

    clipped = cv2.inRange(pixels, (CLIPPED,) * 3, (255,) * 3)
    return cv2.countNonZero(clipped) / clipped.size


def blur_share(pixels: NDArray[np.uint8]) -> float | None:
    """Blur of the strongest edges, in the direction where they are blurred most.

    Returns
    -------
    float or None
        Standard deviation over the photo's longer side; None where there are no edges.

    Notes
    -----
    A step blurred by s has the slope c / (s √2π); blurred once more by r it has
    c / (√(s² + r²) √2π). So the ratio q of the slopes before and after tells
    s = r / √(q² - 1), whatever the contrast c ("Defocus map estimation from a single
    image", Pattern Recognition 44(9), 2011; from memory).
    """
    import cv2

    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    share = min(1.0, JUDGED_PX / max(grey.shape))
    grey = cv2.resize(grey, None, fx=share, fy=share, interpolation=cv2.INTER_AREA)
    once = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), SMOOTHED_PX)
    slope, direction = _slopes(np.asarray(once, np.float32))
    again = cv2.GaussianBlur(once, (0, 0), REBLUR_PX)
    slope_again, _ = _slopes(np.asarray(again, np.float32))
    blurs = []
    for number in range(DIRECTIONS):
        near = direction == number
        if not near.any():
            continue
        strong = near & (slope >= np.quantile(slope[near], 1 - EDGE_SHARE * DIRECTIONS))
        ratio = float(np.quantile(slope[strong] / np.maximum(slope_again[strong], 1e-6), SHARPER))
        if ratio > 1 and np.median(slope[strong]) > LEAST_SLOPE:  # else these are no edges
            variance = REBLUR_PX**2 / (ratio**2 - 1) - SMOOTHED_PX**2
            blurs.append(float(np.sqrt(max(variance, 0.0))))
    return max(blurs) / max(grey.shape) if blurs else None


def _slopes(grey: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.intp]]:
    """Steepness of a picture in grey levels per pixel, and the direction of its edges."""
    import cv2

    across, down = (cv2.Scharr(grey, cv2.CV_32F, *axis) / 32 for axis in ((1, 0), (0, 1)))
    turn = np.arctan2(down, across) / np.pi * DIRECTIONS
    return np.hypot(across, down), np.rint(turn).astype(np.intp) % DIRECTIONS
