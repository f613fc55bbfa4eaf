"""The scale from the printed card: its markers in the photo, and one plane through them."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import NoScale, ScaleTooSmall, ScaleUncertain
from plaidcut.scale.camera import view_of
from plaidcut.scale.card_layout import MODULES, CardLayout
from plaidcut.scale.marker_fit import FittedMarker, fit_marker
from plaidcut.scale.plane import (
    LENS_STD,
    Lens,
    Method,
    Points,
    Scale,
    apply_homography,
    fit_homography,
)
from plaidcut.scale.sighting import SeenCard, SeenMarker, see_cards, side_px
from plaidcut.srgb import LUMINANCE, light_table

PRINT_STD: Final = 0.0014
"""Relative standard uncertainty of the printed card: a check bar of 100 mm read to half a
millimetre, uniformly ±0.25 mm: 0.25/√3/100 (derived). Home printers vary by about as much from
page to page: up to 1 mm on a page (docs/sources.md)."""

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

LEAST_MODULE_PX: Final = 3.0
"""Pixels per module below which the card is too small."""

MOST_MISFIT: Final = 0.25
"""Misfit of a marker (`FittedMarker.misfit`) beyond which something covers it: what lies bare
stays under 0.15 in noise, blur and JPEG, what is covered is over 0.5 (measured on rendered
photos)."""

MOST_STD: Final = 0.004
"""Relative standard uncertainty of the scale at the card, its print aside, beyond which the card
isn't flat or not seen well enough."""

MOST_DISAGREEMENT: Final = 0.03
"""How far two cards in one photo may disagree: an unknown lens does 1-2 % across a photo."""

CLIPPED: Final = 254
"""An sRGB value from which on a channel tells no more than that it is full."""


def find_card(pixels: NDArray[np.uint8], *, printed: tuple[float, float] = (1.0, 1.0)) -> Scale:
    """Find the printed card in a photo and take the scale from it.

    Parameters
    ----------
    pixels
        Upright sRGB photo, (height, width, 3).
    printed
        How large the printer drew the card, across and down its page
        (`~plaidcut.scale.printing.printed_ratio`).

    Returns
    -------
    Scale
        Plane millimetres from the card's top left corner, x along its top
        edge, y down. ``relative_std`` holds at the card: its print, its height
        over the cloth and the scatter of its corners; ``lens_std`` is what is
        not known of the lens, and tells away from the card.

    Raises
    ------
    NoScale
        If fewer than two markers of one card are seen.
    ScaleTooSmall
        If the markers' modules have fewer than `LEAST_MODULE_PX` pixels.
    ScaleUncertain
        If the card isn't flat or not clear, or if two cards in the photo disagree.

    Notes
    -----
    Every marker is fitted by itself (`plaidcut.scale.marker_fit`), those that
    the detector missed too, where the others say they are. One homography goes
    through all their corners.
    """
    import cv2

    cards = see_cards(np.asarray(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY), np.uint8))
    if not cards:
        msg = "No scale card is seen in the photo, or only one of its markers."
        raise NoScale(msg)
    scales = [_scale_of(pixels, card, printed) for card in cards]
    best = min(scales, key=lambda scale: scale.relative_std)
    for other in scales:
        _check_agreement(best, other)
    return best


def _scale_of(pixels: NDArray[np.uint8], card: SeenCard, printed: tuple[float, float]) -> Scale:
    """Measure one card."""
    module_px = float(np.median([side_px(marker.corners_px) for marker in card.seen])) / MODULES
    if module_px < LEAST_MODULE_PX:
        msg = (
            "The scale card is too small in the photo: the squares of its markers are "
            f"{module_px:.1f} pixels wide, and {LEAST_MODULE_PX:g} are needed."
        )
        raise ScaleTooSmall(msg)
    fitted = _fit_markers(pixels, card)
    if len(fitted) < 2:
        msg = "The scale card is seen, but its markers are too blurred or covered to be measured."
        raise ScaleUncertain(msg)

    places_mm = {marker.id: marker.box.corners_mm * printed for marker in card.layout.markers}
    height, width = pixels.shape[:2]
    bare = Scale(
        method=Method.CARD,
        size_px=(width, height),
        plane_to_px=card.plane_to_px,
        lens=Lens.of_size(width, height),
        relative_std=0.0,
        anchors_mm=np.concatenate([places_mm[marker.id] for marker in fitted]),
        anchors_px=np.concatenate([marker.corners_px for marker in fitted]),
        mark_blur_px=float(np.median([marker.blur_px for marker in fitted])),
    )
    scale, lift_std = _with_likely_lens(_without_strays(bare))
    outline_mm = card.layout.outline_mm * printed
    anchors_std = float(scale.anchors_relative_std_at(scale.to_px(outline_mm.mean(axis=0))))
    if np.hypot(anchors_std, lift_std) > MOST_STD:
        msg = (
            "The scale card doesn't lie flat, or is not clear enough: its corners leave "
            f"{100 * np.hypot(anchors_std, lift_std):.1f} % of doubt about the scale."
        )
        raise ScaleUncertain(msg)
    return replace(
        scale,
        relative_std=float(np.linalg.norm([PRINT_STD, lift_std, anchors_std])),
        tilt_deg=view_of(scale.plane_to_px, scale.size_px).tilt_deg,
        mark_px=scale.to_px(outline_mm),
        white=_white_of(pixels, scale, card.layout, printed, fitted),
    )


def _fit_markers(pixels: NDArray[np.uint8], card: SeenCard) -> tuple[FittedMarker, ...]:
    """All markers of a card that can be fitted, those that the detector missed too."""
    fitted = {marker.id: _fit(pixels, marker) for marker in card.seen}
    found = {number: fit for number, fit in fitted.items() if fit is not None}
    if found:
        places_mm = {marker.id: marker.box.corners_mm for marker in card.layout.markers}
        plane_to_px = fit_homography(
            np.concatenate([places_mm[number] for number in found]),
            np.concatenate([fit.corners_px for fit in found.values()]),
        )
        for number in places_mm.keys() - fitted.keys():
            corners_px = apply_homography(plane_to_px, places_mm[number])
            fit = _fit(pixels, SeenMarker(number, corners_px))
            if fit is not None:
                found[number] = fit
    return tuple(found[number] for number in sorted(found))


def _fit(pixels: NDArray[np.uint8], seen: SeenMarker) -> FittedMarker | None:
    """Fit one marker; None where it isn't seen well."""
    height, width = pixels.shape[:2]
    margin_px = side_px(seen.corners_px) / 2
    low = np.clip(np.floor(seen.corners_px.min(axis=0) - margin_px), 0, (width, height))
    high = np.clip(np.ceil(seen.corners_px.max(axis=0) + margin_px), 0, (width, height))
    (left, top), (right, bottom) = low.astype(int).tolist(), high.astype(int).tolist()
    light = light_table()[pixels[top:bottom, left:right]] @ LUMINANCE
    fit = fit_marker(light, (left, top), seen)
    return fit if fit is not None and fit.misfit < MOST_MISFIT else None


def _without_strays(scale: Scale) -> Scale:
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


def _with_likely_lens(scale: Scale) -> tuple[Scale, float]:
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


def _white_of(
    pixels: NDArray[np.uint8],
    scale: Scale,
    layout: CardLayout,
    printed: tuple[float, float],
    fitted: tuple[FittedMarker, ...],
) -> tuple[float, float, float] | None:
    """Linear RGB of the white patch; None where it is hidden or overexposed."""
    patch = layout.white.inset(0.2 * layout.white.width_mm)
    share = (np.arange(15) + 0.5) / 15
    grid = np.stack(np.meshgrid(share, share), axis=-1).reshape(-1, 2)
    xy_mm = (patch.x_mm, patch.y_mm) + grid * (patch.width_mm, patch.height_mm)
    x, y = np.rint(scale.to_px(xy_mm * printed)).astype(int).T
    height, width = pixels.shape[:2]
    if x.min() < 0 or y.min() < 0 or x.max() >= width or y.max() >= height:
        return None
    median = np.rint(np.median(pixels[y, x], axis=0)).astype(np.uint8)
    red, green, blue = (float(light) for light in light_table()[median])
    whiteness = float(light_table()[median] @ LUMINANCE)
    expected = float(np.median([marker.contrast for marker in fitted]))
    if median.max() >= CLIPPED or not 0.7 < whiteness / expected < 1.6:
        return None
    return red, green, blue


def _check_agreement(best: Scale, other: Scale) -> None:
    """Refuse two cards that do not have one size in the cloth's plane."""
    seen_mm = best.to_mm(other.anchors_px)
    off = _spread(seen_mm) / _spread(other.anchors_mm) - 1
    if abs(off) > MOST_DISAGREEMENT:
        msg = f"Two scale cards in the photo disagree by {100 * abs(off):.0f} %."
        raise ScaleUncertain(msg, hint="Leave one card on the cloth, printed in true size.")


def _spread(points: Points) -> float:
    """How far points lie from their middle, root mean square."""
    return float(np.sqrt(np.mean(np.sum((points - points.mean(axis=0)) ** 2, axis=-1))))
