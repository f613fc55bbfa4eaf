"""The photo with every loose strip outlined, numbered, and its cut written beside it.

Strips that are counted are drawn whole; odd ones, and those of no sure cut, are dashed.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cutting.which_cut import NamedStrip, NamedStrips, cut_words
from plaidcut.photo import Photo
from plaidcut.pictures.ink import (
    DARK,
    LIGHT,
    Picture,
    Points,
    draw_line,
    font_of,
    rgb_of_hex,
    text_width_px,
)
from plaidcut.units import Units, format_length

LONGEST_PX: Final = 2400
"""Longer side of the picture: fine lettering stays legible on a phone."""
LETTERS_PX: Final = 26
PAD_PX: Final = 8
DASH_PX: Final = 14
SWATCH_PX: Final = 22


def loose_picture(photo: Photo, named: NamedStrips, *, units: Units = Units.IN) -> Picture:
    """The photo with its strips marked, ready to be looked at on a phone.

    Parameters
    ----------
    photo
        The photo ...
    named
        ... and the strips that were found in it.
    units
        The unit that widths are shown in.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3)
        sRGB.
    """
    import cv2

    width, height = photo.size_px
    scale = min(1.0, LONGEST_PX / max(width, height))
    size = (round(width * scale), round(height * scale))
    picture = np.asarray(
        cv2.resize(photo.pixels, size, interpolation=cv2.INTER_AREA), np.uint8
    ).copy()
    mark = named.loose.scale.mark_px
    if mark is not None:
        draw_line(picture, _to_picture(mark, scale), width=3, casing=2, closed=True)
    for each in named.strips:
        for outline in each.strip.outlines_px:
            _outline(picture, _to_picture(outline, scale), dashed=each.counted is None)
    return _lettered(picture, named, scale, units)


def _to_picture(points_px: Points, scale: float) -> Points:
    return np.asarray((points_px + 0.5) * scale - 0.5)


def _outline(picture: Picture, line: Points, *, dashed: bool) -> None:
    """Draw a closed line, in dashes if asked for."""
    if not dashed:
        draw_line(picture, line, width=2, casing=2, closed=True)
        return
    ring = np.vstack([line, line[:1]])
    along = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1))])
    for start in np.arange(0, along[-1], 2 * DASH_PX):
        at = np.linspace(start, min(start + DASH_PX, along[-1]), 6)
        part = np.column_stack([np.interp(at, along, ring[:, k]) for k in range(2)])
        draw_line(picture, part, width=2, casing=2)


def _lettered(picture: Picture, named: NamedStrips, scale: float, units: Units) -> Picture:
    """The same picture with a label beside the middle of each strip."""
    from PIL import Image, ImageDraw

    image = Image.fromarray(picture)
    pen = ImageDraw.Draw(image)
    placed: list[NDArray[np.float64]] = []
    for each in named.strips:
        text = strip_label(each, units)
        size = np.array(
            [text_width_px(text, LETTERS_PX) + 3 * PAD_PX + SWATCH_PX, LETTERS_PX + 2 * PAD_PX]
        )
        middle = _to_picture(np.array(each.strip.middle_px), scale)
        box = _free_box(middle, size, np.array(image.size, float), placed)
        placed.append(box)
        left, top, right, bottom = box.tolist()
        pen.rounded_rectangle((left, top, right, bottom), 8, fill=LIGHT, outline=DARK, width=2)
        swatch = (left + PAD_PX, (top + bottom - SWATCH_PX) / 2)
        pen.rectangle(
            (*swatch, swatch[0] + SWATCH_PX, swatch[1] + SWATCH_PX),
            fill=rgb_of_hex(each.strip.reads.hex),
            outline=DARK,
        )
        pen.text(
            (left + 2 * PAD_PX + SWATCH_PX, (top + bottom) / 2),
            text,
            fill=DARK,
            font=font_of(LETTERS_PX),
            anchor="lm",
        )
    return np.asarray(image)


def strip_label(each: NamedStrip, units: Units) -> str:
    """``3: 6.4 mm, #8``; a mark of interrogation where something is odd."""
    width = (
        format_length(each.strip.width_mm, units)
        if units is Units.IN
        else (f"{each.strip.width_mm:.1f} mm")
    )
    doubt = " ?" if each.counted is None and each.named.cut is not None else ""
    return f"{each.strip.number}: {width}, {cut_words(each.named)}{doubt}"


def _free_box(
    middle: Points, size: Points, room: Points, placed: list[NDArray[np.float64]]
) -> NDArray[np.float64]:
    """A box (left, top, right, bottom) near a point, off the others and in the picture."""
    tries = [np.zeros(2)] + [
        reach * np.array([np.cos(turn), np.sin(turn)])
        for reach in np.arange(30, 420, 30)
        for turn in np.linspace(0, 2 * np.pi, 12, endpoint=False)
    ]
    first = None
    for off in tries:
        low = np.clip(middle + off - size / 2, 0, room - size)
        box = np.concatenate([low, low + size])
        first = box if first is None else first
        if not any(
            box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]
            for other in placed
        ):
            return box
    return np.asarray(first)
