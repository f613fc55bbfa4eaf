"""Power spectra of a cloth's patches: which spatial frequencies stand out, and how far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats
from plaidcut.cloth.patches import Patch

WINDOW_MM: Final = 20.0
EVEN_MM: Final = 1.5
"""About two yarns: over that distance contrast is evened out."""
RING_PER_MM: Final = 0.07
"""Width of the rings, in cycles per millimetre, over whose median peaks stand."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectrum:
    """How far each spatial frequency stands out of its ring."""

    over: NDArray[np.float64]
    """Power over the ring's median (N, N), nought frequency in the middle."""
    step: float
    """Cycles per millimetre from one value to the next."""

    @property
    def most(self) -> float:
        """Highest frequency held, in cycles per millimetre."""
        return (len(self.over) // 2 - 2) * self.step

    def at(self, waves: Floats) -> Floats:
        """Values (...) next to wave vectors (..., 2), 1 beyond what is held."""
        index = np.rint(waves / self.step).astype(int) + len(self.over) // 2
        inside = np.asarray(((index >= 0) & (index < len(self.over))).all(axis=-1))
        index = np.where(inside[..., None], index, 0)
        return np.where(inside, self.over[index[..., 1], index[..., 0]], 1.0)


def even_tones(patch: Patch) -> NDArray[np.float32]:
    """Tones (N, N) over the contrast round about: bands of strong contrast do not drown others."""
    import cv2

    tones, std = patch.tones, EVEN_MM / patch.step_mm
    away = tones - np.asarray(cv2.GaussianBlur(tones, (0, 0), std))
    contrast = np.sqrt(np.asarray(cv2.GaussianBlur(away**2, (0, 0), std)))
    return np.asarray(away / (contrast + 0.2 * float(contrast.mean())), np.float32)


def spectrum_of(patches: Sequence[Patch]) -> Spectrum:
    """Mean power of overlapping windows of the patches, over that of their ring."""
    import cv2
    from scipy import ndimage

    power = _power(patches)
    step = 1 / (len(power) * patches[0].step_mm)
    along = (np.arange(len(power)) - len(power) // 2) * step
    ring = np.round(np.hypot(*np.meshgrid(along, along)) / RING_PER_MM).astype(int)
    smooth = cv2.GaussianBlur(power, (0, 0), 0.7)
    usual = np.asarray(ndimage.median(smooth, ring, np.arange(ring.max() + 1)))
    return Spectrum(over=smooth / (usual[ring] + 1e-30), step=step)


def whole_power(patch: Patch) -> Spectrum:
    """Power of one patch as a whole, over its median: finer steps, for where peaks lie."""
    from scipy import fft

    tones = even_tones(patch)
    number = len(tones)
    window = np.outer(np.hanning(number), np.hanning(number)).astype(np.float32)
    spectrum = fft.fftshift(np.abs(fft.fft2(tones * window, workers=2)) ** 2)
    fine = np.asarray(spectrum, float)
    return Spectrum(over=fine / (float(np.median(fine)) + 1e-30), step=1 / (number * patch.step_mm))


def _power(patches: Sequence[Patch]) -> Floats:
    """Mean power (N, N) of windows of :data:`WINDOW_MM`, half overlapping."""
    from scipy import fft

    number = int(WINDOW_MM / patches[0].step_mm) // 2 * 2
    window = np.outer(np.hanning(number), np.hanning(number)).astype(np.float32)
    parts = [
        part * window
        for patch in patches
        for tones in [even_tones(patch)]
        for top in range(0, len(tones) - number + 1, number // 2)
        for left in range(0, len(tones) - number + 1, number // 2)
        for part in [tones[top : top + number, left : left + number]]
    ]
    spectra = fft.fft2(np.stack(parts), axes=(1, 2), workers=2)
    return np.asarray(fft.fftshift((np.abs(spectra) ** 2).mean(axis=0)), float)
