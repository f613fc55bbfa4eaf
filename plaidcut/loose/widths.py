"""The width of one strip along its length, its edges found to a small part of a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.light import WorkPicture
from plaidcut.loose.middle import LINE_STEP_MM
from plaidcut.loose.thickness import THICK_STD_MM, Eye, set_back_mm, side_seen_mm
from plaidcut.loose.unrolled import Floats, LaidStraight, lay_straight
from plaidcut.scale.plane import Points, Scale

STEP_MM: Final = 0.05
BESIDE_MM: Final = 1.2
"""What is looked at beyond an edge."""
ALONG_MM: Final = 0.9
"""Blur along the strip (standard deviation), so that single yarns don't pull an edge."""
INSIDE_MM: Final = (0.4, 0.9)
OUTSIDE_MM: Final = (0.25, 0.5)
"""How far from an edge the strip's tone and that of what borders on it are taken."""
ROUNDS: Final = 3
MOST_OFF_MM: Final = 0.6
"""An edge farther than this from where it was first seen is another one."""
LEAST_STEP: Final = 0.004
"""Step in linear light that tells an edge in a photo of 8 bits."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Edges:
    """Both edges of a strip, row by row along its middle line."""

    straight: LaidStraight
    low_mm: Floats
    high_mm: Floats
    """Where they stand on the table, across the middle line (N,); nan where one isn't seen."""
    doubt_mm: Floats
    """Standard uncertainty of the width that the strip's thickness leaves (N,)."""


def edges_along(
    picture: WorkPicture,
    scale: Scale,
    eye: Eye | None,
    line_mm: Points,
    guesses_mm: tuple[Floats, Floats],
) -> Edges:
    """Find both edges of a strip.

    Parameters
    ----------
    picture
        The photo in linear light, as fine as it is.
    scale
        Its scale.
    eye
        Where the camera stood; None for a scan.
    line_mm
        The strip's middle line (N, 2).
    guesses_mm
        About where its two edges lie across the line (N,), the lower first.
    """
    import cv2

    low, high = guesses_mm
    half = float(max(-low.min(), high.max())) + BESIDE_MM
    straight = lay_straight(picture, scale, line_mm, half_mm=half, step_mm=STEP_MM)
    light = cv2.GaussianBlur(
        np.nan_to_num(straight.rgb),
        (0, 0),
        sigmaX=0.3,
        sigmaY=ALONG_MM / LINE_STEP_MM,
        borderType=cv2.BORDER_REPLICATE,
    )
    light[~np.isfinite(straight.rgb).all(axis=2)] = np.nan
    found = []
    for sign, guess in ((-1.0, -low), (1.0, high)):
        outwards = sign * straight.normals
        side = side_seen_mm(eye, line_mm + guess[:, None] * outwards, outwards)
        seen = light[:, ::-1] if sign < 0 else light
        found.append(_edge(seen, straight.across_mm, guess, (high - low) / 2, side))
    (low_place, low_more, low_doubt), (high_place, high_more, high_doubt) = found
    thick = THICK_STD_MM * (low_more + high_more)
    return Edges(
        straight=straight,
        low_mm=-low_place,
        high_mm=high_place,
        doubt_mm=np.sqrt(thick**2 + low_doubt**2 + high_doubt**2),
    )


def _edge(
    light: NDArray[np.float32],
    across_mm: Floats,
    guess_mm: Floats,
    inward_mm: Floats,
    side_mm: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Where, outwards, each row passes half way from the strip's tone to what borders on it.

    Set back to the table; with what that changes per millimetre of thickness, and its doubt.
    """
    place = guess_mm.astype(float)
    near, far = INSIDE_MM
    reach = np.minimum(far, inward_mm)[:, None]
    beyond = np.maximum(side_mm, 0)[:, None]
    for _ in range(ROUNDS):
        away = across_mm - place[:, None]
        strip = _mean(light, (away < -np.minimum(near, reach / 2)) & (away > -reach))
        other = _mean(light, (away > OUTSIDE_MM[0] + beyond) & (away < OUTSIDE_MM[1] + beyond))
        step = other - strip
        height = np.sum(step**2, axis=1)
        value = np.einsum("nmc,nc->nm", light - strip[:, None], step) / np.maximum(
            height[:, None], 1e-12
        )
        crossed = _crossing(value, across_mm, place)
        lost = ~np.isfinite(crossed) | (height < LEAST_STEP**2)
        place = np.where(lost | (np.abs(crossed - guess_mm) > MOST_OFF_MM), np.nan, crossed)
        if not np.isfinite(place).any():
            break
    back, more, doubt = set_back_mm(side_mm, strip, other)
    return place + back, more, doubt


def _mean(light: NDArray[np.float32], among: NDArray[np.bool_]) -> Floats:
    """Mean light (N, 3) of the flagged samples of each row."""
    weight = among & np.isfinite(light[..., 0])
    total = np.where(weight[..., None], light, 0).sum(axis=1)
    count = weight.sum(axis=1)[:, None]
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _crossing(value: Floats, across_mm: Floats, near_mm: Floats) -> Floats:
    """The place (N,) nearest to ``near_mm`` where a row's value rises through one half."""
    rising = (value[:, :-1] < 0.5) & (value[:, 1:] >= 0.5)
    part = (0.5 - value[:, :-1]) / np.where(rising, value[:, 1:] - value[:, :-1], 1.0)
    place = across_mm[:-1] + np.clip(part, 0, 1) * (across_mm[1] - across_mm[0])
    off = np.where(rising, np.abs(place - near_mm[:, None]), np.inf)
    best = off.argmin(axis=1)
    rows = np.arange(len(value))
    return np.where(np.isfinite(off[rows, best]), place[rows, best], np.nan)
