"""Small bar charts: what each cut gives, and whether its strips can be sorted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.pictures.ink import DARK, Picture, font_of, text_width_px

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

PAPER: Final = (250, 249, 246)
FILLS: Final = ("#40566b", "#c9b458")
"""Two tones that stay apart in greyscale and for colour-blind eyes (L* 35 and 74)."""
TEXT_PX: Final = 17
BAR_PX: Final = 24
LONG_PX: Final = 420


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar."""

    label: str
    value: float
    words: str
    """Behind the bar."""
    series: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Bars under a heading."""

    heading: str
    bars: tuple[Bar, ...]
    most: float
    """What the longest bar may be."""
    series: tuple[str, ...] = ()
    """Names of the series, where there are several."""


def bar_chart(chart: Chart) -> Picture:
    """Draw a chart, (H, W, 3) sRGB; each bar's number stands behind it."""
    from PIL import Image, ImageDraw

    label_px = max((text_width_px(bar.label, TEXT_PX) for bar in chart.bars), default=0) + 16
    words_px = max((text_width_px(bar.words, TEXT_PX) for bar in chart.bars), default=0) + 16
    wide = int(max(label_px + LONG_PX + words_px, text_width_px(chart.heading, TEXT_PX + 3))) + 40
    lines = len(chart.bars) + (1 if chart.series else 0)
    image = Image.new("RGB", (wide, 60 + (BAR_PX + 8) * lines + 20), PAPER)
    pen = ImageDraw.Draw(image)
    pen.text((20, 16), chart.heading, fill=DARK, font=font_of(TEXT_PX + 3))
    top = 54.0
    if chart.series:
        _key(pen, chart.series, top)
        top += BAR_PX + 8
    for bar in chart.bars:
        middle = top + BAR_PX / 2
        pen.text(
            (20 + label_px - 12, middle), bar.label, fill=DARK, font=font_of(TEXT_PX), anchor="rm"
        )
        long = LONG_PX * min(1.0, max(0.0, bar.value / chart.most)) if chart.most else 0.0
        pen.rectangle(
            (20 + label_px, top, 20 + label_px + long, top + BAR_PX), fill=FILLS[bar.series % 2]
        )
        pen.text(
            (28 + label_px + long, middle), bar.words, fill=DARK, font=font_of(TEXT_PX), anchor="lm"
        )
        top += BAR_PX + 8
    return np.asarray(image)


def _key(pen: ImageDraw, series: Sequence[str], top: float) -> None:
    x = 20.0
    for k, name in enumerate(series):
        pen.rectangle((x, top, x + 22, top + BAR_PX - 4), fill=FILLS[k % 2])
        pen.text(
            (x + 30, top + BAR_PX / 2 - 2), name, fill=DARK, font=font_of(TEXT_PX), anchor="lm"
        )
        x += 50 + text_width_px(name, TEXT_PX)
