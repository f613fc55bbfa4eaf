"""A thread system whose bands are laid anew: ids, places, edges and the repeat follow them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.measurement import Band, Direction, ThreadSystem
from plaidcut.stripes.runs import TOLERANCE_MM, shared_std

Points = NDArray[np.float64]

Laid = Mapping[int, tuple[int, tuple[Band, ...]]]
"""By the index of a run's first band: how many bands it has, and those that take its place."""


def with_laid(system: ThreadSystem, laid: Laid) -> ThreadSystem:
    """The system with other bands in the place of runs of its own, as wide together.

    Parameters
    ----------
    system
        One repeat, or all that is seen.
    laid
        Runs that don't overlap and don't go round the repeat's start.

    Notes
    -----
    An edge inside a run that became one band is dropped. One that parts a band into several is
    drawn at its share of the way between the two traced edges beside it.
    """
    bands: list[Band] = []
    first_of: dict[str, int] = {}
    last_of: dict[str, int] = {}
    k = 0
    while k < len(system.bands):
        count, parts = laid.get(k, (1, (system.bands[k],)))
        for old in system.bands[k : k + count]:
            first_of[old.id], last_of[old.id] = len(bands), len(bands) + len(parts) - 1
        bands += parts
        k += count
    if len(bands) == 1 and system.striped:
        return _plain(system, bands[0])
    lettered = _lettered(system.direction, bands)
    ids: dict[int | None, str] = {k: band.id for k, band in enumerate(lettered)}
    parts_of = {
        system.bands[k].id: parts for k, (count, parts) in laid.items() if len(parts) > count
    }
    lines: list[Points] = []
    beside: list[tuple[str | None, str | None]] = []
    for k, (before, after) in enumerate(system.edge_bands):
        place = (ids.get(last_of.get(before or "")), ids.get(first_of.get(after or "")))
        if place[0] is None or place[0] != place[1]:
            lines.append(system.edges_px[k])
            beside.append(place)
        if after in parts_of and after in [pair[0] for pair in system.edge_bands[k + 1 : k + 2]]:
            inner = _edges_between(system, k, parts_of[after])
            first = first_of[after]
            lines += inner
            beside += [(ids[first + n], ids[first + n + 1]) for n in range(len(inner))]
    return replace(
        system,
        bands=lettered,
        edges_px=tuple(lines) if system.edge_bands else system.edges_px,
        edge_bands=tuple(beside),
    )


def from_band(system: ThreadSystem, index: int) -> ThreadSystem:
    """The system with its repeat starting at the band of that index."""
    bands = _lettered(system.direction, (*system.bands[index:], *system.bands[:index]))
    named = {old.id: bands[(k - index) % len(bands)].id for k, old in enumerate(system.bands)}
    origin_mm = system.origin_mm
    if system.angle_px_deg is not None and system.repeat_mm is not None:
        origin_mm = (origin_mm + system.bands[index].start_mm) % system.repeat_mm
    return replace(
        system,
        origin_mm=origin_mm,
        bands=bands,
        edge_bands=tuple(
            (named.get(before or ""), named.get(after or "")) for before, after in system.edge_bands
        ),
    )


def with_widths(system: ThreadSystem, bands: Sequence[Band]) -> ThreadSystem:
    """The system with the same bands in other widths, which the repeat follows.

    Notes
    -----
    The first edge that the photo shows stays where it is, as far from the first thread seen.
    The repeat's uncertainty is that of its bands: what each edge has of its own as if they were
    apart, which is rather too much, and what the photo shares added up.
    """
    placed = _placed(bands)
    if system.repeat_mm is None:
        return replace(system, bands=placed)
    repeat_mm = sum(band.width_mm for band in placed)
    return replace(
        system,
        bands=placed,
        repeat_mm=repeat_mm,
        repeat_std_mm=math.hypot(
            *(band.width_edge_std_mm for band in placed),
            sum(shared_std(band) for band in placed),
        ),
        origin_mm=_origin_mm(system, placed, repeat_mm),
    )


def reads_the_same(bands: Sequence[Band]) -> bool:
    """Whether a repeat that starts at a pivot runs to another one and the same way back.

    Repeats of two bands do by nature, and don't count.
    """
    count = len(bands)
    if count < 4 or count % 2:
        return False
    return all(
        abs(bands[k].width_mm - bands[-k].width_mm) <= TOLERANCE_MM
        and np.allclose(bands[k].yarn.lab, bands[-k].yarn.lab, rtol=0, atol=1e-6)
        and np.allclose(bands[k].reads.lab, bands[-k].reads.lab, rtol=0, atol=1e-6)
        for k in range(1, count // 2)
    )


def _lettered(direction: Direction, bands: Sequence[Band]) -> tuple[Band, ...]:
    """Bands side by side, with the ids that go with their order."""
    return tuple(
        replace(band, id=f"{direction.letter}{number}")
        for number, band in enumerate(_placed(bands), start=1)
    )


def _placed(bands: Sequence[Band]) -> tuple[Band, ...]:
    """Bands side by side, each starting where the one before it ends."""
    starts_mm = accumulate((band.width_mm for band in bands[:-1]), initial=0.0)
    return tuple(
        replace(band, start_mm=start_mm) for band, start_mm in zip(bands, starts_mm, strict=True)
    )


def _plain(system: ThreadSystem, band: Band) -> ThreadSystem:
    """A system without stripes, of which the one band is left."""
    return replace(
        system,
        repeat_mm=None,
        repeat_std_mm=None,
        origin_mm=0.0,
        bands=_lettered(system.direction, [replace(band, partial=True)]),
        edges_px=(),
        edge_bands=(),
    )


def _origin_mm(system: ThreadSystem, bands: Sequence[Band], repeat_mm: float) -> float:
    """Where the first repeat starts once its bands have other widths."""
    if system.angle_px_deg is None or system.repeat_mm is None:
        return system.origin_mm
    at_mm = -system.origin_mm % system.repeat_mm
    ends_mm = list(accumulate(band.width_mm for band in system.bands))
    here = next((k for k, end_mm in enumerate(ends_mm) if at_mm < end_mm - TOLERANCE_MM), 0)
    first_edge_mm = ends_mm[here] - at_mm
    return (first_edge_mm - bands[(here + 1) % len(bands)].start_mm) % repeat_mm


def _edges_between(system: ThreadSystem, k: int, parts: Sequence[Band]) -> list[Points]:
    """The edges between a band's parts, drawn between the traced edges k and k + 1."""
    first, second = system.edges_px[k : k + 2]
    angle = np.deg2rad(system.angle_px_deg or 0.0)
    along = np.array([np.cos(angle), np.sin(angle)])
    if min(len(first), len(second)) < 2:
        return []
    ends = [[(line @ along).min(), (line @ along).max()] for line in (first, second)]
    low, high = max(end[0] for end in ends), min(end[1] for end in ends)
    if low >= high:
        return []
    places = np.linspace(low, high, min(len(first), len(second)))
    one, other = (_at_places(line, along, places) for line in (first, second))
    total_mm = sum(part.width_mm for part in parts)
    shares = [at_mm / total_mm for at_mm in accumulate(part.width_mm for part in parts[:-1])]
    return [one + share * (other - one) for share in shares]


def _at_places(line: Points, along: Points, places: NDArray[np.float64]) -> Points:
    """Where an edge passes places along the threads, (N, 2)."""
    order = np.argsort(line @ along)
    at = (line @ along)[order]
    return np.stack([np.interp(places, at, line[order, axis]) for axis in (0, 1)], axis=-1)
