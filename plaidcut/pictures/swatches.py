"""Sheets of strips and of hooked swatches, for several cuts and both directions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from plaidcut.cutting.cuts import Cut
from plaidcut.pictures.hooked import swatch
from plaidcut.pictures.ink import DARK, Picture, font_of
from plaidcut.pictures.laid_straight import Straight
from plaidcut.pictures.strip_cuts import cut_strips, strips_picture
from plaidcut.stripes.measurement import Direction

PAPER: Final = (250, 249, 246)
TEXT_PX: Final = 17
SWATCH_PX: Final = 150
ROUGH: Final = "A rough idea only: hook a 3 in square before you trust it."


def strips_sheet(cloth: Straight, cut: Cut) -> Picture:
    """Strips of one cut, both directions, as they come and sorted by value."""
    rows = []
    for direction, laid in _both(cloth):
        strips = cut_strips(laid, cut.width_mm)
        for words, shown in (("as they come", strips), ("light to dark", strips.by_value())):
            heading = f"{cut.label} strips running {direction.spoken}, {words}"
            rows.append((heading, strips_picture(shown, px_per_mm=3.0, length_mm=50.0, most=48)))
    return _under_headings(rows)


def swatch_sheet(cloth: Straight, cuts: Sequence[Cut]) -> Picture:
    """Swatches of every cut, both directions side by side: rows, a spiral, sorted rows."""
    gap = np.full((SWATCH_PX, 8, 3), PAPER, np.uint8)
    between = np.full((SWATCH_PX, 24, 3), PAPER, np.uint8)
    rows = []
    for cut in cuts:
        looks: list[Picture] = []
        for _, laid in _both(cloth):
            strips = cut_strips(laid, cut.width_mm)
            looks += [
                swatch(strips, px=SWATCH_PX),
                gap,
                swatch(strips, spiral=True, px=SWATCH_PX),
                gap,
                swatch(strips.by_value(), px=SWATCH_PX),
                between,
            ]
        rows.append((cut.label, np.concatenate(looks[:-1], axis=1)))
    runs = " | ".join(f"running {direction.spoken}" for direction in Direction)
    return _under_headings(rows, head=f"{runs}: rows, a spiral, rows sorted by value", foot=ROUGH)


def _both(cloth: Straight) -> tuple[tuple[Direction, Straight], tuple[Direction, Straight]]:
    return (Direction.UP, cloth), (Direction.ACROSS, cloth.turned())


def _under_headings(
    rows: Sequence[tuple[str, Picture]], *, head: str = "", foot: str = ""
) -> Picture:
    """Pictures below each other, each under its heading."""
    from PIL import Image, ImageDraw

    wide = max([picture.shape[1] for _, picture in rows] + [700]) + 40
    high = sum(picture.shape[0] + 2 * TEXT_PX + 18 for _, picture in rows) + 30
    high += 2 * TEXT_PX * (bool(head) + bool(foot))
    image = Image.new("RGB", (wide, high), PAPER)
    pen = ImageDraw.Draw(image)
    top = 16
    if head:
        pen.text((20, top), head, fill=DARK, font=font_of(TEXT_PX))
        top += 2 * TEXT_PX
    for heading, picture in rows:
        pen.text((20, top), heading, fill=DARK, font=font_of(TEXT_PX))
        image.paste(Image.fromarray(picture), (20, top + TEXT_PX + 10))
        top += picture.shape[0] + 2 * TEXT_PX + 18
    if foot:
        pen.text((20, top), foot, fill=DARK, font=font_of(TEXT_PX))
    return np.asarray(image)
