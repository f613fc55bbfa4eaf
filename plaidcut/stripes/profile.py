"""One thread system's colours along a line across its threads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LEAST_SEEN_MM = 12.0
"""A thread seen along less than this says too little of its colour ..."""
LEAST_SEEN_SHARE = 0.2
"""... and so does one seen along less than this share of what the best are."""

END_MM = 6.0
"""At the ends of what is seen, colours are the least sure."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """A system's share of the light, evenly sampled across its threads."""

    start_mm: float
    step_mm: float
    share: Floats
    """Linear light (N, 3): half the yarn's colour, up to one offset."""
    crossing: Floats
    """Share (3,) of a dark crossing: with it the stripes are seen at their clearest."""
    seen: NDArray[np.bool_]
    """Where the share is known (N,)."""
    along_mm: Floats
    """How much of each thread was seen, (N,): what is seen along more is surer."""

    @property
    def position_mm(self) -> Floats:
        """Where the samples lie, (N,)."""
        return np.asarray(self.start_mm + self.step_mm * np.arange(len(self.share)), float)

    @property
    def surely_seen(self) -> tuple[int, int]:
        """First and last index of what is surely seen: the ends may be a fringe or the table."""
        first, last = (int(k) for k in np.flatnonzero(self.seen)[[0, -1]])
        trim = min(round(END_MM / self.step_mm), (last - first) // 4)
        return first + trim, last - trim

    @property
    def lab(self) -> Floats:
        """CIE L*a*b* (N, 3) of the stripes as they look over a dark crossing."""
        return lab_of(self.share + self.crossing)


def lab_of(linear: Floats) -> Floats:
    """CIE L*a*b* (..., 3), D65, of linear sRGB light (..., 3)."""
    import cv2

    flat = np.clip(linear, 0, 1).reshape(1, -1, 3).astype(np.float32)
    return np.asarray(cv2.cvtColor(flat, cv2.COLOR_LRGB2Lab).reshape(linear.shape), float)


def profile_of(
    share: Floats,
    other: Floats,
    seen_mm: Floats,
    other_seen_mm: Floats,
    *,
    start_mm: float,
    step_mm: float,
) -> Profile:
    """Profile of one system from its share and the other's."""
    rows = other[_seen(other_seen_mm)]
    brightness = rows.sum(axis=1)
    dark = rows[brightness <= np.quantile(brightness, 0.25)].mean(axis=0)
    seen = _seen(seen_mm)
    # the shares' own offset is open: keep the darkest stripe over a dark crossing above black
    floor = np.quantile(share[seen], 0.01, axis=0) + dark
    return Profile(
        start_mm=start_mm,
        step_mm=step_mm,
        share=share,
        crossing=dark - np.minimum(floor - 0.002, 0),
        seen=seen,
        along_mm=seen_mm,
    )


def _seen(along_mm: Floats) -> NDArray[np.bool_]:
    return along_mm >= max(LEAST_SEEN_MM, LEAST_SEEN_SHARE * float(along_mm.max()))
