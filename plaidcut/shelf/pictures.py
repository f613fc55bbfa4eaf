"""A photo as the shelf keeps it: a bounded copy and a thumbnail, and nothing but pixels."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import FileTrouble, PhotoTooLarge
from plaidcut.photo import MAX_MEGAPIXELS, Photo
from plaidcut.shelved import Pictures
from plaidcut.stripes.measurement import PhotoRecord

if TYPE_CHECKING:
    from PIL import Image

LONGEST_PX: Final = 2400
"""Longest side of the copy: a stripe of 1/16 in on a yard of cloth still has four pixels."""

THUMBNAIL_PX: Final = 320
"""Longest side of the thumbnail: one of a page full of them (chosen here)."""

QUALITY: Final = 85
"""JPEG quality of both: about half a megabyte a copy (measured on the demo photo)."""

_TOLD_BY_CAMERAS: Final = ("exif", "xmp", "comment", "photoshop", "icc_profile")
"""What Pillow names of a JPEG beside its pixels."""


def pictures_of_photo(pixels: NDArray[np.uint8]) -> Pictures:
    """The copy and the thumbnail of upright sRGB pixels (height, width, 3)."""
    from PIL import Image

    image = Image.fromarray(pixels)
    copy = _bounded(image, LONGEST_PX)
    return Pictures(copy=_jpeg(copy), thumbnail=_jpeg(_bounded(copy, THUMBNAIL_PX)))


def thumbnail_of(copy: bytes) -> bytes:
    """The thumbnail of a copy.

    Raises
    ------
    FileTrouble
        If the copy is damaged.
    """
    return _jpeg(_bounded(checked_copy(copy, LONGEST_PX), THUMBNAIL_PX))


def checked_copy(data: bytes, longest_px: int, *, what: str = "The photo") -> Image.Image:
    """A picture of the shelf, decoded whole.

    Raises
    ------
    FileTrouble
        If it is no JPEG, larger than the shelf keeps any, damaged, or holds what cameras add.
    """
    from PIL import Image

    try:
        image = Image.open(BytesIO(data), formats=("JPEG",))
        small = max(image.size) <= longest_px
        if small:
            image.load()
    except Exception as error:  # decoders raise of all kinds on damaged files
        msg = f"{what} is no JPEG, or damaged."
        raise FileTrouble(msg) from error
    if not small:
        msg = f"{what} has {image.width} × {image.height} pixels, more than {longest_px} a side."
        raise FileTrouble(msg)
    if any(image.info.get(name) for name in _TOLD_BY_CAMERAS) or image.mode != "RGB":
        msg = f"{what} holds more than pixels, which pictures of the shelf never do."
        raise FileTrouble(msg)
    return image


def photo_for(record: PhotoRecord, copy: bytes) -> Photo:
    """The photo that was measured, as far as its copy shows it, to draw on.

    It has the pixels' places of the photo that was measured, but the detail of the copy.

    Raises
    ------
    PhotoTooLarge, FileTrouble
        If the photo was larger than any that is measured, or the copy isn't of it.
    """
    width, height = record.width_px, record.height_px
    if width * height > MAX_MEGAPIXELS * 1e6:
        msg = f"{record.name} had {width} × {height} pixels, too many to draw on."
        raise PhotoTooLarge(msg)
    image = checked_copy(copy, LONGEST_PX)
    check_shape(image.size, record)
    pixels = np.asarray(image if image.size == (width, height) else image.resize((width, height)))
    pixels.flags.writeable = False
    return Photo(name=record.name, sha256=record.sha256, pixels=pixels)


def check_shape(size_px: tuple[int, int], record: PhotoRecord) -> None:
    """Refuse a copy whose sides aren't in the proportion of its photo's.

    Raises
    ------
    FileTrouble
        If they are not, to a pixel.
    """
    longest = max(record.width_px, record.height_px)
    scale = min(1.0, LONGEST_PX / longest)
    wanted = (record.width_px * scale, record.height_px * scale)
    if any(abs(side - want) > 1 for side, want in zip(size_px, wanted, strict=True)):
        msg = f"The photo is not of the same shape as {record.name}, which was measured."
        raise FileTrouble(msg)


def _bounded(image: Image.Image, longest_px: int) -> Image.Image:
    """The same, no larger than that."""
    from PIL import Image

    scale = longest_px / max(image.size)
    if scale >= 1:
        return image
    width, height = (max(1, round(side * scale)) for side in image.size)
    return image.resize((width, height), Image.Resampling.LANCZOS)


def _jpeg(image: Image.Image) -> bytes:
    """A JPEG of the pixels alone."""
    file = BytesIO()
    image.save(file, "JPEG", quality=QUALITY, optimize=True)
    return file.getvalue()
