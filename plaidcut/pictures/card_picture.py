"""The scale card as a picture: the card alone, its edges being the picture's edges."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import UsageError
from plaidcut.scale.card_layout import Box, CardSize, Words, card_layout
from plaidcut.srgb import light_table, srgb_of_light
from plaidcut.units import MM_PER_INCH

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

DPI_RANGE: Final = (72, 2400)
"""Dots per inch that can be drawn: markers still legible, picture within 200 megapixels."""

FINER: Final = 4
"""Each pixel's share of a letter is counted on this many by this many points."""


def card_picture(size: CardSize, *, dpi: int = 600) -> NDArray[np.uint8]:
    """Draw the card at so many dots per inch.

    Parameters
    ----------
    size
        Which card.
    dpi
        Dots per inch. Width and height are rounded to whole pixels and the
        drawing is fitted to them, so the true resolution differs from this by
        less than half a pixel over the card.

    Returns
    -------
    ndarray of uint8, shape (height, width, 3)
        sRGB. Each pixel holds the mean *light* (linear) of the area it covers:
        rectangles exactly, letters to 1/16 of a pixel.

    Raises
    ------
    UsageError
        If ``dpi`` is outside `DPI_RANGE`.
    """
    least, most = DPI_RANGE
    if not least <= dpi <= most:
        msg = f"The card can't be drawn at {dpi} dots per inch."
        raise UsageError(msg, hint=f"Choose from {least} to {most}; 600 suits most uses.")
    layout = card_layout(size)
    width_px = round(layout.width_mm / MM_PER_INCH * dpi)
    height_px = round(layout.height_mm / MM_PER_INCH * dpi)
    px_per_mm = (width_px / layout.width_mm, height_px / layout.height_mm)

    light = np.ones((height_px, width_px), np.float32)
    for box in layout.boxes():
        _darken(light, box, px_per_mm)
    for words in layout.words:
        _write(light, words, px_per_mm)
    tone = np.rint(255 * srgb_of_light(light)).astype(np.uint8)
    return np.repeat(tone[:, :, np.newaxis], 3, axis=2)


def card_png_bytes(size: CardSize, *, dpi: int = 600) -> bytes:
    """The same as a PNG file's bytes, its resolution noted in it."""
    from io import BytesIO

    from PIL import Image

    file = BytesIO()
    Image.fromarray(card_picture(size, dpi=dpi)).save(file, "PNG", dpi=(dpi, dpi))
    return file.getvalue()


def font_file(*, bold: bool) -> str:
    """Path of the card's typeface (Bitstream Vera, which comes with ReportLab)."""
    from pathlib import Path

    import reportlab

    name = "VeraBd.ttf" if bold else "Vera.ttf"
    return str(Path(reportlab.__file__).parent / "fonts" / name)


def _darken(light: NDArray[np.float32], box: Box, px_per_mm: tuple[float, float]) -> None:
    """Take from each pixel, in place, the light that a box covers of it."""
    height_px, width_px = light.shape
    columns, x_share = _shares(box.x_mm * px_per_mm[0], box.width_mm * px_per_mm[0], width_px)
    rows, y_share = _shares(box.y_mm * px_per_mm[1], box.height_mm * px_per_mm[1], height_px)
    lost = 1 - light_table()[box.tone]
    light[rows, columns] -= (lost * np.outer(y_share, x_share)).astype(np.float32)


def _shares(start_px: float, length_px: float, count: int) -> tuple[slice, NDArray[np.float64]]:
    """Pixels that an interval touches, and what share of each it covers."""
    first, last = max(int(start_px), 0), min(int(np.ceil(start_px + length_px)), count)
    borders = np.clip(np.arange(first, last + 1), start_px, start_px + length_px)
    return slice(first, last), np.diff(borders)


def _write(light: NDArray[np.float32], words: Words, px_per_mm: tuple[float, float]) -> None:
    """Set a line of text in black, in place."""
    from PIL import Image, ImageDraw, ImageFont

    size_px = words.size_mm * px_per_mm[1] * FINER
    font: FreeTypeFont = ImageFont.truetype(font_file(bold=words.bold), size_px)
    length_px = font.getlength(words.text) / FINER
    left = words.x_mm * px_per_mm[0] - (length_px / 2 if words.align == "middle" else 0)
    baseline = words.baseline_mm * px_per_mm[1]

    room = int(np.ceil(words.size_mm * px_per_mm[1]))
    x0, y0 = int(left) - 1, int(baseline) - room
    wide, high = int(np.ceil(length_px)) + 3, 2 * room
    canvas = Image.new("L", (wide * FINER, high * FINER), 0)
    at = ((left - x0) * FINER, (baseline - y0) * FINER)
    ImageDraw.Draw(canvas).text(at, words.text, fill=255, font=font, anchor="ls")
    fine = np.asarray(canvas, np.float32) / 255
    share = fine.reshape(high, FINER, wide, FINER).mean(axis=(1, 3))
    region = light[y0 : y0 + high, x0 : x0 + wide]
    region *= 1 - share[: region.shape[0], : region.shape[1]]
