"""The lattice of the threads: how far apart they lie both ways, and how they cross.

Threads that lie ``p`` apart show in the power spectrum at ``1/p`` square to them. The weave adds
peaks of its own, at fractions of the two threads' wave vectors: in a plain weave at halves, in a
2/2 twill at quarters along one diagonal, in a herringbone, whose twill turns round, along both.
A lattice is looked for whose peaks all stand out of what else the spectrum holds at their
frequency.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from plaidcut.cloth.field import Floats
from plaidcut.cloth.patches import Patch
from plaidcut.cloth.spectrum import Spectrum, spectrum_of, whole_power

PITCH_MM: Final = (0.38, 1.3)
"""Wool cloth has about 25 to 45 threads to the inch (facts section 10, from memory), 0.56 to
1.02 mm apart; beyond that it is looked for as far as fine worsted and blankets."""
PITCH_STEP: Final = 0.04
ANGLE_STEP_DEG: Final = 1.5
"""Steps of the search: peaks of windows of :data:`WINDOW_MM` are broader."""
LEAST_WAVE: Final = 0.3
"""Cycles per millimetre under which colour and light change, not the weave."""
MOST_WAVE: Final = 2.2
"""Over it mostly noise and the photo's packing into blocks show."""
STANDS_OUT: Final = 4.0
"""Times the median from which a peak counts as seen; noise alone reaches 3 (drawn photos)."""
FINE_STANDS_OUT: Final = 8.0
"""The same in the spectrum of one patch, where the highest of some hundred values counts."""
REACH_PER_MM: Final = 0.06
"""How far from where it should be a peak is looked for, in cycles per millimetre."""
MOST_SAID: Final = 3.5
"""Natural logarithm of how far over :data:`STANDS_OUT` a peak still adds to the trust."""
LEAST_SCORE: Final = 4.0
"""Sum of a lattice's peaks from which it is believed; the best one in wood grain, gravel and
smooth things has up to 2.5 (drawn photos, scikit-image's pictures)."""
STRAYS: Final = 0.12
"""Share by which a fitted wave vector may differ from the search's."""
COLUMNS_DRAW: Final = 2.5
ON_TOP: Final = 0.05
"""What the height of the threads' own peaks counts where lattices are as good as each other."""
TRIED: Final = 60
"""Lattices whose peaks stand out the most: of them the one is taken that leaves the least ..."""
LOUDEST: Final = 14
"""... of the highest peaks unexplained."""
NEAR_STEPS: Final = 1.8
"""Steps of the spectrum within which a lattice's peak explains one that is seen."""


class Structure(StrEnum):
    """How the threads cross."""

    PLAIN = "plain"
    TWILL = "twill"
    HERRINGBONE = "herringbone"


_THREADS: Final = ((1.0, 0.0), (0.0, 1.0))
_RIGHT: Final = ((0.25, 0.25), (0.5, 0.5), (0.75, -0.25), (0.25, -0.75))
_LEFT: Final = tuple((h, -k) for h, k in _RIGHT)
_PEAKS: Final = {
    (Structure.PLAIN, 0): ((0.5, 0.5), (0.5, -0.5)),
    (Structure.TWILL, 1): _RIGHT,
    (Structure.TWILL, -1): _LEFT,
    (Structure.HERRINGBONE, 0): (_RIGHT[0], _LEFT[0], _RIGHT[2], _LEFT[2], _RIGHT[3], _LEFT[3]),
}
"""Indices of the weave's own peaks, with the sign of the diagonal: for a 2/2 twill whose wave
vector is a quarter of (1, ±1), odd multiples of it and what threads add."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lattice:
    """Where the threads lie."""

    waves: Floats
    """Wave vectors (2, 2), one a row, in cycles per millimetre of the plane: of the threads whose
    normal lies nearer to the plane's x axis, then of the others, a quarter turn on."""
    waves_std: Floats
    """Standard uncertainty of their lengths (2,), relative, from the scatter between patches."""
    structure: Structure
    slant: int
    """1 for a twill whose lines run where x and y fall together, -1 the other way, else 0."""
    score: float

    @property
    def pitch_mm(self) -> Floats:
        """Distance of neighbouring threads of both systems (2,)."""
        return np.asarray(1 / np.linalg.norm(self.waves, axis=1))

    @property
    def angle_deg(self) -> Floats:
        """Directions of both wave vectors (2,), across the threads."""
        return np.asarray(np.rad2deg(np.arctan2(self.waves[:, 1], self.waves[:, 0])))


def thread_lattice(
    patches: Sequence[Patch], *, along_deg: tuple[float, float] | None = None
) -> Lattice | None:
    """The lattice that explains the spectrum best; None where none stands out.

    Parameters
    ----------
    patches
        Pieces of the cloth.
    along_deg
        Directions across both thread systems where stripes have told them; else any.
    """
    if not patches:
        return None
    spectrum = spectrum_of(patches)
    first = _best(spectrum, along_deg)
    if first is None:
        return None
    waves, structure, slant, score = first
    fitted = _refined(spectrum, waves, structure, slant, reach=REACH_PER_MM)
    if score < LEAST_SCORE or fitted is None or _strays(fitted, waves):
        return None
    fine = np.array(
        [
            each
            for patch in patches
            for each in [
                _refined(whole_power(patch), fitted, structure, slant, reach=REACH_PER_MM / 2)
            ]
            if each is not None and not _strays(each, fitted)
        ]
    )
    if not len(fine):
        return None
    pitches = np.linalg.norm(fine, axis=2)
    spread = 1.48 * np.median(np.abs(pitches - np.median(pitches, axis=0)), axis=0)
    return Lattice(
        waves=np.median(fine, axis=0),
        waves_std=np.asarray(
            np.hypot(spread / np.sqrt(len(fine)), 0.1 * spectrum.step) / np.median(pitches, axis=0)
        ),
        structure=structure,
        slant=slant,
        score=score,
    )


def _best(
    spectrum: Spectrum, along_deg: tuple[float, float] | None
) -> tuple[Floats, Structure, int, float] | None:
    """Waves (2, 2), structure, slant and score of the best lattice on a grid of them."""
    from scipy import ndimage

    wide = Spectrum(over=ndimage.maximum_filter(spectrum.over, 3), step=spectrum.step)
    least = max(PITCH_MM[0], 1 / spectrum.most)
    pitches = np.exp(np.arange(np.log(least), np.log(PITCH_MM[1]), PITCH_STEP))
    if len(pitches) < 2:
        return None
    if along_deg is None:
        turn = np.deg2rad(np.arange(-45, 45, ANGLE_STEP_DEG))
        turns = np.stack([turn, turn + np.pi / 2], axis=-1)
    else:
        turns = np.deg2rad(along_deg)[None]
    units = np.stack([np.cos(turns), np.sin(turns)], axis=-1)  # (A, 2, 2)
    one = units[:, 0, None, None] / pitches[:, None, None]  # (A, P, 1, 2)
    two = units[:, 1, None, None] / pitches[:, None]  # (A, 1, P, 2)

    def said(peaks: Sequence[tuple[float, float]]) -> list[Floats]:
        return [
            np.clip(np.log(wide.at(h * one + k * two) / STANDS_OUT), -1.0, MOST_SAID)
            for h, k in peaks
        ]

    singly = said(_THREADS)
    threads = np.sum(singly, axis=0)
    # where two tones cross, a thread may show by its two edges alone
    doubly = np.sum(np.maximum(singly, said([(2 * h, 2 * k) for h, k in _THREADS])), axis=0)
    own = {
        peak: each
        for peaks in (_RIGHT, _LEFT)
        for peak, each in zip(peaks, said(peaks), strict=True)
    }
    loud = _loudest(spectrum)
    # of lattices next to each other, whose peaks are as high, the one on their tops goes first
    tops = np.sum([np.log(spectrum.at(h * one + k * two)) for h, k in _THREADS], axis=0)
    found = None
    for (structure, slant), peaks in _PEAKS.items():
        heights = np.array([own[peak] for peak in peaks])
        scores = threads + 2 * heights.mean(axis=0)
        if structure is Structure.TWILL:
            scores = np.where(heights[:2].max(axis=0) > 0, scores, -np.inf)
        if structure is Structure.HERRINGBONE:
            scores = doubly + 2 * heights.mean(axis=0)
            scores = np.where(heights[:2].min(axis=0) > 0, scores, -np.inf)
        for index in np.argsort(scores + ON_TOP * tops, axis=None)[: -TRIED - 1 : -1]:
            at = np.unravel_index(int(index), scores.shape)
            score = float(scores[at])
            waves = np.array([one[at[0], at[1], 0], two[at[0], 0, at[2]]])
            if along_deg is None:
                score -= _unexplained(loud, waves, structure, slant, spectrum.step)
            if found is None or score > found[3]:
                found = waves, structure, slant, score
    return found


def _loudest(spectrum: Spectrum) -> Floats:
    """The highest peaks (N, 3): wave vector, and how far it stands out as a logarithm."""
    from scipy import ndimage

    half = len(spectrum.over) // 2
    top = ndimage.maximum_filter(spectrum.over, 9) == spectrum.over
    row, col = np.nonzero(top & (spectrum.over > STANDS_OUT))
    waves = (np.stack([col, row], axis=-1) - half) * spectrum.step
    long = np.linalg.norm(waves, axis=1)
    kept = (long > LEAST_WAVE) & (long < min(MOST_WAVE, spectrum.most)) & (waves[:, 0] >= 0)
    said = np.log(spectrum.over[row, col] / STANDS_OUT)
    peaks = np.column_stack([waves, np.minimum(said, MOST_SAID)])[kept]
    return np.asarray(peaks[np.argsort(-peaks[:, 2])][:LOUDEST])


def _unexplained(
    loud: Floats, waves: Floats, structure: Structure, slant: int, step: float
) -> float:
    """How much of the loudest peaks lies on none of a weave's own."""
    at = loud[:, :2] @ np.linalg.inv(waves)
    allowed = []
    for part in (0, 1, 2, 3) if structure is not Structure.PLAIN else (0, 2):
        for sign in (1, -1) if slant == 0 else (slant,):
            base = np.array([part / 4, sign * part / 4])
            allowed.append(np.round(at - base) + base)
    off = np.abs((at - np.array(allowed)) * np.linalg.norm(waves, axis=1)) / (NEAR_STEPS * step)
    away = off.max(axis=2)
    if structure is Structure.HERRINGBONE:  # its columns draw every peak out across them
        drawn = (np.array([1.0, COLUMNS_DRAW]), np.array([COLUMNS_DRAW, 1.0]))
        away = np.minimum(*((off / each).max(axis=2) for each in drawn))
    return float(loud[away.min(axis=0) > 1, 2].sum())


def _strays(fitted: Floats, waves: Floats) -> bool:
    """Whether a fit has left the lattice that it began with."""
    away = np.linalg.norm(fitted - waves, axis=1) / np.linalg.norm(waves, axis=1)
    return bool(away.max() > STRAYS)


def _refined(
    spectrum: Spectrum, waves: Floats, structure: Structure, slant: int, *, reach: float
) -> Floats | None:
    """Waves (2, 2) fitted to the centres of their peaks; None where too few are seen."""
    rows, seen, weights = [], [], []
    for h, k in (*_THREADS, *_PEAKS[(structure, slant)]):
        center, height = _center(spectrum, h * waves[0] + k * waves[1], reach)
        if height > FINE_STANDS_OUT:
            rows.append((h, k))
            seen.append(center)
            weights.append(height**0.25)
    if np.linalg.matrix_rank(np.array(rows).reshape(-1, 2)) < 2:
        return None
    weight = np.array(weights)[:, None]
    return np.asarray(np.linalg.lstsq(np.array(rows) * weight, np.array(seen) * weight)[0])


def _center(spectrum: Spectrum, wave: Floats, reach_per_mm: float) -> tuple[Floats, float]:
    """Centre of the highest peak near a wave vector, and how far it stands out round about."""
    half = len(spectrum.over) // 2
    reach = int(np.ceil(reach_per_mm / spectrum.step))
    col, row = np.rint(wave / spectrum.step).astype(int) + half
    wide = reach + 8
    if not (wide <= min(row, col) and max(row, col) < len(spectrum.over) - wide):
        return wave, 0.0
    near = spectrum.over[row - reach : row + reach + 1, col - reach : col + reach + 1]
    y, x = np.unravel_index(int(near.argmax()), near.shape)
    row, col = row + int(y) - reach, col + int(x) - reach
    around = spectrum.over[row - 8 : row + 9, col - 8 : col + 9]
    peak = np.maximum(around[6:11, 6:11] - np.median(around), 0)
    along = np.arange(-2, 3)
    apex = np.array([peak.sum(axis=0) @ along, peak.sum(axis=1) @ along]) / (peak.sum() + 1e-30)
    at = (np.array([col, row]) - half + apex) * spectrum.step
    return np.asarray(at), float(spectrum.over[row, col] / np.median(around))
