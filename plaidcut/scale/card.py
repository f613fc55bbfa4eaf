"""The scale from the printed card: its markers in the photo, and one plane through them."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from os import cpu_count
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import NoScale, ScaleTooSmall, ScaleUncertain
from plaidcut.scale.camera import view_of
from plaidcut.scale.card_layout import MODULES, CardLayout
from plaidcut.scale.card_plane import with_likely_lens, without_strays
from plaidcut.scale.marker_fit import FittedMarker, fit_marker
from plaidcut.scale.plane import (
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

LEAST_MARKERS: Final = 2
"""Markers that a card must show: one could be a chance likeness, and tells little of the tilt."""

LEAST_MODULE_PX: Final = 3.0
"""Pixels per module below which the card is too small: a lens's blur of a pixel or more then
makes it a matter of luck whether the markers are read, and away from the card its tilt is hardly
known (measured on rendered photos; the scale at the card itself still held to 0.1 %)."""

MOST_MISFIT: Final = 0.25
"""Misfit of a marker (`FittedMarker.misfit`) beyond which something covers it: what lies bare
stays under 0.15 in noise, blur and JPEG, what is covered is over 0.5 (measured on rendered
photos)."""

MOST_STD: Final = 0.004
"""Relative standard uncertainty of the scale at the card, its print aside, beyond which the card
isn't flat or not seen well enough."""

MOST_CORNER_MM: Final = 0.1
"""Standard uncertainty of a marker's corner, by how they scatter about one plane, beyond which the
card is bent: flat and arched by 0.5 mm it stays under 0.055, arched by 11 mm it is over 0.48
(measured on rendered photos)."""

MOST_DISAGREEMENT: Final = 0.03
"""How far two cards in one photo may disagree: an unknown lens does 1-2 % across a photo."""

WHITE_RANGE: Final = (0.7, 1.6)
"""Light of the white patch over the markers' contrast, black ink and uneven light allowed for:
outside it something covers the patch."""

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
    others = [scale for scale in scales if scale is not best]
    for other in others:
        _check_agreement(best, other)
    outlines = tuple(other.mark_px for other in others if other.mark_px is not None)
    return replace(best, other_marks_px=outlines)


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
    if len(fitted) < LEAST_MARKERS:
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
    scale, lift_std = with_likely_lens(without_strays(bare))
    outline_mm = card.layout.outline_mm * printed
    anchors_std = float(scale.anchors_relative_std_at(scale.to_px(outline_mm.mean(axis=0))))
    corner_mm = scale.anchor_std_px / float(scale.px_per_mm_at(scale.anchors_px.mean(axis=0)))
    if corner_mm > MOST_CORNER_MM:
        msg = (
            "The scale card doesn't lie flat, or is not clear enough: the corners of its markers "
            f"lie {corner_mm:.1f} mm off one plane."
        )
        raise ScaleUncertain(msg)
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
    with ThreadPoolExecutor(cpu_count()) as pool:
        fits = pool.map(partial(_fit, pixels), card.seen)
    fitted = {marker.id: fit for marker, fit in zip(card.seen, fits, strict=True)}
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
    import cv2

    height, width = pixels.shape[:2]
    if np.any(seen.corners_px < 0) or np.any(seen.corners_px > (width - 1, height - 1)):
        return None
    margin_px = side_px(seen.corners_px) / 2
    low = np.maximum(np.floor(seen.corners_px.min(axis=0) - margin_px), 0)
    high = np.minimum(np.ceil(seen.corners_px.max(axis=0) + margin_px), (width, height))
    (left, top), (right, bottom) = low.astype(int).tolist(), high.astype(int).tolist()
    light = cv2.transform(cv2.LUT(pixels[top:bottom, left:right], light_table()), LUMINANCE[None])
    fit = fit_marker(np.asarray(light, np.float32), (left, top), seen)
    return fit if fit is not None and fit.misfit < MOST_MISFIT else None


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
    least, most = WHITE_RANGE
    ratio = whiteness / float(np.median([marker.contrast for marker in fitted]))
    if median.max() >= CLIPPED or not least < ratio < most:
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
