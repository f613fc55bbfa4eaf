"""Reading a photo: a file to upright sRGB pixels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import Caution


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Photo:
    """Upright sRGB pixels and where they come from."""

    name: str
    """File name, without the folder."""
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
