"""The photo in linear light, at the size the measuring works in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.cloth.mesh import remap
from plaidcut.scale.plane import Points, Scale
from plaidcut.srgb import light_table

if TYPE_CHECKING:
    from plaidcut.photo import Photo

WORK_PX_PER_MM = 6.0
"""Enough for bands of 0.6 mm: half the pixels of a close photo measure equally well
(measured on rendered photos, ``docs/explanation/measuring.md``)."""

COARSE_PX_PER_MM = 3.0
"""Enough to find the cloth and to follow its threads, which takes more than single yarns."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WorkPicture:
    """A photo in linear light, reduced by area so that yarns do not alias."""

    rgb: NDArray[np.float32]
    """Linear light 0..1, shape (height, width, 3), read-only."""
    size_px: tuple[int, int]
    """Width and height of the photo itself."""

    @property
    def factor(self) -> float:
        """Size of this picture as a share of the photo's, at most 1."""
        return float(self.rgb.shape[1] / self.size_px[0])

    def blurred(self, std_px: float) -> WorkPicture:
        """The same picture with a Gaussian blur of ``std_px`` of its own pixels."""
        import cv2

        return replace(self, rgb=np.asarray(cv2.GaussianBlur(self.rgb, (0, 0), std_px), np.float32))

    def reduced(self, scale: Scale, *, px_per_mm: float) -> WorkPicture:
        """The same picture reduced to about ``px_per_mm`` at its centre (never enlarged)."""
        import cv2

        share = min(1.0, px_per_mm / (scale.px_per_mm * self.factor))
        size = tuple(max(1, round(share * n)) for n in self.rgb.shape[1::-1])
        small = cv2.resize(self.rgb, size, interpolation=cv2.INTER_AREA)
        return replace(self, rgb=np.asarray(small, np.float32))

    def tones(self) -> WorkPicture:
        """The same picture on a roughly perceptual scale."""
        return replace(self, rgb=percept(self.rgb))

    def from_photo_px(self, xy_px: ArrayLike) -> Points:
        """Pixel positions (..., 2) of the photo to those of this picture."""
        height, width = self.rgb.shape[:2]
        ratio = np.array([width / self.size_px[0], height / self.size_px[1]])
        return np.asarray((np.asarray(xy_px) + 0.5) * ratio - 0.5)

    def sample(self, at: NDArray[np.float32]) -> NDArray[np.float32]:
        """Values (H, W, 3) at positions (H, W, 2) of this picture; nan beyond the frame."""
        import cv2

        found = remap(self.rgb, at, cv2.INTER_CUBIC, beyond=np.nan)
        return np.asarray(found, np.float32)


def percept(rgb: NDArray[np.float32]) -> NDArray[np.float32]:
    """Cube root of linear light, as in CIE L*a*b*, flattened near black where noise rules."""
    import cv2

    above = np.clip(rgb, np.float32(0), np.float32(1))
    above += np.float32(0.003)
    return np.asarray(cv2.pow(above, 1 / 3, above), np.float32)


def work_picture(photo: Photo, scale: Scale, *, px_per_mm: float = WORK_PX_PER_MM) -> WorkPicture:
    """Reduce a photo, in linear light, to about ``px_per_mm`` at its centre (never enlarge)."""
    import cv2

    width, height = photo.size_px
    factor = min(1.0, px_per_mm / scale.px_per_mm)
    target = (max(1, round(width * factor)), max(1, round(height * factor)))
    # 16-bit integers halve the memory of a large photo on its way to the work size
    table = np.round(light_table() * 65535).astype(np.uint16)
    linear = cv2.LUT(photo.pixels, table)
    if factor < 1.0:
        linear = cv2.resize(linear, target, interpolation=cv2.INTER_AREA).astype(np.uint16)
    rgb = linear.astype(np.float32)
    rgb *= np.float32(1 / 65535)
    rgb.flags.writeable = False
    return WorkPicture(rgb=rgb, size_px=photo.size_px)
