"""Pixels to the bytes of a picture file."""

from __future__ import annotations

from io import BytesIO
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import UsageError

FORMATS: Final = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG"}
"""Pillow's format of each file ending."""

JPEG_QUALITY: Final = 90
"""Fine lettering on wool stays clean from here up (looked at; no source)."""


def picture_format(file_name: str) -> str:
    """Pillow's name of the format that a file's ending asks for.

    Raises
    ------
    UsageError
        If it is neither JPEG nor PNG.
    """
    for ending, name in FORMATS.items():
        if file_name.lower().endswith(ending):
            return name
    msg = f'"{file_name}" is not the name of a JPEG or PNG picture.'
    raise UsageError(msg, hint="Let it end in .jpg or .png.")


def picture_bytes(pixels: NDArray[np.uint8], file_name: str) -> bytes:
    """A picture (height, width, 3), sRGB, as the bytes of a file of that name.

    Raises
    ------
    UsageError
        If the name's ending is neither JPEG's nor PNG's.
    """
    from PIL import Image

    file = BytesIO()
    name = picture_format(file_name)
    Image.fromarray(pixels).save(file, name, quality=JPEG_QUALITY, optimize=True)
    return file.getvalue()
