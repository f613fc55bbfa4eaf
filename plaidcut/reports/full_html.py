"""The report as one page that opens anywhere: everything in it, nothing fetched."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from io import BytesIO
from typing import Final

from plaidcut.pictures.ink import Picture
from plaidcut.reports.full_report import Figure, FullReport
from plaidcut.reports.words import HOW_COUNTED, NOT_ADDED, short_count

WIDEST_PX: Final = 1400
"""Pictures are made smaller than that, as the page shows them."""

JPEG_QUALITY: Final = 82
"""Wool and lettering stay clean from here up (looked at; no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Encoded:
    """A figure as the page holds it."""

    kind: str
    data: str
    width: int
    height: int
    caption: str
    alt: str


def html_text(report: FullReport) -> str:
    """The page of a report; the same text for the same report."""
    from jinja2 import Environment

    template = (resources.files("plaidcut") / "data" / "report.html.jinja").read_text("utf-8")
    page = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True).from_string(template)
    return page.render(
        report=report,
        figures=[_encoded(figure) for figure in report.figures],
        cuts=[cut.label for cut in report.content.cuts],
        short=short_count,
        how_counted=HOW_COUNTED,
        not_added=NOT_ADDED,
    )


def small_enough(picture: Picture) -> Picture:
    """A picture no wider than a page shows it."""
    import cv2
    import numpy as np

    height, width = picture.shape[:2]
    if width <= WIDEST_PX:
        return picture
    size = (WIDEST_PX, round(height * WIDEST_PX / width))
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), np.uint8)


@lru_cache(maxsize=16)
def picture_data(figure: Figure) -> bytes:
    """A figure as JPEG or, where it is drawn, as PNG of few colours; page and paper share it."""
    from PIL import Image

    file, image = BytesIO(), Image.fromarray(small_enough(figure.picture))
    if is_photographic(figure):
        image.save(file, "JPEG", quality=JPEG_QUALITY)
    else:
        few = image.quantize(128, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
        few.save(file, "PNG")
    return file.getvalue()


def is_photographic(figure: Figure) -> bool:
    """Whether a figure is made of a photo's pixels."""
    return figure.name in ("marked", "strips", "hooked")


def _encoded(figure: Figure) -> Encoded:
    picture = small_enough(figure.picture)
    return Encoded(
        kind="jpeg" if is_photographic(figure) else "png",
        data=b64encode(picture_data(figure)).decode("ascii"),
        width=picture.shape[1],
        height=picture.shape[0],
        caption=figure.caption,
        alt=figure.alt,
    )
