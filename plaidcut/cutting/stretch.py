"""The stretch of cloth that a piece is: which bands lie where between its two edges."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from plaidcut.errors import NothingFits, UsageError
from plaidcut.stripes.measurement import Band, ThreadSystem
from plaidcut.stripes.runs import TOLERANCE_MM, occurrences
from plaidcut.units import parse_length, told


@dataclass(frozen=True, slots=True, kw_only=True)
class Lying:
    """A band where it lies on the piece, in mm from the piece's left (or upper) edge."""

    band: Band
    start_mm: float
    end_mm: float
    """Both may lie beyond the piece: the band is cut off there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """The bands of a piece, in order."""

    width_mm: float
    bands: tuple[Lying, ...]

    def edges_mm(self) -> list[float]:
        """Where two bands meet on the piece: what she can see and line up on."""
        return [each.start_mm for each in self.bands[1:]]

    def band_at(self, at_mm: float) -> Lying:
        """The band at a place, the one after it where two meet."""
        for each in reversed(self.bands):
            if each.start_mm <= at_mm + TOLERANCE_MM:
                return each
        return self.bands[0]

    def under(self, start_mm: float, end_mm: float) -> list[tuple[Band, float]]:
        """The bands of a strip, and how many mm of each, in order."""
        found = []
        for each in self.bands:
            width_mm = min(end_mm, each.end_mm) - max(start_mm, each.start_mm)
            if width_mm > TOLERANCE_MM:
                found.append((each.band, width_mm))
        return found


def stretch_of(system: ThreadSystem, width_mm: float, *, phase_mm: float = 0.0) -> Stretch:
    """Lay the bands of a cloth over a piece.

    Parameters
    ----------
    system
        The bands across the piece.
    width_mm
        The piece's width across the threads.
    phase_mm
        What stands at its left edge, from the start of the repeat (or of what was seen).

    Raises
    ------
    NothingFits
        If the cloth has stripes but no repeat, and the piece reaches beyond what was seen.
    """
    if not system.striped:
        band = system.bands[0]
        return Stretch(width_mm=width_mm, bands=(Lying(band=band, start_mm=0.0, end_mm=width_mm),))
    shown_mm = seen_mm(system)
    around_mm = system.repeat_mm or shown_mm
    if system.repeat_mm is None and phase_mm + width_mm > shown_mm + TOLERANCE_MM:
        msg = (
            f"The photo shows {told(shown_mm)} of this cloth and no repeat, and the piece "
            f"reaches {told(phase_mm + width_mm)}."
        )
        raise NothingFits(msg, hint="Take a photo of the whole piece, or plan a narrower one.")
    first = math.floor(phase_mm / around_mm)
    last = math.ceil((phase_mm + width_mm) / around_mm)
    lying = [
        Lying(band=band, start_mm=start_mm, end_mm=start_mm + band.width_mm)
        for turn in range(first, last + 1)
        for band, start_mm in zip(
            system.bands, _starts(system.bands, turn * around_mm - phase_mm), strict=True
        )
    ]
    return Stretch(
        width_mm=width_mm,
        bands=tuple(
            each
            for each in lying
            if each.end_mm > TOLERANCE_MM and each.start_mm < width_mm - TOLERANCE_MM
        ),
    )


def seen_mm(system: ThreadSystem) -> float:
    """Width of all bands of a direction: one repeat, or without one all that was seen."""
    return sum(band.width_mm for band in system.bands)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place on a piece, as she can find it: from an edge between two bands, or the piece's."""

    at_mm: float
    """From the piece's left (upper) edge."""
    band: str | None
    """The band whose left (upper) edge is nearest; None for the piece's own edge."""
    before: str | None
    """The band that ends there; None where the piece does."""
    off_mm: float
    """How far it lies to the right of (below) that edge; negative to the left (above)."""
    number: int = 1
    """Which of the bands of that id on the piece, counted from the left (top) ..."""
    of: int = 1
    """... and how many of them there are."""


def place_of(stretch: Stretch, at_mm: float) -> Place:
    """Say where a place is, from the nearest edge that can be seen once the piece is torn out."""
    edges = [(0.0, -1), *((each.start_mm, k) for k, each in enumerate(stretch.bands) if k)]
    edge_mm, k = min(edges, key=lambda edge: abs(edge[0] - at_mm))
    if k < 0:
        return Place(at_mm=at_mm, band=None, before=None, off_mm=at_mm)
    ids = [each.band.id for each in stretch.bands]
    return Place(
        at_mm=at_mm,
        band=ids[k],
        before=ids[k - 1],
        off_mm=at_mm - edge_mm,
        number=ids[1 : k + 1].count(ids[k]),
        of=ids[1:].count(ids[k]),
    )


def beginning_of(stretch: Stretch) -> Place:
    """Say where a piece begins, from the nearest edge of the cloth that it is torn out of."""
    first = stretch.bands[0]
    into_mm, left_mm = -first.start_mm, first.end_mm
    if len(stretch.bands) > 1 and left_mm < into_mm:
        return Place(
            at_mm=0.0, band=stretch.bands[1].band.id, before=first.band.id, off_mm=-left_mm
        )
    return Place(at_mm=0.0, band=first.band.id, before=None, off_mm=into_mm)


def seen_at_edge(system: ThreadSystem) -> float:
    """What stands at the left (upper) edge of the cloth in its photo, mm from the repeat's start.

    Raises
    ------
    UsageError
        If there is no photo.
    """
    if system.angle_px_deg is None:
        msg = "Widths typed by hand have no photo, which would show where the cloth begins."
        raise UsageError(msg, hint='Say what stands at the edge of the piece: --at "U3 + 1/4 in".')
    return 0.0 if system.repeat_mm is None else -system.origin_mm % system.repeat_mm


def runs_on(stretch: Stretch, run: Sequence[Band]) -> list[tuple[float, float]]:
    """Where a run of bands, either way round, lies whole on the piece: start and end in mm."""
    bands = [each.band for each in stretch.bands]
    spans = [
        (stretch.bands[start].start_mm, stretch.bands[start + len(run) - 1].end_mm)
        for start in occurrences(bands, run, circular=False)
    ]
    return [
        (start, end)
        for start, end in spans
        if start >= -TOLERANCE_MM and end <= stretch.width_mm + TOLERANCE_MM
    ]


def parse_place(text: str, system: ThreadSystem) -> float:
    """What stands at a piece's edge, as typed, in mm from the start of the repeat.

    Raises
    ------
    UsageError, BadLength
        If it names no band of this direction, or a place beyond that band.

    Examples
    --------
    >>> from plaidcut.tasks import measure_by_hand
    >>> cloth = measure_by_hand("red 1/2 in, black 1 in")
    >>> round(parse_place("U2 + 1/4 in", cloth.up), 2)
    19.05
    """
    match = re.fullmatch(r"\s*([UXux]\d+)\s*(?:\+\s*(.+))?", text)
    known = {band.id: band for band in system.bands}
    if match is None or match[1].upper() not in known:
        first, last = system.bands[0].id, system.bands[-1].id
        msg = f'"{text}" is no place in this cloth: its bands here are {first} to {last}.'
        raise UsageError(
            msg, hint=f'Write a band, or a band and how far into it: "{first} + 5 mm".'
        )
    band = known[match[1].upper()]
    into_mm = parse_length(match[2], zero=True) if match[2] else 0.0
    if into_mm > band.width_mm + TOLERANCE_MM:
        msg = f'"{text}" lies beyond {band.id}, which is {told(band.width_mm)} wide.'
        raise UsageError(msg, hint="Name the band that stands at the edge itself.")
    return band.start_mm + into_mm


def _starts(bands: Sequence[Band], from_mm: float) -> list[float]:
    """Where bands side by side start."""
    widths = [band.width_mm for band in bands]
    return [from_mm + sum(widths[:k]) for k in range(len(widths))]
