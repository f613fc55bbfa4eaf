"""The columns of a herringbone: where its twill's lines run one way, and where the other.

A twill's lines are a plane wave; in a herringbone two of them take turns. Each is turned down to
nought frequency and smoothed, so that what is left tells how strong it is at every spot; across
the columns their difference swings to and fro, and it turns round at every column's edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.cloth.field import Floats
from plaidcut.cloth.lattice import Lattice
from plaidcut.cloth.patches import Patch, grid_mm
from plaidcut.cloth.spectrum import even_tones

SMOOTH_MM: Final = 1.4
"""Two yarns: narrower columns are not told apart (they are 6 to 13 mm wide, facts section 10)."""
BIN_MM: Final = 0.5
LEAST_SWING: Final = 0.35
"""Root mean square of the swing across the columns, of 1: a herringbone has 0.5 and more, cloth
without columns up to 0.2 (drawn photos)."""
STEADIER: Final = 3.0
"""How much more it must swing across the columns than along them."""
COLUMN_MM: Final = (3.0, 20.0)
UNEVEN: Final = 0.2
"""Share by which columns may differ in width and still be ones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The columns of a herringbone."""

    width_mm: float
    width_std_mm: float
    system: int
    """Which threads of the lattice run along them."""
    swing: float
    """Root mean square of the swing across them, up to 1."""


def herringbone_columns(patches: Sequence[Patch], lattice: Lattice) -> Columns | None:
    """The columns in which twill lines turn round; None where they don't."""
    swings = [_swings(patch, lattice.waves) for patch in patches]
    strength = np.mean([[np.sqrt(np.nanmean(s**2)) for s in pair] for pair in swings], axis=0)
    system = int(np.argmax(strength))
    if strength[system] < max(LEAST_SWING, STEADIER * strength[1 - system]):
        return None
    widths = np.concatenate([_widths(pair[system]) for pair in swings])
    if len(widths) < 3:
        return None
    width = float(np.median(widths))
    spread = 1.48 * float(np.median(np.abs(widths - width)))
    if not COLUMN_MM[0] < width < COLUMN_MM[1] or spread > UNEVEN * width:
        return None
    return Columns(
        width_mm=width,
        width_std_mm=spread / float(np.sqrt(len(widths))),
        system=system,
        swing=float(strength[system]),
    )


def _swings(patch: Patch, waves: Floats) -> tuple[Floats, Floats]:
    """Mean difference of the two waves, -1..1, in bins across each thread system."""
    import cv2

    tones = even_tones(patch)
    at = grid_mm(len(tones), patch.step_mm)
    strengths = []
    for sign in (1, -1):
        wave = waves.T @ np.array([0.25, 0.25 * sign])
        turned = tones * np.exp(-2j * np.pi * (at @ wave))
        std = SMOOTH_MM / patch.step_mm
        parts = [cv2.GaussianBlur(part, (0, 0), std) for part in (turned.real, turned.imag)]
        strengths.append(np.asarray(parts[0] ** 2 + parts[1] ** 2))
    swing = (strengths[0] - strengths[1]) / (strengths[0] + strengths[1] + 1e-12)
    return _across(swing, at, waves[0]), _across(swing, at, waves[1])


def _across(swing: Floats, at: Floats, wave: Floats) -> Floats:
    """Mean of a picture in bins along a wave vector; nan in those that hold little."""
    place = np.floor(at @ (wave / np.linalg.norm(wave)) / BIN_MM).astype(int)
    place -= place.min()
    count = np.bincount(place.ravel())
    total = np.bincount(place.ravel(), weights=swing.ravel())
    return np.where(count > 0.3 * count.max(), total / np.maximum(count, 1), np.nan)


def _widths(swing: Floats) -> Floats:
    """Distances (N,) between neighbouring turns of a swing, in mm."""
    seen = swing[np.isfinite(swing)]
    before = np.flatnonzero(np.diff(np.sign(seen)) != 0)
    turns = before + seen[before] / (seen[before] - seen[before + 1])
    return np.asarray(np.diff(turns) * BIN_MM)
