"""A decoded picture's colours brought to 8-bit sRGB."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.errors import Caution
from plaidcut.srgb import light_table, srgb_of_light

if TYPE_CHECKING:
    from PIL import Image
    from PIL.ImageCms import ImageCmsProfile

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


def srgb_of(image: Image.Image) -> tuple[Image.Image, tuple[Caution, ...]]:
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


def is_srgb(image: Image.Image) -> bool:
    """Whether no colour profile says otherwise."""
    from PIL import ImageCms

    data = image.info.get("icc_profile")
    try:
        return not data or "sRGB" in ImageCms.getProfileDescription(BytesIO(data))
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return False


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
