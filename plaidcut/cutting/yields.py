"""What a measured cloth yields: strips per band, and the stripe table.

An edge strays by up to the *wander* from where it was aimed. With ``S`` the width of a stripe
and ``σ`` its standard uncertainty, a cut ``c`` mm wide keeps it *whole* if
``c ≥ S + 2σ + 2·wander``, is *tight* if it is at least S, else it *splits* the stripe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.fitting import Window, most_disjoint, strips_per_repeat
from plaidcut.cutting.strips import StripCount, fitting, least_wander_mm, strip_count
from plaidcut.cutting.textures import TextureStrips, texture_strips
from plaidcut.errors import UsageError
from plaidcut.stripes.measurement import Band, Direction, Measurement, ThreadSystem
from plaidcut.stripes.runs import TOLERANCE_MM, occurrences, run_stds
from plaidcut.units import MM_PER_INCH

WANDER_TORN_MM: Final = MM_PER_INCH / 32
"""How far an edge strays on a piece to 16 in long off a torn edge (common practice)."""


class State(StrEnum):
    """What a cut makes of a stripe."""

    WHOLE = "whole"
    """One strip holds it, however the edge wanders."""
    TIGHT = "tight"
    """One strip holds it if it is cut just right."""
    SPLIT = "split"
    """It is wider than the strip."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandYield:
    """The strips of one band."""

    direction: Direction
    band: Band
    strips: tuple[StripCount, ...]
    """One of each cut; none where the band's width isn't known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripeCut:
    """What one cut makes of a stripe."""

    cut: Cut
    state: State
    share: float
    """Part of the strip's width that is stripe."""
    kept: float
    """Part of the stripe's width that one strip holds."""
    margin_mm: float
    """Ground on each side of a stripe in the middle of its strip; negative when split."""
    plain_per_repeat: float | None
    """Strips per repeat, cut edge to edge; None without a repeat."""
    whole_per_repeat: float | None
    """The most strips per repeat that each hold the stripe whole; None without a repeat."""
    all_stripe: int
    """Strips that are all stripe, however the edge wanders."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripeYield:
    """One stripe in every cut."""

    direction: Direction
    bands: tuple[str, ...]
    width_mm: float
    width_std_mm: float
    best_cut: Cut | None
    """The narrowest cut that keeps it whole."""
    hand_width_mm: float | None
    """Where no cut does: the width to cut or tear by hand."""
    cuts: tuple[StripeCut, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionCount:
    """What one cut makes of a section."""

    strips: StripCount
    whole: int | None
    """Strips that each hold a stripe whole; None when no stripe lies in the section."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the cloth, from one band to another."""

    direction: Direction
    bands: tuple[str, ...]
    width_mm: float
    width_std_mm: float
    stripes: tuple[tuple[str, ...], ...]
    """The stripes that lie whole in it."""
    cuts: tuple[SectionCount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Yields:
    """What the cloth yields, in every cut."""

    wander_mm: float
    cuts: tuple[Cut, ...]
    """Narrowest first."""
    bands: tuple[BandYield, ...]
    stripes: tuple[StripeYield, ...]
    section: Section | None
    texture: TextureStrips


def yields_of(
    measurement: Measurement,
    cuts: Sequence[Cut],
    *,
    keep: Sequence[tuple[str, ...]] = (),
    section: tuple[str, ...] | None = None,
    wander_mm: float = WANDER_TORN_MM,
) -> Yields:
    """Count the strips of every band, and what every cut makes of every stripe.

    Parameters
    ----------
    measurement
        The cloth.
    cuts
        The cuts to answer for; the best cut of a stripe is looked for among them.
    keep
        Stripes to keep whole, as ids of neighbouring bands, in place of the bold ones.
    section
        Ids of the neighbouring bands of a section to count in.
    wander_mm
        How far an edge may stray from where it was aimed; taken for one yarn at least, where
        the pitch of the threads is known.

    Raises
    ------
    UsageError
        If a stripe to keep, or the section, holds a band that the picture cuts off, or is
        plain cloth.
    """
    ordered = tuple(sorted(cuts, key=lambda cut: cut.width_mm))
    runs = _stripes_to_keep(measurement, keep)
    wander = {each: least_wander_mm(measurement, each, wander_mm) for each in Direction}
    bands = tuple(
        BandYield(
            direction=system.direction,
            band=band,
            strips=tuple(
                strip_count(cut, band.width_mm, band.width_std_mm, wander[system.direction])
                for cut in ordered
            )
            if system.striped and not band.partial
            else (),
        )
        for system in measurement.systems
        for band in system.bands
    )
    return Yields(
        wander_mm=wander_mm,
        cuts=ordered,
        bands=bands,
        texture=texture_strips(measurement, ordered),
        stripes=tuple(
            _stripe_yield(system, run, ordered, wander[system.direction]) for system, run in runs
        ),
        section=None
        if section is None
        else _section(
            measurement,
            section,
            ordered,
            runs,
            wander[measurement.system_of(section[0]).direction],
        ),
    )


def whole_width_mm(width_mm: float, width_std_mm: float, wander_mm: float) -> float:
    """The least width of strip that keeps a stripe whole, however the edge wanders."""
    return width_mm + 2 * width_std_mm + 2 * wander_mm


def state_of(cut: Cut, width_mm: float, width_std_mm: float, wander_mm: float) -> State:
    """What a cut makes of a stripe of that width."""
    reach_mm = cut.width_mm + TOLERANCE_MM
    if reach_mm >= whole_width_mm(width_mm, width_std_mm, wander_mm):
        return State.WHOLE
    return State.TIGHT if reach_mm >= width_mm else State.SPLIT


def run_width(bands: Sequence[Band]) -> tuple[float, float]:
    """Width of neighbouring bands together, and its standard uncertainty, in mm."""
    return sum(band.width_mm for band in bands), run_stds(bands)[1]


def _stripes_to_keep(
    measurement: Measurement, keep: Sequence[tuple[str, ...]]
) -> list[tuple[ThreadSystem, list[Band]]]:
    """The stripes that the table is about: those asked for, else the bold ones."""
    if keep:
        return [_known_run(measurement, ids) for ids in keep]
    return [
        _known_run(measurement, stripe.bands)
        for system in measurement.systems
        for stripe in system.stripes
    ]


def _known_run(measurement: Measurement, ids: Sequence[str]) -> tuple[ThreadSystem, list[Band]]:
    """The bands of a run, all of known width."""
    system = measurement.system_of(ids[0])
    bands = [system.band(band_id) for band_id in ids]
    if not system.striped:
        raise UsageError(
            f"{ids[0]} is plain cloth: there is no stripe to keep or to count in.",
            hint="Choose a band of the other thread direction.",
        )
    for band in bands:
        if band.partial:
            raise UsageError(
                f"The photo cuts {band.id} off, so its width isn't known.",
                hint="Choose another band, or take a photo that shows it whole.",
            )
    return system, bands


def _stripe_yield(
    system: ThreadSystem, run: Sequence[Band], cuts: Sequence[Cut], wander_mm: float
) -> StripeYield:
    width_mm, std_mm = run_width(run)
    best = next(
        (cut for cut in cuts if state_of(cut, width_mm, std_mm, wander_mm) is State.WHOLE), None
    )
    return StripeYield(
        direction=system.direction,
        bands=tuple(band.id for band in run),
        width_mm=width_mm,
        width_std_mm=std_mm,
        best_cut=best,
        hand_width_mm=None if best else whole_width_mm(width_mm, std_mm, wander_mm),
        cuts=tuple(_stripe_cut(system, run, cut, wander_mm) for cut in cuts),
    )


def _stripe_cut(system: ThreadSystem, run: Sequence[Band], cut: Cut, wander_mm: float) -> StripeCut:
    width_mm, std_mm = run_width(run)
    repeat_mm = system.repeat_mm
    whole = None
    if repeat_mm is not None:
        whole = strips_per_repeat(
            _windows(system.bands, run, cut, wander_mm, circular=True),
            repeat_mm=repeat_mm,
            strip_mm=cut.width_mm,
        )
    return StripeCut(
        cut=cut,
        state=state_of(cut, width_mm, std_mm, wander_mm),
        share=min(width_mm, cut.width_mm) / cut.width_mm,
        kept=min(1.0, cut.width_mm / width_mm),
        margin_mm=(cut.width_mm - width_mm) / 2,
        plain_per_repeat=None if repeat_mm is None else repeat_mm / cut.width_mm,
        whole_per_repeat=whole,
        all_stripe=fitting(cut, width_mm - 2 * std_mm - 2 * wander_mm),
    )


def _windows(
    bands: Sequence[Band], run: Sequence[Band], cut: Cut, wander_mm: float, *, circular: bool
) -> list[Window]:
    """Where a strip that holds the stripe whole may start: one window an occurrence.

    A strip that keeps it whole needs the wander on each side, a tight one nothing.
    """
    width_mm, std_mm = run_width(run)
    state = state_of(cut, width_mm, std_mm, wander_mm)
    if state is State.SPLIT:
        return []
    margin_mm = wander_mm if state is State.WHOLE else 0.0
    begins_mm = np.cumsum([0.0, *(band.width_mm for band in bands)])
    found = []
    for start in occurrences(bands, run, circular=circular):
        begin_mm = float(begins_mm[start])
        end_mm = begin_mm + sum(bands[(start + k) % len(bands)].width_mm for k in range(len(run)))
        earliest_mm, latest_mm = end_mm + margin_mm - cut.width_mm, begin_mm - margin_mm
        if earliest_mm > latest_mm:  # an occurrence measured a hair wider than the stripe
            earliest_mm = latest_mm = (earliest_mm + latest_mm) / 2
        found.append(Window(earliest_mm, latest_mm))
    return found


def _section(
    measurement: Measurement,
    ids: tuple[str, ...],
    cuts: Sequence[Cut],
    runs: Sequence[tuple[ThreadSystem, Sequence[Band]]],
    wander_mm: float,
) -> Section:
    """A section: the strips in it, and those that each hold one of its stripes whole.

    A strip that holds a stripe at the section's end whole may reach beyond it, as the cloth
    goes on there.
    """
    system, bands = _known_run(measurement, ids)
    width_mm, std_mm = run_width(bands)
    inside = [run for of, run in runs if of is system and occurrences(bands, run, circular=False)]

    def whole(cut: Cut) -> int | None:
        windows = [
            window
            for run in inside
            for window in _windows(bands, run, cut, wander_mm, circular=False)
        ]
        return most_disjoint(windows, strip_mm=cut.width_mm) if inside else None

    return Section(
        direction=system.direction,
        bands=ids,
        width_mm=width_mm,
        width_std_mm=std_mm,
        stripes=tuple(tuple(band.id for band in run) for run in inside),
        cuts=tuple(
            SectionCount(strips=strip_count(cut, width_mm, std_mm, wander_mm), whole=whole(cut))
            for cut in cuts
        ),
    )
