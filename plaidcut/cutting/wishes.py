"""What she wants of a piece: stripes kept whole, bands all one colour, and the rest.

Wishes are typed as bands and the cut for them: ``U4``, ``U4 8``, ``U3-U5 #8.5``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from plaidcut.cutting.cuts import Cut, CutTable, parse_cut
from plaidcut.cutting.yields import State, run_width, state_of, whole_width_mm
from plaidcut.errors import NothingFits, UsageError
from plaidcut.stripes.measurement import Band, Direction, Measurement, ThreadSystem
from plaidcut.stripes.runs import parse_run
from plaidcut.units import told


class Rest(StrEnum):
    """What becomes of strips that hold nothing wanted."""

    MIXED = "mixed"
    """They are kept, as mixed strips."""
    LEFT = "left"
    """They are waste: what isn't wanted is left uncut where that can be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keep:
    """A stripe to be kept whole in one strip."""

    bands: tuple[str, ...]
    cut: Cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Only:
    """A band of which strips of nothing else are wanted."""

    band: str
    cut: Cut


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """All that she wants of strips of one thread direction."""

    cut: Cut
    """What everything else is cut in."""
    keep: tuple[Keep, ...] = ()
    only: tuple[Only, ...] = ()
    rest: Rest = Rest.MIXED

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The cuts that are used, each once, narrowest first."""
        named = {self.cut, *(each.cut for each in self.keep), *(each.cut for each in self.only)}
        return tuple(sorted(named, key=lambda cut: cut.width_mm))


def wishes_of(
    measurement: Measurement,
    direction: Direction,
    *,
    cut: Cut,
    table: CutTable,
    keep: Sequence[str] = (),
    only: Sequence[str] = (),
    rest: Rest = Rest.MIXED,
    wander_mm: float,
) -> Wishes:
    """The wishes for one thread direction; those of the other are left out.

    Without any wish for this direction its bold stripes are to be kept, those that the cut
    can keep.

    Parameters
    ----------
    measurement
        The cloth.
    direction
        Whose bands are meant.
    cut
        Her cut, for whatever names none.
    table
        Where cuts are looked up.
    keep, only
        What was typed: ``"U3-U5 8.5"``; one band each of ``only``.
    rest
        What becomes of other strips.
    wander_mm
        How far an edge may stray.

    Raises
    ------
    UsageError
        If a wish can't be read, or names bands that there aren't.
    NothingFits
        If a stripe is wider than the cut that is to keep it, or a band has room for no strip.
    """
    system = measurement.system(direction)
    kept = [
        Keep(bands=bands, cut=own or cut)
        for bands, own in (_parsed(text, measurement, table) for text in keep)
        if bands[0].startswith(direction.letter)
    ]
    alone = [
        Only(band=bands[0], cut=own or cut)
        for bands, own in (_one_band(text, measurement, table) for text in only)
        if bands[0].startswith(direction.letter)
    ]
    for each in kept:
        _check_kept(each, system, wander_mm)
    for one in alone:
        _check_alone(one, system, wander_mm)
    if not kept and not alone:
        bold = [Keep(bands=stripe.bands, cut=cut) for stripe in system.stripes]
        kept = [each for each in bold if _state(each, system, wander_mm) is not State.SPLIT]
    return Wishes(cut=cut, keep=tuple(kept), only=tuple(alone), rest=rest)


def bands_of(ids: Sequence[str], system: ThreadSystem) -> list[Band]:
    """The bands of a run of ids."""
    return [system.band(band_id) for band_id in ids]


def _state(wish: Keep, system: ThreadSystem, wander_mm: float) -> State:
    width_mm, std_mm = run_width(bands_of(wish.bands, system))
    return state_of(wish.cut, width_mm, std_mm, wander_mm)


def _parsed(
    text: str, measurement: Measurement, table: CutTable
) -> tuple[tuple[str, ...], Cut | None]:
    """The bands that a wish names, and its cut if it names one."""
    match = re.fullmatch(r"\s*([UXux]\d+(?:\s*[-–]\s*[UXux]\d+)?)(?:\s+(?:in\s+)?(.+?))?\s*", text)
    if match is None:
        msg = f'"{text}" names no band.'
        raise UsageError(msg, hint='Write the bands and the cut: "U4 8", or "U3-U5 8.5".')
    bands = parse_run(match[1], measurement)
    for band in bands_of(bands, measurement.system_of(bands[0])):
        if band.partial:
            msg = f"The photo cuts {band.id} off, so its width isn't known."
            raise UsageError(msg, hint="Choose another band, or take a photo that shows it whole.")
    return bands, None if match[2] is None else parse_cut(match[2], table)


def _one_band(
    text: str, measurement: Measurement, table: CutTable
) -> tuple[tuple[str, ...], Cut | None]:
    """The one band that a wish for a single colour names."""
    bands, cut = _parsed(text, measurement, table)
    if len(bands) > 1:
        msg = f'"{text}" names several bands; strips of one colour come out of one.'
        raise UsageError(msg, hint="Write a wish for each band.")
    return bands, cut


def _check_kept(wish: Keep, system: ThreadSystem, wander_mm: float) -> None:
    width_mm, std_mm = run_width(bands_of(wish.bands, system))
    if not system.striped:
        msg = f"{wish.bands[0]} is plain cloth: there is no stripe to keep."
        raise UsageError(msg, hint="Choose a band of the other thread direction.")
    if state_of(wish.cut, width_mm, std_mm, wander_mm) is State.SPLIT:
        name = "-".join(dict.fromkeys((wish.bands[0], wish.bands[-1])))
        least_mm = whole_width_mm(width_mm, std_mm, wander_mm)
        msg = (
            f"{name} is {told(width_mm)} wide: wider than a {wish.cut.label} strip of "
            f"{told(wish.cut.width_mm)}."
        )
        least = told(least_mm, at_least=True)
        hint = f"Keep it in a cut of at least {least}, or ask for strips of it alone."
        raise NothingFits(msg, hint=hint)


def _check_alone(wish: Only, system: ThreadSystem, wander_mm: float) -> None:
    band = system.band(wish.band)
    need_mm = whole_width_mm(wish.cut.width_mm, band.width_std_mm, wander_mm)
    if system.striped and need_mm > band.width_mm:
        msg = (
            f"{wish.band} is {told(band.width_mm)} wide, and a {wish.cut.label} strip of nothing "
            f"else needs {told(need_mm, at_least=True)}, as the edge may stray."
        )
        raise NothingFits(
            msg, hint="Choose a narrower cut for it, or keep it whole in a wider one."
        )
