"""The upright photo with the bands of both thread systems marked.

A ribbon across the threads shows where each band begins and ends, in its yarn's colour. One
repeat of it is broader, and lines lead from its bands to their ids beside the photo; below,
a list says each band's colour and width. The mark that gave the scale is outlined, and what
was left out is hatched, with the reason.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.photo import Photo
from plaidcut.pictures.annotation import SHOWN_PX, SWATCH_PX, Annotation, Label, annotation_of
from plaidcut.pictures.ink import (
    DARK,
    LIGHT,
    Picture,
    draw_line,
    font_of,
    hatch,
    rgb_of_hex,
    text_width_px,
)
from plaidcut.pictures.ribbon import Ribbon, Segment
from plaidcut.stripes.measurement import Measurement, ThreadSystem
from plaidcut.units import Units

BACKGROUND: Final = (250, 249, 246)

RIBBON_PX: Final = 10
"""Breadth of the ribbon; where it shows one of each band it is ``SHOWN_PX``."""

INNER_OPACITY: Final = 0.45
"""Of the edges inside a repeat: seen, but not hiding the stripes that they follow."""


def annotated_photo(photo: Photo, measurement: Measurement, *, units: Units = Units.IN) -> Picture:
    """The photo with its bands marked, ready to be looked at on a phone.

    Parameters
    ----------
    photo
        The photo ...
    measurement
        ... and what was measured in it.
    units
        The unit that widths are shown in.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3)
        sRGB.
    """
    plan = annotation_of(measurement, photo.size_px, units=units)
    picture = _with_photo(plan, photo.pixels)
    for ribbon in plan.ribbons:
        _draw_edges(picture, ribbon, plan)
    for outline in plan.left_out_px:
        hatch(picture, outline)
    if plan.mark_px is not None:
        draw_line(picture, plan.mark_px, width=4, casing=3, closed=True)
    for ribbon in plan.ribbons:
        system = measurement.system(ribbon.direction)
        _draw_segments(picture, ribbon.segments, system, RIBBON_PX)
    for ribbon in plan.ribbons:
        system = measurement.system(ribbon.direction)
        _draw_segments(picture, ribbon.shown, system, SHOWN_PX)
    picture = _framed(picture, plan)
    for leader in plan.leaders:
        draw_line(picture, leader, width=2, casing=2)
    return _lettered(picture, plan)


def _with_photo(plan: Annotation, pixels: NDArray[np.uint8]) -> Picture:
    """The empty picture with the photo in its place."""
    import cv2

    box = plan.photo_box
    size = (round(box.right - box.left), round(box.bottom - box.top))
    smaller = size[0] < pixels.shape[1]
    photo = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA if smaller else cv2.INTER_CUBIC)
    picture = np.full((plan.size_px[1], plan.size_px[0], 3), BACKGROUND, np.uint8)
    left, top = round(box.left), round(box.top)
    picture[top : top + size[1], left : left + size[0]] = photo
    return picture


def _framed(picture: Picture, plan: Annotation) -> Picture:
    """The same picture with nothing drawn beyond the photo's edge."""
    box = plan.photo_box
    left, top, right, bottom = (round(each) for each in (box.left, box.top, box.right, box.bottom))
    framed = np.full_like(picture, BACKGROUND)
    framed[top:bottom, left:right] = picture[top:bottom, left:right]
    return framed


def _draw_edges(picture: Picture, ribbon: Ribbon, plan: Annotation) -> None:
    """Draw the edges of the bands shown along their threads, the repeat's ends the stronger."""
    import cv2

    before = picture.copy()
    for line in ribbon.lines_px[1:-1]:
        draw_line(picture, line, width=1, casing=1)
    cv2.addWeighted(picture, INNER_OPACITY, before, 1 - INNER_OPACITY, 0, dst=picture)
    for line in (ribbon.lines_px[0], ribbon.lines_px[-1]):
        draw_line(picture, line, width=2, casing=1)
    if plan.mark_px is not None:
        marked = np.zeros(picture.shape[:2], np.uint8)
        cv2.fillPoly(marked, [np.rint(plan.mark_px).astype(np.int32)], 1)
        picture[marked > 0] = before[marked > 0]


def _draw_segments(
    picture: Picture, segments: Sequence[Segment], system: ThreadSystem, breadth: int
) -> None:
    """Draw bands of a ribbon in their yarns' colours, dark and light lines between them."""
    import cv2

    for grown, ink in ((6, DARK), (3, LIGHT), (0, None)):
        for each in segments:
            ahead = each.end_px - each.start_px
            ahead = ahead / np.hypot(*ahead)
            aside = np.array([-ahead[1], ahead[0]]) * (breadth / 2 + grown)
            start, end = each.start_px - ahead * grown, each.end_px + ahead * grown
            corners = np.stack([start - aside, end - aside, end + aside, start + aside])
            colour = ink or rgb_of_hex(system.band(each.band_id).yarn.hex)
            cv2.fillPoly(picture, [np.rint(corners * 16).astype(np.int32)], colour, cv2.LINE_AA, 4)
    for each in segments:
        ahead = each.end_px - each.start_px
        aside = np.array([-ahead[1], ahead[0]]) / np.hypot(*ahead) * breadth / 2
        for end in (each.start_px, each.end_px):
            draw_line(picture, np.stack([end - aside, end + aside]), width=1, casing=1)


def _lettered(picture: Picture, plan: Annotation) -> Picture:
    """The picture with all words and swatches."""
    from PIL import Image, ImageDraw

    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)

    def swatch(left: float, top: float, right: float, bottom: float, colour: str) -> None:
        pen.rectangle((left, top, right, bottom), fill=colour, outline=DARK, width=2)

    def words(label: Label, x: float, y: float, anchor: str) -> None:
        pen.text((x, y), label.text, fill=DARK, font=font_of(label.size_px), anchor=anchor)

    for label in plan.ids:
        box = label.box
        words(label, (box.left + box.right) / 2, box.top, "mt")
        if label.hex:
            swatch(box.left + 8, box.bottom - 14, box.right - 8, box.bottom, label.hex)
    for label in plan.listed:
        box, indent = label.box, 0.0
        middle = (box.top + box.bottom) / 2
        if label.hex:
            swatch(box.left, middle - 14, box.left + SWATCH_PX, middle + 14, label.hex)
            indent = box.right - box.left - text_width_px(label.text, label.size_px)
        words(label, box.left + indent, middle, "lm")
    for label in plan.notes:
        box = label.box
        pen.rounded_rectangle(
            (box.left, box.top, box.right, box.bottom), 8, fill=LIGHT, outline=DARK, width=2
        )
        words(label, (box.left + box.right) / 2, (box.top + box.bottom) / 2, "mm")
    return np.asarray(image)
