"""The width of one strip along its length, its edges found to a small part of a pixel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.light import WorkPicture
from plaidcut.loose.edge_fit import INSIDE_MM, OUTSIDE_MM, fit_face_edge
from plaidcut.loose.middle import LINE_STEP_MM
from plaidcut.loose.thickness import THICK_MM, Eye, side_seen_mm
from plaidcut.loose.unrolled import Floats, LaidStraight, lay_straight
from plaidcut.scale.plane import Points, Scale

STEP_MM: Final = 0.05
BESIDE_MM: Final = 2.0
"""What is looked at beyond an edge."""
ALONG_MM: Final = 0.9
"""Blur along the strip (standard deviation), so that single yarns don't pull an edge."""
SIDE_STD: Final = 0.15
"""Standard uncertainty of an edge over the breadth of the cut side seen beside it."""
LEAST_BLUR_MM: Final = 0.08
"""What fibres add to the photo's blur (standard deviation)."""


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
    *,
    touching: tuple[bool, bool],
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
    touching
        Whether another strip lies against either, so that no cut side is seen there.
    """
    import cv2

    blur_px = scale.mark_blur_px or 0.8
    blur_mm = float(np.hypot(blur_px / scale.px_per_mm, LEAST_BLUR_MM))
    low, high = guesses_mm
    half = float(max(-low.min(), high.max())) + BESIDE_MM
    straight = lay_straight(picture, scale, line_mm, half_mm=half, step_mm=STEP_MM)
    light = np.asarray(
        cv2.GaussianBlur(
            np.nan_to_num(straight.rgb),
            (0, 0),
            sigmaX=0.3,
            sigmaY=ALONG_MM / LINE_STEP_MM,
            borderType=cv2.BORDER_REPLICATE,
        ),
        np.float32,
    )
    light[~np.isfinite(straight.rgb).all(axis=2)] = np.nan
    found = []
    for sign, guess, hidden in ((-1.0, -low, touching[0]), (1.0, high, touching[1])):
        outwards = sign * straight.normals
        side = side_seen_mm(eye, line_mm + guess[:, None] * outwards, outwards)
        inward = min(INSIDE_MM, 0.85 * float(np.median(high - low)) / 2)
        seen = np.zeros_like(side) if hidden else np.maximum(side, 0)
        beyond = OUTSIDE_MM + 1.3 * float(np.median(seen))
        offsets = np.arange(-inward, beyond, STEP_MM)
        about = _about(light[:, ::-1] if sign < 0 else light, straight.across_mm, guess, offsets)
        edge = fit_face_edge(about, offsets, seen, blur_mm=blur_mm)
        found.append((guess + edge.place_mm, edge, side, seen))
    # the edge whose cut side shows tells how thick the strip is, and so how far both are set off
    thick = max(found, key=lambda each: float(np.median(each[3])))[1].thick_mm / THICK_MM
    (low_place, low_edge, low_side, low_seen), (high_place, high_edge, high_side, high_seen) = found
    over = SIDE_STD * (low_seen + high_seen)
    return Edges(
        straight=straight,
        low_mm=-(low_place + thick * low_side),
        high_mm=high_place + thick * high_side,
        doubt_mm=np.sqrt(low_edge.std_mm**2 + high_edge.std_mm**2 + over**2),
    )


def _about(
    light: NDArray[np.float32], across_mm: Floats, guess_mm: Floats, offsets_mm: Floats
) -> NDArray[np.float32]:
    """Light (N, M, 3) at so many offsets outwards of each row's guess."""
    import cv2

    step = across_mm[1] - across_mm[0]
    columns = (guess_mm[:, None] + offsets_mm - across_mm[0]) / step
    rows = np.broadcast_to(np.arange(len(light))[:, None], columns.shape)
    return np.asarray(
        cv2.remap(
            light,
            columns.astype(np.float32),
            rows.astype(np.float32),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
    )
