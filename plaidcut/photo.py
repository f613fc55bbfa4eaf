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
from plaidcut.photo_whole import what_is_missing
from plaidcut.shown import shown
from plaidcut.srgb import light_table, srgb_of_light

if TYPE_CHECKING:
    from PIL import Image
    from PIL.ImageCms import ImageCmsProfile

MAX_MEGAPIXELS: Final = 100.0
"""Pixels, in millions, that a photo may have unless told otherwise."""

FORMATS: Final = ("JPEG", "PNG", "WEBP", "TIFF", "HEIF")
"""Pillow's names of what is read; by content, whatever the file is called."""

MOST_BYTES_PER_PIXEL: Final = 16
"""A file with more bytes than this for each pixel allowed is refused unread."""

ORIENTATION_TAG: Final = 0x0112
"""EXIF tag that says how the camera was held (JEITA CP-3451)."""

BAND_ROWS: Final = 256
"""Rows copied at a time, so that a large photo is not held three times over."""

P3_PRIMARIES: Final = 12
"""Code of Display P3's primaries in a HEIF file without a colour profile (ITU-T H.273)."""

SRGB_FROM_P3: Final = np.array(
    [
        [1.2249402, -0.2249402, 0.0],
        [-0.0420570, 1.0420570, 0.0],
        [-0.0196376, -0.0786361, 1.0982736],
    ]
)
"""Linear Display P3 to linear sRGB, from both spaces' primaries and their common white, D65
(SMPTE EG 432-1, IEC 61966-2-1)."""


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


def load_photo(path: str | PathLike[str], *, max_megapixels: float = MAX_MEGAPIXELS) -> Photo:
    """Read a JPEG, PNG, WebP, TIFF or HEIC/HEIF photo.

    Parameters
    ----------
    path
        The file. What it holds decides how it is read, not what it is called.
    max_megapixels
        Pixels, in millions, that it may have; checked before decoding.

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
    data = _bytes_of(path, max_megapixels)
    with _own_limits(), _opened(data, path.name) as image:
        width, height = image.size
        if not (width and height):
            msg = f"{path.name} has no pixels."
            raise UnreadablePhoto(msg)
        if width * height > max_megapixels * 1e6:
            msg = (
                f"{path.name} has {width} × {height} pixels, "
                f"more than the {max_megapixels:g} million allowed."
            )
            raise PhotoTooLarge(msg)
        try:
            missing = what_is_missing(data, image)
            if missing is None:
                image.load()
                if image.size != (width, height):
                    missing = "it is of another size than it says"
                picture, cautions = _srgb(image)
                pixels = _upright(picture, _orientation(image))
        except Exception as error:  # decoders raise of all kinds on damaged files
            msg = f"{path.name} is damaged or not whole: {_reason(error)}."
            raise UnreadablePhoto(msg) from error
        if missing:
            msg = f"{path.name} is damaged or not whole: {missing}."
            raise UnreadablePhoto(msg)
    return Photo(
        name=shown(path.name), sha256=sha256(data).hexdigest(), pixels=pixels, cautions=cautions
    )


def _bytes_of(path: Path, max_megapixels: float) -> bytes:
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
            msg = f"{path.name} has {size / 1e6:.0f} million bytes, too many for a photo."
            raise PhotoTooLarge(msg)
        return path.read_bytes()
    except OSError as error:
        msg = f"{path.name} can't be read: {error.strerror}."
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


def _orientation(image: Image.Image) -> int:
    """How the camera was held, as EXIF says; upright where it says nothing sensible."""
    said = image.getexif().get(ORIENTATION_TAG)
    return said if isinstance(said, int) else 1


def _reason(error: Exception) -> str:
    """What an error says, to end a sentence with."""
    return str(error).strip().rstrip(".") or type(error).__name__


def _srgb(image: Image.Image) -> tuple[Image.Image, tuple[Caution, ...]]:
    """A decoded picture as 8-bit sRGB."""
    from PIL import ImageCms

    image = _eight_bits(_on_white(image))
    data = image.info.get("icc_profile")
    if data:
        try:
            profile = ImageCms.ImageCmsProfile(BytesIO(data))
            if "sRGB" not in ImageCms.getProfileDescription(profile):
                return _through_profile(image, profile), ()
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            caution = Caution(
                "colour-profile",
                "The photo's colour profile can't be used, so its colours may be a little off. "
                "Widths are not touched.",
            )
            return _in_mode(image, "RGB"), (caution,)
    elif image.info.get("nclx_profile", {}).get("color_primaries") == P3_PRIMARIES:
        return _from_p3(_in_mode(image, "RGB")), ()
    return _in_mode(image, "RGB"), ()


def _in_mode(image: Image.Image, mode: str) -> Image.Image:
    """The same in another of Pillow's modes; Pillow would copy it even where it is already."""
    return image if image.mode == mode else image.convert(mode)


def _on_white(image: Image.Image) -> Image.Image:
    """The same without transparency, as it looks on white paper."""
    from PIL import Image

    if not image.has_transparency_data:
        return image
    info = image.info
    image = image.convert("RGBA")
    white = Image.new("RGBA", image.size, "white")
    image = Image.alpha_composite(white, image).convert("RGB")
    image.info = info
    return image


def _eight_bits(image: Image.Image) -> Image.Image:
    """The same with 8 bits a channel and no palette."""
    from PIL import Image

    info = image.info
    if image.mode.startswith("I;16"):
        image = Image.fromarray((np.asarray(image) >> 8).astype(np.uint8))
    elif image.mode in ("1", "P"):
        image = image.convert("RGB")
    elif image.mode not in ("L", "RGB", "CMYK", "YCbCr", "LAB"):
        msg = f"pixels of kind {image.mode} are not those of a photo"
        raise ValueError(msg)
    image.info = info
    return image


def _through_profile(image: Image.Image, profile: ImageCmsProfile) -> Image.Image:
    """A picture's colours brought from its profile to sRGB."""
    from PIL import ImageCms

    mode = {"GRAY": "L", "CMYK": "CMYK"}.get(profile.profile.xcolor_space.strip(), "RGB")
    image = _in_mode(image, mode)
    srgb = ImageCms.createProfile("sRGB")
    intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
    transform = ImageCms.buildTransform(profile, srgb, mode, "RGB", intent)
    return transform.apply_in_place(image) if mode == "RGB" else transform.apply(image)


def _from_p3(image: Image.Image) -> Image.Image:
    """A Display P3 picture's colours brought to sRGB; both have one tone curve."""
    from PIL import Image

    width, height = image.size
    for top in range(0, height, BAND_ROWS):
        band = np.asarray(image.crop((0, top, width, min(top + BAND_ROWS, height))))
        light = light_table()[band] @ SRGB_FROM_P3.T
        tone = np.rint(255 * srgb_of_light(light)).astype(np.uint8)
        image.paste(Image.fromarray(tone), (0, top))
    return image


def _upright(image: Image.Image, orientation: int) -> NDArray[np.uint8]:
    """A picture's pixels turned as EXIF says: (height, width, 3), read-only."""
    width, height = image.size
    turned = orientation in (5, 6, 7, 8)
    pixels = np.empty((width, height, 3) if turned else (height, width, 3), np.uint8)
    as_stored = pixels.swapaxes(0, 1) if turned else pixels
    if orientation in (3, 4, 6, 7):
        as_stored = as_stored[::-1]
    if orientation in (2, 3, 7, 8):
        as_stored = as_stored[:, ::-1]
    for top in range(0, height, BAND_ROWS):
        band = image.crop((0, top, width, min(top + BAND_ROWS, height)))
        as_stored[top : top + BAND_ROWS] = np.asarray(band)
    pixels.flags.writeable = False
    return pixels
