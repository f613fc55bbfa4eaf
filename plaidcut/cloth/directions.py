"""The two thread directions, from the power spectrum of tiles of the cloth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

STEP_DEG = 0.5
ANGLES_DEG = np.arange(0, 180, STEP_DEG)


def radial_energy(power: NDArray[np.float64], px_per_mm: float, lowest: float, highest: float) -> NDArray[np.float64]:
    """Energy along each radial line of a centred power spectrum (N, N): (len(ANGLES_DEG),)."""
    from scipy import ndimage

    n = power.shape[0]
    step = px_per_mm / n  # cycles per mm per bin
    radii = np.arange(lowest / step, highest / step, 0.5)
    rad = np.deg2rad(ANGLES_DEG)
    c = n // 2
    at = np.array([c + np.outer(np.sin(rad), radii), c + np.outer(np.cos(rad), radii)])
    values = ndimage.map_coordinates(power, at, order=1)
    return np.asarray((values).sum(axis=1))
