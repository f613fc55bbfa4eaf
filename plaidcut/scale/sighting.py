"""Where a photo shows scale cards: their markers, and how they lie together."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.card_layout import (
    DICTIONARY,
    MARKER_IDS,
    CardLayout,
    CardSize,
    card_layout,
)
from plaidcut.scale.plane import Points, apply_homography, fit_homography

SEARCH_PX: Final = (1600, 3200)
"""Longer sides to which a photo is reduced, in turn, before its full size is searched."""

ENOUGH: Final = 3
"""Markers of one card with which the search ends: the rest are found from them."""

NEAR_SIDES: Final = 0.25
"""How far from its place on the card, in sides of a marker, one may be seen."""


@dataclass(frozen=True, slots=True, eq=False)
class SeenMarker:
    """A marker as the detector saw it."""

    id: int
    corners_px: Points
    """Corners (4, 2), clockwise from the pattern's top left, to about a pixel."""


@dataclass(frozen=True, slots=True, eq=False)
class SeenCard:
    """A card as the detector saw it: markers of one size that lie as its layout has them."""

    layout: CardLayout
    plane_to_px: NDArray[np.float64]
    seen: tuple[SeenMarker, ...]


def see_cards(grey: NDArray[np.uint8]) -> list[SeenCard]:
    """The cards in a grey picture (height, width), looked for in ever larger versions of it."""
    import cv2

    height, width = grey.shape
    longer = max(height, width)
    best: list[SeenCard] = []
    for reduced_px in (*(size for size in SEARCH_PX if size < longer), longer):
        size = (round(width * reduced_px / longer), round(height * reduced_px / longer))
        small = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8)
        seen = _see_markers(small, np.array([width / size[0], height / size[1]]))
        cards = [card for each in CardSize for card in _cards_of(card_layout(each), seen)]
        if sum(len(card.seen) for card in cards) > sum(len(card.seen) for card in best):
            best = cards
        if any(len(card.seen) >= ENOUGH for card in best):
            break
    return best


def _cards_of(layout: CardLayout, seen: list[SeenMarker]) -> list[SeenCard]:
    """Sort markers into cards of one size, the fullest first; markers that fit none are dropped."""
    left = [marker for marker in seen if marker.id in MARKER_IDS[layout.size]]
    cards: list[SeenCard] = []
    while True:
        tried = [_card_through(pair, left, layout) for pair in combinations(left, 2)]
        best = max(
            (card for card in tried if card is not None),
            key=lambda card: len(card.seen),
            default=None,
        )
        if best is None:
            return cards
        cards.append(best)
        left = [marker for marker in left if marker not in best.seen]


def _card_through(
    pair: tuple[SeenMarker, ...], seen: list[SeenMarker], layout: CardLayout
) -> SeenCard | None:
    """The card on which two markers lie, with all that lie on it too; None if they can't."""
    if len({marker.id for marker in pair}) < len(pair):
        return None
    places = {marker.id: marker.box.corners_mm for marker in layout.markers}
    plane_to_px = fit_homography(
        np.concatenate([places[marker.id] for marker in pair]),
        np.concatenate([marker.corners_px for marker in pair]),
    )

    def lies(marker: SeenMarker) -> bool:
        off = apply_homography(plane_to_px, places[marker.id]) - marker.corners_px
        return bool(np.abs(off).max() < NEAR_SIDES * side_px(marker.corners_px))

    if not all(lies(marker) for marker in pair):
        return None
    return SeenCard(layout, plane_to_px, tuple(marker for marker in seen if lies(marker)))


def side_px(corners_px: Points) -> float:
    """Mean side of a marker."""
    return float(np.linalg.norm(np.roll(corners_px, 1, axis=0) - corners_px, axis=-1).mean())


def _see_markers(grey: NDArray[np.uint8], ratio: NDArray[np.float64]) -> list[SeenMarker]:
    """Markers that OpenCV sees in a reduced picture, in pixels of the one it came from."""
    from cv2 import aruco

    ids = [number for numbers in MARKER_IDS.values() for number in numbers]
    known = aruco.getPredefinedDictionary(getattr(aruco, DICTIONARY))
    ours = aruco.Dictionary(known.bytesList[ids], known.markerSize, known.maxCorrectionBits)
    parameters = aruco.DetectorParameters()
    parameters.minMarkerPerimeterRate = 0.02
    parameters.errorCorrectionRate = 0.5  # two wrong modules of 25; two markers must agree besides
    parameters.perspectiveRemovePixelPerCell = 8  # blurred modules are read
    parameters.perspectiveRemoveIgnoredMarginPerCell = 0.25  # by their middles
    corners, numbers, _ = aruco.ArucoDetector(ours, parameters).detectMarkers(grey)
    if numbers is None:
        return []
    return [
        SeenMarker(ids[int(number)], (np.reshape(quad, (4, 2)) + 0.5) * ratio - 0.5)
        for number, quad in zip(np.ravel(numbers), corners, strict=True)
    ]
