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
rendered photos that can still be measured have up to 0.0005, those that are shaken or out of
focus from 0.0013."""

JUDGED_PX: Final = 1600
"""Longer side at which blur is judged."""

SMOOTHED_PX: Final = (1.0, 4.0)
"""Standard deviations of the two blurs whose slopes are compared; the first takes noise away."""

LEAST_SLOPE: Final = 0.1
"""Mean slope, in grey levels per pixel, under which there is no edge to judge by."""


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
    """Blur of a photo's edges, in the direction in which they are blurred most.

    Returns
    -------
    float or None
        Standard deviation over the photo's longer side; None where there are no edges.

    Notes
    -----
    The square slope of a step blurred by s, summed over it, goes with 1 / s. Blurred once more
    by a or by b it goes with 1 / √(s² + a²) or 1 / √(s² + b²), so the ratio q of the two sums
    tells s² = (b² - q² a²) / (q² - 1), whatever the contrast. A shaken photo is sharp along the
    shake: the least q of all directions is the least eigenvalue of one structure tensor (the
    mean products of the slopes) over the other.
    """
    import cv2

    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    share = min(1.0, JUDGED_PX / max(grey.shape))
    small = cv2.resize(grey, None, fx=share, fy=share, interpolation=cv2.INTER_AREA)
    fine, coarse = (_structure(np.asarray(small, np.float32), std) for std in SMOOTHED_PX)
    if np.linalg.eigvalsh(coarse).min() < LEAST_SLOPE**2:
        return None
    ratio = float(np.linalg.eigvals(np.linalg.solve(coarse, fine)).real.min())
    first, second = SMOOTHED_PX
    if ratio >= second / first:
        return 0.0
    ratio = max(ratio, 1.0 + 1e-6)
    variance = (second**2 - (ratio * first) ** 2) / (ratio**2 - 1)
    return float(np.sqrt(variance) / max(small.shape))


def _structure(grey: NDArray[np.float32], std_px: float) -> NDArray[np.float64]:
    """Mean products (2, 2) of a blurred picture's slopes, in grey levels per pixel."""
    import cv2

    smooth = cv2.GaussianBlur(grey, (0, 0), std_px)
    slopes = [cv2.Scharr(smooth, cv2.CV_32F, *way) / 32 for way in ((1, 0), (0, 1))]
    return np.array([[np.mean(one * other) for other in slopes] for one in slopes], float)
