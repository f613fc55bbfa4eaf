"""One plane through the corners of a card's markers, and what is left to doubt about it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from plaidcut.scale.camera import view_of
from plaidcut.scale.plane import LENS_STD, Scale

LIFT_MM: Final = 0.3
"""Standard uncertainty of how high the card's middle lies over the cloth: stiff paper, not quite
flat (from memory, no source). Its scale is too large by height over distance (P09)."""

FLATNESS_MM: Final = 0.02
"""Least standard uncertainty of a corner on the card: paper and printing aren't perfect (from
memory, no source)."""

CORNERS: Final = 4
"""Corners of a marker. They err together, so they count as one when the scatter of all corners
is turned into an uncertainty."""

STRAY_RATIO: Final = 16.0
"""How many times less the other markers must scatter (variance) for one to be left out."""


def without_strays(scale: Scale) -> Scale:
    """Leave out markers that the others contradict: a thread or a finger over an edge.

    A bent card or the lens moves all markers a little, a covered edge moves one
    of them much: one is left out if the rest then agree so much better.
    """
    while len(scale.anchors_mm) > 3 * CORNERS:
        rests = [
            replace(
                scale,
                anchors_mm=np.delete(scale.anchors_mm, np.s_[first : first + CORNERS], axis=0),
                anchors_px=np.delete(scale.anchors_px, np.s_[first : first + CORNERS], axis=0),
            )
            for first in range(0, len(scale.anchors_mm), CORNERS)
        ]
        best = min((_refitted(rest) for rest in rests), key=_scatter)
        if _scatter(best) * STRAY_RATIO > _scatter(_refitted(scale)):
            break
        scale = best
    return scale


def _refitted(scale: Scale) -> Scale:
    """The same, its plane fitted to its anchors."""
    return scale.with_lens(scale.lens.k1)


def _scatter(scale: Scale) -> float:
    """Variance of the anchors' coordinates about the fitted plane."""
    return _squares(scale) / (scale.anchors_px.size - 8)


def with_likely_lens(scale: Scale) -> tuple[Scale, float]:
    """Fit the plane with the likeliest lens, and say what lift of the card is left to doubt.

    Returns
    -------
    scale
        Fitted to its anchors, with its ``k1``, ``lens_std`` and ``anchor_std_px``.
    lift_std
        Relative standard uncertainty of the scale from the card's height over the cloth.

    Notes
    -----
    The anchors' squared residuals are a parabola in ``k1``. Its lowest point is
    the lens's own ``k1`` plus what a card that bulges looks like: a bulge of
    ``t`` at distance ``D`` shifts a point at radius ``r`` by ``t·r³/(D·h²)``
    against its neighbours, ``h`` being half the card, and ``k1`` shifts it by
    ``k1·r³/N²``. Both are normal with what is known of phones (`LENS_STD`) and
    of paper (`LIFT_MM`), so the lowest point is shared out between them by
    their variances. A small card thus says nothing of the lens, and a lowest
    point that no lens would have is a card that isn't flat.
    """
    low, mid, high = (_squares(scale.with_lens(k1)) for k1 in (-LENS_STD, 0.0, LENS_STD))
    bend = max((low + high - 2 * mid) / LENS_STD**2, 1e-9)
    lowest = -(high - low) / (2 * LENS_STD) / bend
    px_per_mm = float(scale.px_per_mm_at(scale.anchors_px.mean(axis=0)))
    free = scale.anchors_px.size - 9
    scatter = max(mid - bend * lowest**2 / 2, 0.0) / free

    def together(squares: float) -> float:
        return CORNERS * max(squares, (FLATNESS_MM * px_per_mm) ** 2)

    half_mm = float(np.ptp(scale.anchors_mm, axis=0).max()) / 2
    half_norms = half_mm * px_per_mm / scale.lens.norm_px
    distance_mm = view_of(scale.plane_to_px, scale.size_px).focal_px / px_per_mm
    lens = LENS_STD**2
    bulge = (LIFT_MM / distance_mm / half_norms**2) ** 2
    total = lens + bulge + 2 * together(scatter) / bend

    fitted = scale.with_lens(lowest * lens / total)
    lift = lowest * bulge / total
    lift_std = float(np.sqrt(lift**2 + bulge * (total - bulge) / total)) * half_norms**2
    anchor_std_px = float(np.sqrt(together(_squares(fitted) / free)))
    lens_std = float(np.sqrt(lens * (total - lens) / total))
    return replace(fitted, lens_std=lens_std, anchor_std_px=anchor_std_px), lift_std


def _squares(scale: Scale) -> float:
    """Sum of the squared distances between anchors and where the scale puts them."""
    return float(np.sum((scale.to_px(scale.anchors_mm) - scale.anchors_px) ** 2))
