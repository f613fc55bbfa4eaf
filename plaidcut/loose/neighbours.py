"""What a lane is: wool, ground, a shadow, or the groove between two strips that touch."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.loose.ground import Foreground, apart
from plaidcut.loose.lanes import Lane
from plaidcut.loose.unrolled import LaidStraight
from plaidcut.scale.plane import Points
from plaidcut.stripes.colour import lab_of_linear_rgb, linear_rgb_of_lab

WIDTH_RANGE_MM: Final = (1.4, 28.0)
"""Widths that are looked for: a #2 has 1.6 mm, strips torn by hand run to about 25 mm."""
LEAST_LYING: Final = 0.7
"""Share of a lane's middle that must not be ground."""
SHADE_SHARE: Final = (0.25, 0.93)
"""Light that a shadow leaves to the ground."""
SHADE_APART: Final = 4.0
"""A lane whose colour is this near (L*a*b*) to the ground in shade may be a shadow."""
MOST_SHADE_MM: Final = 5.0
GROOVE_MM: Final = 1.0
"""What lies between two strips that touch: darker than both, and no wider than this."""


def is_wool(lane: Lane, lanes: list[Lane], straight: LaidStraight, lying: Foreground) -> bool:
    """Whether a lane is neither ground nor a shadow on it, nor of a width that no strip has."""
    if not WIDTH_RANGE_MM[0] <= lane.width_mm <= WIDTH_RANGE_MM[1]:
        return False
    if not _is_lying(lane, straight, lying):
        return False
    ground = lying.ground_at(_middle(lane, straight))
    if np.median(apart(lane.lab, ground)) < lying.limit:
        return False
    return lane.width_mm > MOST_SHADE_MM or not _is_shade(lane, lanes, straight, lying)


def _is_shade(lane: Lane, lanes: list[Lane], straight: LaidStraight, lying: Foreground) -> bool:
    """Whether a lane is of the ground's colour in shade, and beside something that throws it."""
    neighbours = [other for other in lanes if other is not lane and borders(lane, other)]
    between = all(
        any(borders(lane, other, above=above) for other in neighbours) for above in (True, False)
    )
    if between and all(_is_lying(other, straight, lying) for other in neighbours):
        return False
    if not any(other.width_mm > WIDTH_RANGE_MM[0] for other in neighbours):
        return False
    ground = lying.ground_at(_middle(lane, straight))
    shown, lit = linear_rgb_of_lab(lane.lab), linear_rgb_of_lab(ground)
    share = np.median(shown.sum(axis=1) / np.maximum(lit.sum(axis=1), 1e-6))
    shade = lab_of_linear_rgb(np.clip(lit * share, 0, 1))
    near = np.median(np.linalg.norm(lane.lab - shade, axis=1)) < SHADE_APART
    return bool(near and SHADE_SHARE[0] < share < SHADE_SHARE[1])


def _middle(lane: Lane, straight: LaidStraight) -> Points:
    """Points (N, 2) along a lane's middle."""
    return straight.at(lane.rows, (lane.low_mm + lane.high_mm) / 2)


def _is_lying(lane: Lane, straight: LaidStraight, lying: Foreground) -> bool:
    """Whether a lane's middle isn't ground."""
    return bool(np.mean(lying.lies_at(_middle(lane, straight))) >= LEAST_LYING)


def _common(lane: Lane, other: Lane) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Where in each lane's rows those lie that both have."""
    _, mine, theirs = np.intersect1d(lane.rows, other.rows, return_indices=True)
    return mine, theirs


def borders(lane: Lane, other: Lane, *, above: bool | None = None) -> bool:
    """Whether two lanes share an edge for a quarter of the first one's length, on that side."""
    mine, theirs = _common(lane, other)
    if len(mine) < len(lane.rows) / 4:
        return False
    high = np.median(np.abs(lane.high_mm[mine] - other.low_mm[theirs]))
    low = np.median(np.abs(lane.low_mm[mine] - other.high_mm[theirs]))
    gap = min(high, low) if above is None else high if above else low
    return bool(gap < 1e-6)


def touches(lane: Lane, wool: list[Lane], *, above: bool) -> bool:
    """Whether another strip lies close against a lane on one side."""
    for other in wool:
        mine, theirs = _common(lane, other)
        if len(mine) < len(lane.rows) / 4 or np.array_equal(lane.lab, other.lab):
            continue
        if above:
            gap = other.low_mm[theirs] - lane.high_mm[mine]
        else:
            gap = lane.low_mm[mine] - other.high_mm[theirs]
        if abs(float(np.median(gap))) < GROOVE_MM:
            return True
    return False


def to_grooves(lane: Lane, lanes: list[Lane], wool: list[Lane]) -> Lane:
    """The lane reaching to the middle of the groove that parts it from the next strip."""
    low, high = lane.low_mm.copy(), lane.high_mm.copy()
    for groove in lanes:
        if groove.width_mm > GROOVE_MM or not any(
            borders(groove, other) for other in wool if other is not lane
        ):
            continue
        mine, theirs = _common(lane, groove)
        if len(mine) < len(lane.rows) / 4:
            continue
        middle = (groove.low_mm + groove.high_mm)[theirs] / 2
        on_high = np.abs(lane.high_mm[mine] - groove.low_mm[theirs]) < 1e-6
        on_low = np.abs(lane.low_mm[mine] - groove.high_mm[theirs]) < 1e-6
        high[mine[on_high]] = middle[on_high]
        low[mine[on_low]] = middle[on_low]
    return Lane(rows=lane.rows, low_mm=low, high_mm=high, lab=lane.lab)
