"""The texture of a measured cloth: how its threads lie, and what figure they make."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.cloth.close_look import CloseLook, close_look
from plaidcut.cloth.cloth import Cloth
from plaidcut.cloth.columns import Columns
from plaidcut.cloth.field import Floats
from plaidcut.cloth.lattice import Structure
from plaidcut.stripes.finer import THIN
from plaidcut.stripes.flecks import Flecks, flecks
from plaidcut.stripes.glen import Glen, glen_blocks
from plaidcut.stripes.measurement import (
    ColumnsRecord,
    Direction,
    ThreadPitch,
    ThreadSystem,
    TwillWay,
    WeaveRecord,
)
from plaidcut.stripes.small_check import SmallCheck, small_check

if TYPE_CHECKING:
    from plaidcut.photo import Photo
    from plaidcut.stripes.measure import SystemFound

WOVEN_BAND_MM: Final = 2.5
"""Bands so narrow on the mean are drawn by the weave, and hide the threads' own lattice (chosen
here)."""
PITCH_STD: Final = 0.015
"""Relative standard uncertainty over which a pitch isn't told: patches that differ so much don't
all show the threads, and the cut that holds is chosen by it (drawn photos: 1 % as a rule)."""
GLENS_ALIKE: Final = 0.25
"""Share by which the pitches of a glen check's two systems may differ."""
GLEN_STEP: Final = 4
"""Threads by which a glen check's repeat grows: two dark and two light."""
GLEN_STD: Final = 0.03
"""Relative standard uncertainty of a glen's pitch by wavelets alone (drawn photos)."""
COUNTED_STD: Final = 0.004
"""Relative standard uncertainty of a pitch that is a repeat over a count of threads (chosen here:
what the fields' stretch leaves)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Texture:
    """What single threads, small checks, blocks, columns and flecks were seen."""

    weave: WeaveRecord
    small: SmallCheck | None = None
    """A check of few threads, where it is clearly one."""
    small_unclear: bool = False
    """Whether there is a check of few threads of which it isn't clear."""
    glen: bool = False
    columns: Columns | None = None
    flecks: Flecks | None = None


def texture_of(
    photo: Photo,
    cloth: Cloth,
    found: tuple[SystemFound, SystemFound],
    systems: tuple[ThreadSystem, ThreadSystem],
    *,
    shared_std: float,
) -> Texture:
    """Look at the texture of a cloth whose bands are found.

    ``shared_std`` is the relative standard uncertainty that the photo's lengths share.
    """
    striped = any(system.striped for system in systems)
    along = _across_deg(cloth) if striped else None
    look = cloth.look
    if striped or look is None or look.scale is not cloth.scale:
        look = close_look(photo, cloth.scale, cloth.view, cloth.marked, along_deg=along)
    weave = _weave_of(look, cloth, shared_std)
    texture = Texture(
        weave=weave, columns=look.columns, flecks=None if striped else flecks(look.patches)
    )
    woven = [system for system in systems if system.striped and _mean_band(system) < WOVEN_BAND_MM]
    patterned = [
        system.striped or each.too_fine for system, each in zip(systems, found, strict=True)
    ]
    if not all(patterned):
        return replace(texture, weave=WeaveRecord(), small_unclear=True) if woven else texture
    if all(system.striped for system in systems):
        small = small_check(look.patches, cloth, (found[0].folded, found[1].folded))
        if small is not None and (small.sure or not all(map(_thin_lines, systems))):
            return _with_small(texture, small, systems, shared_std)
    up = glen_blocks(found[0].profile)
    across = None if up is None else glen_blocks(found[1].profile)
    if up is not None and across is not None and _alike(up, across):
        return _with_glen(texture, (up, across), found, systems, shared_std)
    if len(woven) == len(systems) or not all(system.striped for system in systems):
        return replace(texture, weave=WeaveRecord(), small_unclear=True)
    return texture


def _weave_of(look: CloseLook, cloth: Cloth, shared_std: float) -> WeaveRecord:
    """The record of a lattice, its systems named as the cloth's are."""
    lattice, columns = look.lattice, look.columns
    if lattice is None or (lattice.structure is Structure.HERRINGBONE and columns is None):
        return WeaveRecord()  # lines that zigzag without columns are no threads' lattice
    normals = _mean_normals(cloth)
    # which of the lattice's waves belongs to up, and which to across
    alike = lattice.waves @ normals.T / np.linalg.norm(lattice.waves, axis=1)[:, None]
    own = (0, 1) if abs(alike[0, 0]) >= abs(alike[0, 1]) else (1, 0)
    turns = np.sign([alike[own[0], 0], alike[own[1], 1]])
    pitches = [
        ThreadPitch(
            mm=float(lattice.pitch_mm[k]),
            std_mm=float(lattice.pitch_mm[k] * np.hypot(lattice.waves_std[k], shared_std)),
        )
        if lattice.waves_std[k] < PITCH_STD
        else None
        for k in own
    ]
    return WeaveRecord(
        structure=lattice.structure,
        twill=_way(lattice.slant * int(turns.prod())),
        up=pitches[0],
        across=pitches[1],
        columns=None
        if columns is None
        else ColumnsRecord(
            along=Direction.UP if columns.system == own[0] else Direction.ACROSS,
            width_mm=columns.width_mm,
            std_mm=float(np.hypot(columns.width_std_mm, shared_std * columns.width_mm)),
        ),
    )


def _way(slant: int) -> TwillWay | None:
    """Which way lines rise whose wave vector points to the right and, at a slant of 1, down."""
    return {1: TwillWay.RIGHT, -1: TwillWay.LEFT}.get(slant)


def _with_small(
    texture: Texture,
    small: SmallCheck,
    systems: tuple[ThreadSystem, ThreadSystem],
    shared_std: float,
) -> Texture:
    """The texture of a small check: its repeat holds twice its threads, if they are counted."""
    if not small.sure:
        return replace(texture, weave=WeaveRecord(), small_unclear=True)
    repeats = [system.repeat_mm for system in systems]
    up, across = (
        _counted(repeat / (2 * threads), shared_std)
        for repeat, threads in zip(repeats, small.threads, strict=True)
        if repeat is not None
    )
    weave = WeaveRecord(
        structure=small.structure,
        twill=_way(-small.slant),
        up=up,
        across=across,
        check_threads=small.threads,
    )
    return replace(texture, weave=weave, small=small)


def _with_glen(
    texture: Texture,
    glens: tuple[Glen, Glen],
    found: tuple[SystemFound, SystemFound],
    systems: tuple[ThreadSystem, ThreadSystem],
    shared_std: float,
) -> Texture:
    """The texture of a glen check; its threads are counted where its repeat is known."""
    up, across = (
        _glen_pitch(*each, shared_std) for each in zip(glens, found, systems, strict=True)
    )
    return replace(texture, glen=True, weave=WeaveRecord(up=up, across=across))


def _glen_pitch(
    glen: Glen, found: SystemFound, system: ThreadSystem, shared_std: float
) -> ThreadPitch:
    """Pitch by which the strongest overtone of the repeat near the twos' period is four threads."""
    rough = glen.thread_mm * found.mm_per_phase
    if system.repeat_mm is None or found.folded is None:
        return ThreadPitch(mm=rough, std_mm=float(rough * np.hypot(GLEN_STD, shared_std)))
    strength = np.abs(np.fft.rfft(found.folded.lab[:, 0]))[1:]
    overtones = np.arange(1, len(strength) + 1)
    away = GLEN_STEP * rough * overtones / system.repeat_mm - 1
    likely = strength * np.exp(-0.5 * (away / GLEN_STD) ** 2)
    count = GLEN_STEP * int(overtones[np.argmax(likely)])
    return _counted(system.repeat_mm / count, shared_std)


def _mean_band(system: ThreadSystem) -> float:
    return float(np.mean([band.width_mm for band in system.bands]))


def _thin_lines(system: ThreadSystem) -> bool:
    """Whether a system's stripes are thin lines on a ground: no small check has such."""
    widths = [band.width_mm for band in system.bands]
    return len(widths) == 2 and min(widths) <= THIN * max(widths)


def _counted(pitch_mm: float, shared_std: float) -> ThreadPitch:
    return ThreadPitch(mm=pitch_mm, std_mm=float(pitch_mm * np.hypot(COUNTED_STD, shared_std)))


def _alike(one: Glen, other: Glen) -> bool:
    ratio = one.thread_mm / other.thread_mm
    return bool(abs(np.log(ratio)) < GLENS_ALIKE)


def _mean_normals(cloth: Cloth) -> Floats:
    """Mean directions (2, 2) across up and across, unit vectors on the plane."""
    points = cloth.points(every_mm=16.0)
    normals = np.array([field.gradient(points).mean(axis=0) for field in cloth.fields])
    return np.asarray(normals / np.linalg.norm(normals, axis=1, keepdims=True))


def _across_deg(cloth: Cloth) -> tuple[float, float]:
    """Directions across both systems, the one nearer to the plane's x axis first, then onwards."""
    up, across = (float(np.rad2deg(np.arctan2(y, x))) for x, y in _mean_normals(cloth))
    first, second = ((each + 90) % 180 - 90 for each in (up, across))
    if abs(first) > abs(second):
        first, second = second, first
    return first, second if second > first else second + 180
