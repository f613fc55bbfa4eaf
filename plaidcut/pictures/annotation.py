"""Where everything goes on the photo with its bands marked; nothing is drawn here."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.pictures.ink import text_width_px
from plaidcut.pictures.places import Box, spread
from plaidcut.pictures.ribbon import Ribbon, Segment, ribbon_of
from plaidcut.scale.plane import Method
from plaidcut.stripes.corrections import ByHand
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem
from plaidcut.stripes.runs import occurrences
from plaidcut.units import Units, ruler_inches

Points = NDArray[np.float64]

PHOTO_WIDTH_PX: Final = 1300
PHOTO_HEIGHT_PX: Final = 1500
"""The photo is drawn as large as fits within these: a phone shows such a picture whole."""

ID_PX: Final = 30
LIST_PX: Final = 30
HEADING_PX: Final = 34
NOTE_PX: Final = 28
"""Heights of lettering; under 26 it can't be read on a phone."""

PAD_PX: Final = 18
ID_BOX_PX: Final = (70, 48)
"""Room of an id, with the swatch under it."""
ROW_PX: Final = 46
SWATCH_PX: Final = 40
SHOWN_PX: Final = 32
"""Breadth of the ribbon where it shows one of each band: lines from the ids end at it."""
MOST_LANES: Final = 2
"""Rows of ids beside the photo; lines to the outer one pass between those of the inner."""

_MARK_WORDS: Final = {
    Method.CARD: "card",
    Method.RECTANGLE: "rectangle",
    Method.RULER: "ruler",
}

_HEADINGS: Final = {Direction.UP: "Up and down", Direction.ACROSS: "Side to side"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Words, and the room they take."""

    text: str
    box: Box
    size_px: int
    hex: str | None = None
    """Colour of the swatch that goes with it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Annotation:
    """All that is drawn, in pixels of the finished picture."""

    size_px: tuple[int, int]
    photo_box: Box
    ribbons: tuple[Ribbon, ...]
    leaders: tuple[Points, ...]
    """From each id to its band, (3, 2)."""
    ids: tuple[Label, ...]
    listed: tuple[Label, ...]
    """The list below the photo; headings have no swatch."""
    mark_px: Points | None
    left_out_px: tuple[Points, ...]
    notes: tuple[Label, ...]
    """Words on the photo: what the mark is, why something was left out."""


def annotation_of(
    measurement: Measurement, size_px: tuple[int, int], *, units: Units = Units.IN
) -> Annotation:
    """Lay out the annotated picture.

    Parameters
    ----------
    measurement
        What was measured.
    size_px
        Width and height of the upright photo.
    units
        The unit that widths are shown in.
    """
    scale = min(PHOTO_WIDTH_PX / size_px[0], PHOTO_HEIGHT_PX / size_px[1])
    found = [
        ribbon_of(
            system,
            size_px=size_px,
            hidden_px=_hidden(measurement),
            clear_px=SHOWN_PX / scale,
        )
        for system in measurement.systems
    ]
    room = [round(side * scale) for side in size_px]
    lanes = [
        _lanes(0 if ribbon is None else len(ribbon.shown), room[axis], axis)
        for axis, ribbon in enumerate(found)
    ]
    left, top = (PAD_PX + lanes[1 - axis] * (ID_BOX_PX[axis] + PAD_PX) for axis in (0, 1))
    photo = Box(left, top, left + room[0], top + room[1])

    def to_picture(points_px: Points) -> Points:
        return np.asarray((points_px + 0.5) * scale - 0.5 + [left, top])

    ribbons = [ribbon.mapped(to_picture) for ribbon in found if ribbon is not None]
    placed = [
        each
        for ribbon in ribbons
        for each in _beside(ribbon, measurement.system(ribbon.direction), photo, lanes)
    ]
    mark = None if measurement.scale is None else measurement.scale.mark_px
    left_out = measurement.cloth.left_out
    outlines = [to_picture(each.outline_px) for each in left_out]
    reasons = [
        (each.code.replace("-", " "), line) for each, line in zip(left_out, outlines, strict=True)
    ]
    if mark is not None and measurement.scale is not None:
        word = _MARK_WORDS.get(measurement.scale.method, "scale")
        reasons.insert(0, (word, to_picture(mark)))
    width = photo.right + PAD_PX
    listed = _listed(measurement, units, top=photo.bottom + PAD_PX, width=width)
    return Annotation(
        size_px=(round(width), round(max(each.box.bottom for each in listed) + PAD_PX)),
        photo_box=photo,
        ribbons=tuple(ribbons),
        leaders=tuple(leader for _, leader in placed),
        ids=tuple(label for label, _ in placed),
        listed=tuple(listed),
        mark_px=None if mark is None else to_picture(mark),
        left_out_px=tuple(outlines),
        notes=tuple(_notes(reasons, photo)),
    )


def _hidden(measurement: Measurement) -> list[Points]:
    """Polygons (N, 2) of the photo where no cloth is seen."""
    mark = None if measurement.scale is None else measurement.scale.mark_px
    outlines = [each.outline_px for each in measurement.cloth.left_out]
    if mark is not None:
        outlines.append(mark)
    return [outline for outline in outlines if len(outline) > 2]


def _lanes(count: int, room_px: float, axis: int) -> int:
    """How many rows of ids (axis 0), or columns (axis 1), so many need."""
    needed = math.ceil(count * (ID_BOX_PX[axis] + PAD_PX) / room_px)
    return min(needed, MOST_LANES)


def _beside(
    ribbon: Ribbon, system: ThreadSystem, photo: Box, lanes: Sequence[int]
) -> list[tuple[Label, Points]]:
    """The ids of a ribbon's bands, above the photo or left of it, and the lines to them."""
    axis = 0 if ribbon.direction is Direction.UP else 1
    across = 1 - axis
    low, high = ((photo.left, photo.right), (photo.top, photo.bottom))[axis]
    edge = (photo.left, photo.top)[across]
    half = ID_BOX_PX[axis] / 2
    apart = (ID_BOX_PX[axis] + PAD_PX) / lanes[axis]
    shown = _evenly(ribbon.shown, int((high - low - 2 * half) // apart) + 1)
    middles = np.array([each.middle_px for each in shown])
    places = spread(middles[:, axis], apart=apart, low=low + half, high=high - half)
    placed = []
    for number, (segment, place) in enumerate(zip(shown, places, strict=True)):
        lane = number % lanes[axis]
        near = edge - PAD_PX / 2 - lane * (ID_BOX_PX[across] + PAD_PX)
        center = np.empty(2)
        center[axis], center[across] = place, near - ID_BOX_PX[across] / 2
        label = Label(
            text=segment.band_id,
            box=_around(center, ID_BOX_PX),
            size_px=ID_PX,
            hex=system.band(segment.band_id).yarn.hex,
        )
        leader = np.empty((3, 2))
        leader[:2, axis] = place
        leader[:2, across] = near, edge
        leader[2] = _near_side(segment, across)
        placed.append((label, leader))
    return placed


def _near_side(segment: Segment, across: int) -> Points:
    """The middle of the ribbon's side that faces the ids, (2,)."""
    ahead = segment.end_px - segment.start_px
    aside = np.array([-ahead[1], ahead[0]]) / np.hypot(*ahead) * SHOWN_PX / 2
    return np.asarray(segment.middle_px - aside * np.sign(aside[across]))


def _evenly(segments: Sequence[Segment], most: int) -> list[Segment]:
    """All of them, or as many as there is room for, evenly spaced; the list has them all."""
    if len(segments) <= most:
        return list(segments)
    return [segments[k] for k in np.linspace(0, len(segments) - 1, most).round().astype(int)]


def _around(center: Points, size: tuple[float, float]) -> Box:
    (x, y), (width, height) = center.tolist(), size
    return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _listed(measurement: Measurement, units: Units, *, top: float, width: float) -> list[Label]:
    """The list of bands, the two systems side by side where they fit, else one below the other."""
    columns = [_column(system, units) for system in measurement.systems]
    needed = [
        max(
            text_width_px(text, size) + (SWATCH_PX + PAD_PX if swatch else 0)
            for text, size, swatch in rows
        )
        for rows in columns
    ]
    beside = sum(needed) + 3 * PAD_PX <= width
    lefts = [PAD_PX, max(width / 2, 2 * PAD_PX + needed[0])] if beside else [PAD_PX, PAD_PX]
    labels = []
    at = top
    for rows, left in zip(columns, lefts, strict=True):
        if beside:
            at = top
        for text, size, swatch in rows:
            indent = SWATCH_PX + PAD_PX if swatch else 0
            right = left + indent + text_width_px(text, size)
            labels.append(
                Label(text=text, box=Box(left, at, right, at + ROW_PX), size_px=size, hex=swatch)
            )
            at += ROW_PX
        at += PAD_PX
    return labels


def _column(system: ThreadSystem, units: Units) -> list[tuple[str, int, str | None]]:
    """The rows of one system: words, their height, and the colour of their swatch."""
    heading = _HEADINGS[system.direction]
    if not system.striped:
        own = system.bands[0].yarn
        return [(f"{heading}: no stripes", HEADING_PX, None), (own.spoken, LIST_PX, own.hex)]
    if system.repeat_mm is not None:
        heading += f": repeat {_width(system.repeat_mm, units)}"
    bold = _bold(system)
    rows: list[tuple[str, int, str | None]] = [(heading, HEADING_PX, None)]
    for band in system.bands:
        over = "over " if band.partial else ""
        words = f"{band.id}  {band.yarn.name}  {over}{_width(band.width_mm, units)}"
        words += ", bold" if band.id in bold else ""
        words += ", by hand" if {*band.by_hand} - {ByHand.NAME} else ""
        rows.append((words, LIST_PX, band.yarn.hex))
    return rows


def _bold(system: ThreadSystem) -> set[str]:
    """The ids of all bold bands, twins of a mirrored sett among them."""
    circular, count = system.repeat_mm is not None, len(system.bands)
    return {
        system.bands[(start + k) % count].id
        for stripe in system.stripes
        for run in [[system.band(band_id) for band_id in stripe.bands]]
        for start in occurrences(system.bands, run, circular=circular)
        for k in range(len(run))
    }


def _width(width_mm: float, units: Units) -> str:
    """A width in few letters: the report has it to the last digit."""
    return f"{ruler_inches(width_mm)} in" if units is Units.IN else f"{width_mm:.1f} mm"


def _notes(reasons: Sequence[tuple[str, Points]], photo: Box) -> list[Label]:
    """Words on the photo, each as near to the middle of its outline as there is room."""
    placed: list[Label] = []
    for text, outline in reasons:
        size = (text_width_px(text, NOTE_PX) + PAD_PX, NOTE_PX + PAD_PX)
        low = np.array([photo.left, photo.top])
        high = np.array([photo.right, photo.bottom])
        middle = np.clip(outline, low, high).mean(axis=0)
        places = [
            np.array([x, y])
            for x in np.arange(photo.left + size[0] / 2, photo.right - size[0] / 2, PAD_PX)
            for y in np.arange(photo.top + size[1] / 2, photo.bottom - size[1] / 2, PAD_PX)
        ]
        places.sort(key=lambda place: float(np.hypot(*(place - middle))))
        for place in places:
            box = _around(place, size)
            if not any(box.meets(other.box) for other in placed):
                placed.append(Label(text=text, box=box, size_px=NOTE_PX))
                break
    return placed
