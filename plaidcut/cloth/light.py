"""The photo in linear light, at the size the measuring works in.

Light is kept in 16-bit integers, :data:`FULL` for 1: half of what floats take, and finer than the
photo's own 8 bits everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.cloth.both import one_by_one
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

FULL: Final = 65535
"""Linear light 1."""

EDGE_PX: Final = 5
"""So near to the picture's edge blurs know only half of what they would need."""

BAND_ROWS: Final = 64
"""Rows of a photo that are reduced at a time: few enough to stay in the processor's cache."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WorkPicture:
    """A photo in linear light, reduced by area so that yarns do not alias."""

    rgb: NDArray[np.uint16]
    """Linear light, or tones, 0..:data:`FULL`, shape (height, width, 3), read-only."""
    ratio: tuple[float, float] = (1.0, 1.0)
    """Its pixels for one of the photo, across and down, at most 1."""

    @classmethod
    def of(cls, values: NDArray[np.floating], ratio: tuple[float, float] = (1.0, 1.0)) -> Self:
        """A picture of values 0..1 (height, width, 3)."""
        whole = np.asarray(values * np.float32(FULL))
        return cls(rgb=np.rint(whole, out=whole).astype(np.uint16), ratio=ratio)

    @property
    def factor(self) -> float:
        """Size of this picture as a share of the photo's, at most 1."""
        return self.ratio[0]

    def blurred(self, std_px: float) -> WorkPicture:
        """The same picture with a Gaussian blur of ``std_px`` of its own pixels."""
        import cv2

        return replace(self, rgb=np.asarray(cv2.GaussianBlur(self.rgb, (0, 0), std_px), np.uint16))

    def reduced(self, scale: Scale, *, px_per_mm: float) -> WorkPicture:
        """The same picture reduced to about ``px_per_mm`` at its centre (never enlarged)."""
        import cv2

        share = min(1.0, px_per_mm / (scale.px_per_mm * self.factor))
        width, height = self.rgb.shape[1::-1]
        small_width, small_height = (max(1, round(share * n)) for n in (width, height))
        small = cv2.resize(self.rgb, (small_width, small_height), interpolation=cv2.INTER_AREA)
        across, down = self.ratio
        return WorkPicture(
            rgb=np.asarray(small, np.uint16),
            ratio=(across * small_width / width, down * small_height / height),
        )

    def tones(self) -> WorkPicture:
        """The same picture on a roughly perceptual scale."""
        return WorkPicture.of(percept(self.rgb * np.float32(1 / FULL)), self.ratio)

    def from_photo_px(self, xy_px: ArrayLike) -> Points:
        """Pixel positions (..., 2) of the photo to those of this picture."""
        return np.asarray((np.asarray(xy_px) + 0.5) * self.ratio - 0.5)

    def sample(
        self, at: NDArray[np.float32], *, sharp: bool = False
    ) -> tuple[NDArray[np.uint16], NDArray[np.bool_]]:
        """Values (H, W, 3) at positions (H, W, 2), and which lie well within the picture (H, W).

        Between pixels they are taken on straight lines, or ``sharp`` on curves, which keeps an
        edge as steep as it is.
        """
        import cv2

        height, width = self.rgb.shape[:2]
        inner = (width - 1 - EDGE_PX, height - 1 - EDGE_PX)
        framed = cv2.inRange(at, (EDGE_PX, EDGE_PX), inner) > 0
        way = cv2.INTER_CUBIC if sharp else cv2.INTER_LINEAR
        return remap(self.rgb, at, way), framed

    def light_at(self, at: NDArray[np.float32]) -> NDArray[np.float32]:
        """Sharp values 0..1; nan where they don't lie well within."""
        found, framed = self.sample(at, sharp=True)
        light = found * np.float32(1 / FULL)
        light[~framed] = np.nan
        return light


def percept(rgb: NDArray[np.float32]) -> NDArray[np.float32]:
    """Cube root of linear light, as in CIE L*a*b*, flattened near black where noise rules."""
    import cv2

    above = np.clip(rgb, np.float32(0), np.float32(1))
    above += np.float32(0.003)
    return np.asarray(cv2.pow(above, 1 / 3, above), np.float32)


def work_picture(photo: Photo, scale: Scale, *, px_per_mm: float = WORK_PX_PER_MM) -> WorkPicture:
    """Bring a photo to linear light and reduce it to ``px_per_mm`` at its centre, or little more.

    It is never enlarged.
    """
    import cv2

    table = np.round(light_table() * FULL).astype(np.uint16)
    height, width = photo.pixels.shape[:2]
    # of each band the same whole number of rows is left, so that bands can be reduced by themselves
    kept = min(BAND_ROWS, int(np.ceil(BAND_ROWS * px_per_mm / scale.px_per_mm)))
    down = kept / BAND_ROWS
    rgb = np.empty((int(np.ceil(down * height)), max(1, round(down * width)), 3), np.uint16)

    def reduce(index: int) -> None:
        band = photo.pixels[index * BAND_ROWS : (index + 1) * BAND_ROWS]
        beyond = BAND_ROWS - len(band)
        if beyond:
            band = np.pad(band, ((0, beyond), (0, 0), (0, 0)), mode="edge")
        light = cv2.LUT(band, table)
        small = cv2.resize(light, (rgb.shape[1], kept), interpolation=cv2.INTER_AREA)
        part = rgb[index * kept : (index + 1) * kept]
        part[:] = small[: len(part)]

    one_by_one(reduce, range(-(-height // BAND_ROWS)))
    rgb.flags.writeable = False
    return WorkPicture(rgb=rgb, ratio=(rgb.shape[1] / width, down))
