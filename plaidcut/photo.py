"""Reading a photo: a file to upright sRGB pixels, whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import Caution, NotFound, PhotoTooLarge, UnreadablePhoto
from plaidcut.photo_colours import BAND_ROWS, is_srgb, srgb_of
from plaidcut.photo_whole import what_is_missing, whole_jpeg
from plaidcut.shown import shown

if TYPE_CHECKING:
    from PIL import Image

MAX_MEGAPIXELS: Final = 100.0
"""Pixels, in millions, that a photo may have unless told otherwise."""

FORMATS: Final = ("JPEG", "PNG", "WEBP", "TIFF", "HEIF")
"""Pillow's names of what is read; by content, whatever the file is called."""

MOST_BYTES_PER_PIXEL: Final = 16
"""A file with more bytes than this for each pixel allowed is refused unread."""

ORIENTATION_TAG: Final = 0x0112
"""EXIF tag that says how the camera was held (JEITA CP-3451)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """Upright sRGB pixels and where they come from."""

    name: str
    """File name, without the folder, as it can be shown."""
    sha256: str
    """Of the file's bytes, hexadecimal."""
    pixels: NDArray[np.uint8]
    """sRGB, shape (height, width, 3), read-only; pixel centres are whole numbers."""
    cautions: tuple[Caution, ...] = ()

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        height, width = self.pixels.shape[:2]
        return width, height


def load_photo(
    path: str | PathLike[str],
    *,
    max_megapixels: float = MAX_MEGAPIXELS,
    name: str | None = None,
) -> Photo:
    """Read a JPEG, PNG, WebP, TIFF or HEIC/HEIF photo.

    Parameters
    ----------
    path
        The file. What it holds decides how it is read, not what it is called.
    max_megapixels
        Pixels, in millions, that it may have; checked before decoding.
    name
        What she calls it, where that isn't the file's own name.

    Returns
    -------
    Photo
        Turned upright as EXIF says, colours brought to sRGB from the profile
        in the file, 16 bits cut to 8, transparency laid over white. Of a file
        with several pictures the first.

    Raises
    ------
    NotFound
        If there is no such file.
    PhotoTooLarge
        If it has more pixels than allowed.
    UnreadablePhoto
        If it is no picture of these kinds, or a damaged or truncated one.
    """
    path = Path(path)
    name = path.name if name is None else name
    data = _bytes_of(path, name, max_megapixels)
    with _own_limits(), _opened(data, name) as image:
        width, height = image.size
        if not (width and height):
            msg = f"{name} has no pixels."
            raise UnreadablePhoto(msg)
        if width * height > max_megapixels * 1e6:
            msg = (
                f"{name} has {width} × {height} pixels, "
                f"more than the {max_megapixels:g} million allowed."
            )
            raise PhotoTooLarge(msg)
        try:
            pixels, cautions = _decoded(data, image)
        except Exception as error:  # decoders raise of all kinds on damaged files
            msg = f"{name} is damaged or not whole: {_reason(error)}."
            raise UnreadablePhoto(msg) from error
    return Photo(
        name=shown(name), sha256=sha256(data).hexdigest(), pixels=pixels, cautions=cautions
    )


def _bytes_of(path: Path, name: str, max_megapixels: float) -> bytes:
    """The file's bytes."""
    try:
        if not path.exists():
            msg = f"There is no file {path}."
            raise NotFound(msg)
        if not path.is_file():
            msg = f"{path} is a folder or a device, not a photo."
            raise UnreadablePhoto(msg, hint="Name one photo in it.")
        size = path.stat().st_size
        if size > max_megapixels * 1e6 * MOST_BYTES_PER_PIXEL:
            msg = f"{name} has {size / 1e6:.0f} million bytes, too many for a photo."
            raise PhotoTooLarge(msg)
        return path.read_bytes()
    except OSError as error:
        msg = f"{name} can't be read: {error.strerror}."
        raise UnreadablePhoto(msg) from error


@contextmanager
def _own_limits() -> Iterator[None]:
    """Leave the size of pictures to `load_photo`, and its oddities of metadata unsaid."""
    import warnings

    from PIL import Image

    limit = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        Image.MAX_IMAGE_PIXELS = limit


def _opened(data: bytes, name: str) -> Image.Image:
    """The picture in some bytes, its pixels not yet decoded."""
    import pillow_heif
    from PIL import Image

    if not data:
        msg = f"{name} is empty."
        raise UnreadablePhoto(msg)
    pillow_heif.register_heif_opener()
    try:
        return Image.open(BytesIO(data), formats=FORMATS)
    except Exception as error:  # decoders raise of all kinds on damaged files
        msg = f"{name} is not a photo that can be read: not JPEG, PNG, WebP, TIFF or HEIC."
        raise UnreadablePhoto(msg) from error


def _decoded(data: bytes, image: Image.Image) -> tuple[NDArray[np.uint8], tuple[Caution, ...]]:
    """A file's upright pixels; raises if they are not whole."""
    cautions: tuple[Caution, ...] = ()
    pixels = whole_jpeg(data, image) if is_srgb(image) else None
    if pixels is None:
        if missing := what_is_missing(data, image):
            raise ValueError(missing)
        size = image.size
        image.load()
        if image.size != size:
            msg = "it is of another size than it says"
            raise ValueError(msg)
        picture, cautions = srgb_of(image)
        pixels = _pixels_of(picture)
    return _upright(pixels, _orientation(image)), cautions


def _orientation(image: Image.Image) -> int:
    """How the camera was held, as EXIF says; upright where it says nothing sensible."""
    said = image.getexif().get(ORIENTATION_TAG)
    return said if isinstance(said, int) else 1


def _reason(error: Exception) -> str:
    """What an error says, to end a sentence with."""
    return str(error).strip().rstrip(".") or type(error).__name__


def _pixels_of(image: Image.Image) -> NDArray[np.uint8]:
    """A picture's pixels (height, width, 3), copied a band at a time."""
    width, height = image.size
    pixels = np.empty((height, width, 3), np.uint8)
    for top in range(0, height, BAND_ROWS):
        band = image.crop((0, top, width, min(top + BAND_ROWS, height)))
        pixels[top : top + BAND_ROWS] = np.asarray(band)
    return pixels


def _upright(pixels: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """A picture's pixels turned as EXIF says: (height, width, 3), read-only."""
    if orientation in (3, 4, 6, 7):
        pixels = pixels[::-1]
    if orientation in (2, 3, 7, 8):
        pixels = pixels[:, ::-1]
    if orientation in (5, 6, 7, 8):
        pixels = pixels.swapaxes(0, 1)
    pixels = np.ascontiguousarray(pixels)
    pixels.flags.writeable = False
    return pixels
