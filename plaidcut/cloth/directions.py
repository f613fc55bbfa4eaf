"""The two thread directions, from the power spectra of tiles of the cloth.

Stripes put their energy on a line through the origin of the spectrum, square to
the threads. Only wavelengths longer than :data:`SHORTEST_WAVE_MM` count: shorter
ones hold the twill lines, which run across both systems.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.mesh import remap
from plaidcut.cloth.unrolled import blocks
from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Points

TILE_MM = 64.0
"""Side of a tile: it holds at least one bold stripe of a windowpane, as a rule."""
COARSER = 2
"""Every second point of the view each way shows all waves that count."""
SHORTEST_WAVE_MM = 3.7
"""Twill lines of wool cloth repeat every 2 mm or so; stripes that matter repeat wider."""
LONGEST_WAVE_MM = 50.0
STEP_DEG = 0.25
ANGLES_DEG: Floats = np.arange(0, 180, STEP_DEG)
SQUARE_WITHIN_DEG = 12.0
"""How far from square the two systems may cross."""
USUAL_TONES = (0.03, 0.9)
LEAST_TILE_SHARE = 0.45
"""Share of a tile (weighted by its window) that must be cloth."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TileSpectra:
    """Radial energy of every tile."""

    center_mm: Points
    """Where each tile's cloth has its centre, (N, 2)."""
    energy: Floats
    """Energy along each of :data:`ANGLES_DEG`, (N, A); angles of the normal, across threads."""
    contrast: Floats
    """Whole variance of each tile, (N,)."""


def tile_spectra(view: PlaneView, cloth: NDArray[np.bool_]) -> TileSpectra:
    """Spectra of overlapping tiles; ``cloth`` (H, W) says what of the view counts."""
    from scipy import fft

    tones, cloth = _coarser(_within_usual(view.percept, cloth), cloth)
    px_per_mm = view.px_per_mm / COARSER
    n = int(TILE_MM * px_per_mm)
    window = np.outer(np.hanning(n), np.hanning(n)).astype(np.float32)
    centers, energies, contrasts = [], [], []
    rows, columns = cloth.shape
    for top in range(-n // 4, max(1, rows - n // 2), n // 2):
        for left in range(-n // 4, max(1, columns - n // 2), n // 2):
            at = (slice(max(top, 0), top + n), slice(max(left, 0), left + n))
            counts = cloth[at]
            inset = (slice(max(-top, 0), None), slice(max(-left, 0), None))
            part = window[inset][: counts.shape[0], : counts.shape[1]] * counts
            if part.sum() < LEAST_TILE_SHARE * window.sum():
                continue
            values = tones[at]
            mean = np.tensordot(part, values, axes=2) / part.sum()
            centred = (values - mean) * part[..., None]
            spectrum = fft.rfft2(centred, s=(2 * n, 2 * n), axes=(0, 1), workers=2)
            power = (spectrum.real**2 + spectrum.imag**2).sum(axis=2) / part.sum()
            energies.append(_radial(power, px_per_mm))
            contrasts.append(float((centred**2).sum() / part.sum()))
            y, x = (np.average(np.arange(len(w)), weights=w) for w in (part.sum(1), part.sum(0)))
            middle = np.array([x + at[1].start, y + at[0].start])
            centers.append(view.to_mm((middle + 0.5) * COARSER - 0.5))
    return TileSpectra(
        center_mm=np.array(centers).reshape(-1, 2),
        energy=np.array(energies).reshape(-1, len(ANGLES_DEG)),
        contrast=np.array(contrasts),
    )


def _coarser(
    tones: NDArray[np.float32], cloth: NDArray[np.bool_]
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """Means of tones over squares of the view, and which squares are all cloth."""
    mean, share = blocks(tones, cloth, COARSER, COARSER)
    return mean, share == 1


def _within_usual(tones: NDArray[np.float32], cloth: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Tones held to the range that nearly all the cloth has, so that no foreign thing shouts."""
    some = (slice(None, None, 3), slice(None, None, 3))
    low, high = np.quantile(tones[some][cloth[some]], USUAL_TONES, axis=0).astype(np.float32)
    held = np.clip(tones, low, high)
    held[~cloth] = 0
    return held


def _radial(half_power: Floats, px_per_mm: float) -> Floats:
    """Energy along radial lines of a one-sided power spectrum (2n, n + 1), weighed by f²."""
    import cv2

    around = np.concatenate([half_power, half_power[:1]]).astype(np.float32)
    at, weight = _lines(len(half_power), px_per_mm)
    return np.asarray((remap(around, at, cv2.INTER_LINEAR) * weight).sum(axis=1), float)


@cache
def _lines(size: int, px_per_mm: float) -> tuple[NDArray[np.float32], Floats]:
    """Where lines of all angles lie in such a spectrum (A, R, 2), and what counts how much (A, R).

    What averaging over a pixel took from each wave is given back.
    """
    cycles_per_bin = px_per_mm / size
    radii = np.arange(
        1 / LONGEST_WAVE_MM / cycles_per_bin, 1 / SHORTEST_WAVE_MM / cycles_per_bin, 0.5
    )
    rad = np.deg2rad(ANGLES_DEG)
    fx, fy = np.outer(np.cos(rad), radii), np.outer(np.sin(rad), radii)
    taken = (np.sinc(fx / size) * np.sinc(fy / size)) ** 2
    # one half of the plane is stored: the other holds the same, turned about the origin
    fx, fy = np.where(fx < 0, -fx, fx), np.where(fx < 0, -fy, fy)
    at = np.stack([fx, fy % size], axis=-1, dtype=np.float32)
    return at, (radii * cycles_per_bin) ** 2 / taken


def main_normals(spectra: TileSpectra) -> tuple[int, int]:
    """Indices into ``ANGLES_DEG`` of the pair of normals, about square, with most energy."""
    energy = np.sqrt(spectra.energy.sum(axis=0))
    count = len(energy)
    reach = int(SQUARE_WITHIN_DEG / STEP_DEG)
    partner = (np.arange(count)[:, None] + count // 2 + np.arange(-reach, reach + 1)) % count
    best = partner[np.arange(count), energy[partner].argmax(axis=1)]
    first = int((energy + energy[best]).argmax())
    return first, int(best[first])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TileNormals:
    """The direction of one system in each tile."""

    angle_deg: Floats
    """Angle of the normal, (N,)."""
    prominence: Floats
    """Peak of the tile's energy over its median; 0 where the peak is at the search's end."""


def tile_normals(spectra: TileSpectra, main: int, *, reach_deg: float = 10.0) -> TileNormals:
    """Direction of one system tile by tile, within ``reach_deg`` of the main one."""
    offsets = np.arange(-int(reach_deg / STEP_DEG), int(reach_deg / STEP_DEG) + 1)
    near = spectra.energy[:, (main + offsets) % len(ANGLES_DEG)]
    index, apex = parabola_peaks(near)
    best = near[np.arange(len(near)), index]
    inside = (index > 0) & (index < len(offsets) - 1)
    return TileNormals(
        angle_deg=ANGLES_DEG[main] + (index + apex + offsets[0]) * STEP_DEG,
        prominence=np.where(inside, best / np.maximum(np.median(spectra.energy, axis=1), 1e-30), 0),
    )


def parabola_peaks(values: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Index and sub-sample offset (-1..1) of the maximum of each row of (N, M)."""
    index = values.argmax(axis=1)
    middle = np.clip(index, 1, values.shape[1] - 2)
    row = np.arange(len(values))
    before, peak, after = (values[row, middle + k] for k in (-1, 0, 1))
    curve = before - 2 * peak + after
    apex = 0.5 * (before - after) / np.where(curve < 0, curve, -np.inf)
    return index, np.clip(apex + middle - index, -1, 1)


LEAST_PROMINENCE = 3.0
"""A tile whose peak stands less over its median says nothing of the direction."""
SLOPE_STIFFNESS = 0.05


def first_field(
    view: PlaneView, spectra: TileSpectra, main: int, normals: TileNormals
) -> ThreadField:
    """Field of one system from the tiles' directions."""
    field = ThreadField.straight(float(ANGLES_DEG[main]), view.box_mm)
    weight = np.clip(normals.prominence - LEAST_PROMINENCE, 0, 10)
    if not weight.any():
        return field
    rad = np.deg2rad(normals.angle_deg)
    tangent = np.stack([-np.sin(rad), np.cos(rad)], axis=-1)
    return field.turned(spectra.center_mm, tangent, weight, stiffness=SLOPE_STIFFNESS)
