"""One repeat of each system in the colours that strips read, to scale, over a ruler."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.pictures.ink import DARK, Picture, font_of, text_width_px
from plaidcut.pictures.places import spread
from plaidcut.stripes.measurement import Measurement, ThreadSystem
from plaidcut.units import MM_PER_INCH, Units

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

WIDE_PX: Final = 1120
MARGIN_PX: Final = 40
BAND_PX: Final = 110
TEXT_PX: Final = 17
PAPER: Final = (250, 249, 246)
MOST_PX_PER_MM: Final = 12.0
"""A repeat of a few millimetres isn't blown up further than that."""


def band_row(measurement: Measurement, *, units: Units = Units.IN) -> Picture:
    """Draw a row of bands for each system that has stripes, (H, W, 3) sRGB.

    Bold stripes have a bar above them, and every band its id.
    """
    from PIL import Image, ImageDraw

    striped = [system for system in measurement.systems if system.striped]
    high_px = BAND_PX + 8 * TEXT_PX
    image = Image.new("RGB", (WIDE_PX, max(1, len(striped)) * high_px + MARGIN_PX), PAPER)
    pen = ImageDraw.Draw(image)
    for number, system in enumerate(striped):
        _draw(pen, system, MARGIN_PX / 2 + number * high_px, units)
    if not striped:
        pen.text((MARGIN_PX, MARGIN_PX), "No stripes.", fill=DARK, font=font_of(TEXT_PX))
    return np.asarray(image)


def _draw(pen: ImageDraw, system: ThreadSystem, top: float, units: Units) -> None:
    whole_mm = sum(band.width_mm for band in system.bands)
    scale = min(MOST_PX_PER_MM, (WIDE_PX - 2 * MARGIN_PX) / whole_mm)
    row = top + 2.6 * TEXT_PX
    what = "One repeat" if system.repeat_mm else "All that was seen"
    pen.text(
        (MARGIN_PX, top),
        f"{what} of the bands running {system.direction.spoken}",
        fill=DARK,
        font=font_of(TEXT_PX),
    )
    at, middles = float(MARGIN_PX), []
    spans: dict[str, tuple[float, float]] = {}
    for band in system.bands:
        right = at + band.width_mm * scale
        pen.rectangle((at, row, right, row + BAND_PX), fill=band.reads.hex, outline=DARK)
        middles.append((at + right) / 2)
        spans[band.id] = (at, right)
        at = right
    for stripe in system.stripes:
        left, right = spans[stripe.bands[0]][0], spans[stripe.bands[-1]][1]
        if right > left:
            pen.rectangle((left, row - 9, right, row - 4), fill=DARK)
    _names(pen, [band.id for band in system.bands], middles, row + BAND_PX + TEXT_PX, at)
    _ruler(pen, row + BAND_PX + 2.2 * TEXT_PX, whole_mm, scale, units)


def _names(pen: ImageDraw, ids: list[str], middles: list[float], line: float, end: float) -> None:
    """Ids under their bands; every second or third where there is no room for all."""
    apart = max(text_width_px(each, TEXT_PX) for each in ids) + 6
    room = int(max(end - MARGIN_PX - apart, 0) // apart) + 1
    step = -(-len(ids) // room)
    shown = list(zip(ids, middles, strict=True))[::step]
    places = spread(
        [middle for _, middle in shown], apart=apart, low=MARGIN_PX, high=max(end, MARGIN_PX + 1)
    )
    for place, (name, _) in zip(places, shown, strict=True):
        pen.text((place, line), name, fill=DARK, font=font_of(TEXT_PX), anchor="mm")


def _ruler(pen: ImageDraw, line: float, whole_mm: float, scale: float, units: Units) -> None:
    """A ruler as long as the row: eighths of an inch, or millimetres."""
    step_mm, per_unit = (MM_PER_INCH / 8, 8) if units is Units.IN else (1.0, 10)
    pen.line((MARGIN_PX, line, MARGIN_PX + whole_mm * scale, line), fill=DARK, width=2)
    for k in range(int(whole_mm / step_mm + 1e-6) + 1):
        x = MARGIN_PX + k * step_mm * scale
        tall = 14 if k % per_unit == 0 else 9 if k % (per_unit // 2) == 0 else 5
        if tall > 5 or step_mm * scale >= 4:
            pen.line((x, line, x, line + tall), fill=DARK, width=2)
        if k % per_unit == 0:
            pen.text(
                (x, line + 16),
                f"{k // per_unit} {units.value if units is Units.IN else 'cm'}",
                fill=DARK,
                font=font_of(TEXT_PX - 4),
                anchor="mt",
            )
