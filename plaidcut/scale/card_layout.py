"""The scale card as data: every mark on it, in millimetres, and nothing drawn.

The card's printed page, its picture and the reading of it in a photo all come
from this one layout. Origin at the card's top-left corner, x along its top
edge, y down.

Two cards exist. Their markers are different ones of the same dictionary, so
that a single marker tells which card lies on the cloth. Around each marker
the card stays white for at least one module (the side of a marker's smallest
square), and for two towards the card's edge, so that dark cloth beside it
does not run into the marker.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from plaidcut.units import MM_PER_INCH

DICTIONARY: Final = "DICT_APRILTAG_25h9"
"""The markers' open dictionary, as OpenCV names it: 25 bits, at least 9 differ between any two.

Plaid is full of dark squares, so the dictionary is one whose patterns are far
from each other and from plain squares; seven modules a side keep them large."""

MODULES: Final = 7
"""Modules along a marker's side: five of pattern between two of black frame."""

GREY_SRGB: Final = 118
"""The grey patch, sRGB 0..255: reflectance 0.181, about photographers' 18 % grey."""


Edge = Literal["top", "right", "bottom", "left"]


class CardSize(StrEnum):
    """The two cards."""

    WALLET = "wallet"
    SHEET = "sheet"


MARKER_IDS: Final = {CardSize.WALLET: range(6), CardSize.SHEET: range(8, 16)}
"""Numbers of each card's markers in the dictionary; none is on both cards."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of one tone along the card's axes; its sRGB tone is 0 unless said."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    tone: int = 0

    def inset(self, by_mm: float) -> Box:
        """The same rectangle, smaller by so much on each side."""
        return Box(
            self.x_mm + by_mm,
            self.y_mm + by_mm,
            self.width_mm - 2 * by_mm,
            self.height_mm - 2 * by_mm,
            self.tone,
        )

    @property
    def corners_mm(self) -> NDArray[np.float64]:
        """Corners (4, 2): top left, top right, bottom right, bottom left."""
        right, bottom = self.x_mm + self.width_mm, self.y_mm + self.height_mm
        return np.array(
            [[self.x_mm, self.y_mm], [right, self.y_mm], [right, bottom], [self.x_mm, bottom]]
        )


@dataclass(frozen=True, slots=True)
class Marker:
    """One fiducial marker: its number in the dictionary and its black square."""

    id: int
    box: Box

    @property
    def module_mm(self) -> float:
        """Side of its smallest square."""
        return self.box.width_mm / MODULES


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text on the card, black, set from its baseline."""

    text: str
    x_mm: float
    baseline_mm: float
    size_mm: float
    """Font size, not the height of its letters."""
    align: Literal["left", "middle"] = "left"
    bold: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLayout:
    """Everything that is printed on one card."""

    size: CardSize
    width_mm: float
    height_mm: float
    markers: tuple[Marker, ...]
    white: Box
    """The patch that shows the paper's white."""
    grey: Box
    black: Box
    lines: tuple[Box, ...]
    """Graduations and outlines; none touches another mark."""
    words: tuple[Words, ...]

    @property
    def outline_mm(self) -> NDArray[np.float64]:
        """The card's corners (4, 2), clockwise from the top left."""
        return Box(0, 0, self.width_mm, self.height_mm).corners_mm

    def boxes(self) -> tuple[Box, ...]:
        """All that is not white, as rectangles that do not overlap."""
        cells = (
            Box(
                marker.box.x_mm + column * marker.module_mm,
                marker.box.y_mm + row * marker.module_mm,
                marker.module_mm,
                marker.module_mm,
            )
            for marker in self.markers
            for row, column in np.argwhere(marker_cells(marker.id)).tolist()
        )
        return (*cells, self.grey, self.black, *self.lines)


@cache
def marker_cells(marker_id: int) -> NDArray[np.bool_]:
    """Which modules of a marker are black, frame and all: (7, 7), read-only."""
    from cv2 import aruco

    dictionary = aruco.getPredefinedDictionary(getattr(aruco, DICTIONARY))
    cells: NDArray[np.bool_] = np.equal(dictionary.generateImageMarker(marker_id, MODULES), 0)
    cells.flags.writeable = False
    return cells


def card_layout(size: CardSize) -> CardLayout:
    """The layout of the card of that size."""
    return _wallet() if size is CardSize.WALLET else _sheet()


def _markers(
    size: CardSize, places: list[tuple[float, float]], side_mm: float
) -> tuple[Marker, ...]:
    """Markers with their top-left corners at these places, in the order of their ids."""
    ids = MARKER_IDS[size]
    return tuple(
        Marker(number, Box(x, y, side_mm, side_mm))
        for number, (x, y) in zip(ids, places, strict=True)
    )


def _frame(inside: Box, line_mm: float) -> tuple[Box, ...]:
    """A thin outline just within a rectangle, as four bars that do not overlap."""
    x, y, width, height = inside.x_mm, inside.y_mm, inside.width_mm, inside.height_mm
    return (
        Box(x, y, width, line_mm),
        Box(x, y + height - line_mm, width, line_mm),
        Box(x, y + line_mm, line_mm, height - 2 * line_mm),
        Box(x + width - line_mm, y + line_mm, line_mm, height - 2 * line_mm),
    )


def _ticks(
    edge: Edge, at_mm: float, places_mm: list[float], lengths_mm: list[float], line_mm: float
) -> tuple[Box, ...]:
    """Graduation lines that stand on a card's edge, each centred on its place along it."""
    boxes = []
    for place, length in zip(places_mm, lengths_mm, strict=True):
        along = place - line_mm / 2
        inward = at_mm if edge in ("top", "left") else at_mm - length
        if edge in ("top", "bottom"):
            boxes.append(Box(along, inward, line_mm, length))
        else:
            boxes.append(Box(inward, along, length, line_mm))
    return tuple(boxes)


def _millimetres(
    edge: Edge, at_mm: float, zero_mm: float, count: int, small_mm: float
) -> tuple[Box, ...]:
    """Millimetre graduations: every fifth line longer, every tenth longer still."""
    lengths = [
        small_mm * (2.5 if n % 10 == 0 else 1.4 if n % 5 == 0 else 1.0) for n in range(count + 1)
    ]
    return _ticks(edge, at_mm, [zero_mm + n for n in range(count + 1)], lengths, 0.18)


def _inches(
    edge: Edge, at_mm: float, zero_mm: float, count: int, small_mm: float
) -> tuple[Box, ...]:
    """Inch graduations in sixteenths: the rounder the part, the longer the line."""
    steps = range(16 * count + 1)
    halvings = [next(k for k in range(5) if n % (16 >> k) == 0) for n in steps]
    lengths = [small_mm * (2.5, 1.9, 1.6, 1.3, 1.0)[k] for k in halvings]
    return _ticks(edge, at_mm, [zero_mm + n * MM_PER_INCH / 16 for n in steps], lengths, 0.18)


def _numerals(
    numbers: range, unit: str, zero_mm: float, *, step_mm: float, baseline_mm: float, size_mm: float
) -> tuple[Words, ...]:
    """Numbers right of their graduations, the unit after the first of them."""
    return tuple(
        Words(
            f"{n} {unit}" if n == numbers[0] else str(n),
            zero_mm + n * step_mm + 0.2 * size_mm,
            baseline_mm,
            size_mm,
        )
        for n in numbers
    )


def _wallet() -> CardLayout:
    """The small card: ID-1, 85.60 x 53.98 mm (ISO/IEC 7810)."""
    width, height, side = 85.60, 53.98, MODULES * 1.75
    columns = (4.0, (width - side) / 2, width - 4.0 - side)
    rows = (6.2, height - 6.2 - side)
    patches = [Box(4.0 + step * 11.5, (height - 10) / 2, 10, 10) for step in range(3)]
    zero_in = (width - 3 * MM_PER_INCH) / 2
    text_x, text_y = 40.2, (height - 10) / 2
    return CardLayout(
        size=CardSize.WALLET,
        width_mm=width,
        height_mm=height,
        markers=_markers(CardSize.WALLET, [(x, y) for y in rows for x in columns], side),
        white=patches[0].inset(0.2),
        grey=replace(patches[1], tone=GREY_SRGB),
        black=patches[2],
        lines=(
            *_frame(patches[0], 0.2),
            *_millimetres("top", 0, 2.8, 80, 1.4),
            *_inches("bottom", height, zero_in, 3, 1.4),
        ),
        words=(
            *_numerals(range(0, 80, 10), "mm", 2.8, step_mm=1, baseline_mm=3.7, size_mm=2.2),
            *_numerals(
                range(4), "in", zero_in, step_mm=MM_PER_INCH, baseline_mm=height - 2.1, size_mm=2.2
            ),
            Words("plaidcut scale card", text_x, text_y + 2.9, 3.6, bold=True),
            Words("cut out: 85.6 × 54.0 mm", text_x, text_y + 6.5, 2.8),
            Words("lay it flat on flat cloth", text_x, text_y + 9.9, 2.8),
        ),
    )


def _sheet() -> CardLayout:
    """The large card: 180 x 120 mm, which fits A4 and Letter upright."""
    width, height, side, inset = 180.0, 120.0, MODULES * 3.0, 11.0
    columns = (inset, (width - side) / 2, width - inset - side)
    rows = (inset, (height - side) / 2, height - inset - side)
    places = [(x, y) for y in rows for x in columns if (x, y) != (columns[1], rows[1])]
    patches = [Box(60.0 + step * 21.0, 37, 18, 18) for step in range(3)]
    zero_x_in, zero_y_in = (width - 6 * MM_PER_INCH) / 2, (height - 4 * MM_PER_INCH) / 2
    return CardLayout(
        size=CardSize.SHEET,
        width_mm=width,
        height_mm=height,
        markers=_markers(CardSize.SHEET, places, side),
        white=patches[0].inset(0.25),
        grey=replace(patches[1], tone=GREY_SRGB),
        black=patches[2],
        lines=(
            *_frame(patches[0], 0.25),
            *_millimetres("top", 0, 10, 160, 2),
            *_millimetres("left", 0, 10, 100, 2),
            *_inches("bottom", height, zero_x_in, 6, 2),
            *_inches("right", width, zero_y_in, 4, 2),
        ),
        words=(
            *_numerals(range(0, 170, 10), "mm", 10, step_mm=1, baseline_mm=5.0, size_mm=2.8),
            *_numerals(
                range(7),
                "in",
                zero_x_in,
                step_mm=MM_PER_INCH,
                baseline_mm=height - 3.0,
                size_mm=2.8,
            ),
            Words("plaidcut scale card", width / 2, 66.5, 6.4, "middle", bold=True),
            Words("cut out: 180 × 120 mm", width / 2, 73.5, 4.4, "middle"),
            Words("lay it flat on flat cloth", width / 2, 79.5, 4.4, "middle"),
        ),
    )
