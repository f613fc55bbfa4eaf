"""Small checks whose figure the weave draws: how many threads make one, and how they cross.

All the checks of the patches are laid on one, and that one is held against checks of two yarns
drawn for every number of threads, in plain weave and in 2/2 twill: four threads of either in twill
make a houndstooth, six or eight a shepherd's check (T13), and in plain weave the same make a
gingham's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.cloth import Cloth
from plaidcut.cloth.field import Floats
from plaidcut.cloth.lattice import Structure
from plaidcut.cloth.light import percept
from plaidcut.cloth.mesh import mesh_nodes, over_mesh
from plaidcut.cloth.patches import Patch
from plaidcut.stripes.fold import Folded

CELLS: Final = 96
"""Samples each way over one repeat."""
MOST_REPEAT_MM: Final = 20.0
"""Eight threads and eight of the coarsest yarn (facts section 10)."""
THREADS: Final = range(2, 13)
"""Threads in one check that are tried; ginghams may have one more one way than the other."""
SOFT_THREADS: Final = 0.3
"""Blur of a drawn check, of one thread, standard deviation: fulled yarns have no sharp edge."""
LEAST_LIKE: Final = 0.5
"""Correlation with a drawn check from which it is one ..."""
CLEARLY: Final = 0.15
"""... if that of the best with other threads or weave is less by this: right ones have 0.65 to
0.98 and lead by 0.25 and more (drawn photos)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallCheck:
    """Of what a small check is made."""

    threads: tuple[int, int]
    """Threads in one check, light or dark: of up, and of across."""
    structure: Structure
    slant: int
    """-1 for a twill whose lines rise to the right with up upright, 1 to the left, else 0."""
    like: float
    """Correlation with it as drawn."""
    beside: float
    """The same of the next best with other threads or weave."""

    @property
    def sure(self) -> bool:
        """Whether it is like one drawn check, and clearly more than like any other."""
        return self.like >= LEAST_LIKE and self.like - self.beside >= CLEARLY


def small_check(
    patches: Sequence[Patch], cloth: Cloth, folds: tuple[Folded | None, Folded | None]
) -> SmallCheck | None:
    """Which small check the cloth is most like; None where its repeats are none of one."""
    up, across = folds
    if not patches or up is None or across is None:
        return None
    if max(up.repeat_mm, across.repeat_mm) > MOST_REPEAT_MM:
        return None
    seen = _laid_on_one(patches, cloth, (up, across))
    if seen is None:
        return None
    best: dict[_Key, float] = {}
    spectrum = np.fft.rfft2(_standard(seen))
    for key, drawn in _drawn():
        like = np.fft.irfft2(spectrum * np.conj(drawn)) / CELLS**2
        best[key] = max(best.get(key, 0.0), float(np.abs(like).max()))
    order = sorted(best, key=lambda key: -best[key])
    threads, structure, slant = order[0]
    return SmallCheck(
        threads=threads,
        structure=structure,
        slant=slant,
        like=best[order[0]],
        beside=best[order[1]],
    )


def _laid_on_one(
    patches: Sequence[Patch], cloth: Cloth, folds: tuple[Folded, Folded]
) -> Floats | None:
    """Mean tones (CELLS, CELLS) over one repeat, along the colours' main contrast."""
    total, count = np.zeros((CELLS * CELLS, 3)), np.zeros(CELLS * CELLS)
    for patch in patches:
        shape = patch.light.shape[:2]
        xy = patch.xy_of(mesh_nodes(shape))
        phases = [
            folded.phase_mm(field.value(xy)) / folded.repeat_mm
            for field, folded in zip(cloth.fields, folds, strict=True)
        ]
        at = over_mesh(np.stack(phases, axis=-1), shape)
        index = np.floor((at % 1) * CELLS).astype(int) % CELLS
        place = (index[..., 1] * CELLS + index[..., 0]).ravel()
        tones = percept(patch.light).reshape(-1, 3)
        count += np.bincount(place, minlength=CELLS * CELLS)
        for c in range(3):
            total[:, c] += np.bincount(place, weights=tones[:, c], minlength=CELLS * CELLS)
    if count.min() < 1:
        return None
    mean = total / count[:, None]
    _, _, axes = np.linalg.svd(mean - mean.mean(axis=0), full_matrices=False)
    return np.asarray((mean @ axes[0]).reshape(CELLS, CELLS))


def _standard(picture: Floats) -> Floats:
    """What of it no sum of a column's and a row's value explains, its variance one."""
    away = picture - picture.mean(axis=0) - picture.mean(axis=1, keepdims=True) + picture.mean()
    return np.asarray(away / (away.std() + 1e-12))


_Key = tuple[tuple[int, int], Structure, int]


@cache
def _drawn() -> tuple[tuple[_Key, NDArray[np.complex128]], ...]:
    """Spectra of the checks that are tried."""
    return tuple((key, np.fft.rfft2(_standard(picture))) for key, picture in _checks())


def _checks() -> Iterator[tuple[_Key, Floats]]:
    """Checks of all numbers of threads: 1 where a dark yarn lies on top.

    Where they begin in the twill's own step of four makes four figures. Odd checks in twill are
    left out: they are out of step with it, and each differs from the next.
    """
    for up in THREADS:
        for across in range(max(THREADS[0], up - 1), min(THREADS[-1], up + 1) + 1):
            for late in range(2):
                yield ((up, across), Structure.PLAIN, 0), _check(up, across, 2, 1, late)
        if up % 2 == 0:
            for late in range(4):
                for slant in (1, -1):
                    yield ((up, up), Structure.TWILL, slant), _check(up, up, 4, slant, late)


def _check(up: int, across: int, step: int, slant: int, late: int) -> Floats:
    """One check of so many threads, woven over and under half of ``step`` threads."""
    from scipy import ndimage

    fine = (np.arange(CELLS) + 0.5) / CELLS
    i = np.floor(fine * 2 * up).astype(int)[None]
    j = np.floor(fine * 2 * across).astype(int)[:, None]
    up_on_top = (i - slant * j + late) % step < step // 2
    dark = np.where(up_on_top, i < up, j < across).astype(float)
    soft = [SOFT_THREADS * CELLS / (2 * threads) for threads in (across, up)]
    return np.asarray(ndimage.gaussian_filter(dark, soft, mode="wrap"))
