"""Drawing that stays legible on any cloth: dark ink in a light casing, and lettering."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

Points = NDArray[np.float64]
Picture = NDArray[np.uint8]
Rgb = tuple[int, int, int]

DARK: Final[Rgb] = (20, 20, 24)
LIGHT: Final[Rgb] = (255, 255, 255)
_SUBPIXEL_BITS: Final = 4


@cache
def font_of(size_px: int) -> FreeTypeFont:
    """The lettering that comes with Pillow, in a size in pixels."""
    from PIL import ImageFont

    font = ImageFont.load_default(size_px)
    if not isinstance(font, ImageFont.FreeTypeFont):
        msg = "Pillow was built without FreeType and can't draw lettering."
        raise TypeError(msg)
    return font


def text_width_px(text: str, size_px: int) -> float:
    """How wide words are in that height of lettering."""
    return float(font_of(size_px).getlength(text))


def rgb_of_hex(text: str) -> Rgb:
    """Red, green and blue, 0..255, of ``#rrggbb``."""
    red, green, blue = bytes.fromhex(text.removeprefix("#"))
    return (red, green, blue)


def draw_line(
    picture: Picture,
    line_px: Points,
    *,
    width: int,
    colour: Rgb = DARK,
    casing: int = 0,
    closed: bool = False,
) -> None:
    """Draw a polyline (N, 2) into a picture, in a light casing ``casing`` wide on each side."""
    import cv2

    points = [_fixed(line_px)]
    if casing:
        cv2.polylines(
            picture, points, closed, LIGHT, width + 2 * casing, cv2.LINE_AA, _SUBPIXEL_BITS
        )
    cv2.polylines(picture, points, closed, colour, width, cv2.LINE_AA, _SUBPIXEL_BITS)


def hatch(picture: Picture, polygon_px: Points, *, step: int = 22) -> None:
    """Hatch a polygon (N, 2), dark and light lines side by side, so that it shows anywhere."""
    import cv2

    height, width = picture.shape[:2]
    inside = np.zeros((height, width), np.uint8)
    cv2.fillPoly(inside, [_fixed(polygon_px)], 255, cv2.LINE_AA, _SUBPIXEL_BITS)
    lined = picture.copy()
    for offset in range(-height, width, step):
        for colour, shift in ((LIGHT, 0), (DARK, 4)):
            start, end = (offset + shift, 0), (offset + shift + height, height)
            cv2.line(lined, start, end, colour, 3, cv2.LINE_AA)
    picture[inside > 127] = lined[inside > 127]
    draw_line(picture, polygon_px, width=3, casing=2, closed=True)


def _fixed(points_px: Points) -> NDArray[np.int32]:
    return np.rint(points_px * 2**_SUBPIXEL_BITS).astype(np.int32)
