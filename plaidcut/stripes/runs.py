"""Runs of neighbouring bands, and where the same run comes again in the repeat."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from plaidcut.errors import UsageError
from plaidcut.stripes.colour import Floats, difference
from plaidcut.stripes.measurement import Band, Measurement, ThreadSystem

SAME_COLOUR: Final = 4.0
"""CIEDE2000 up to which two bands read as the same colour: yarn of one dye lot, measured
twice in one photo, stays below; chosen here, no source."""

SAME_WIDTH_STD: Final = 3.0
"""Standard uncertainties by which two widths may differ and still be the same."""

TOLERANCE_MM: Final = 1e-6
"""Lengths that differ by no more are equal (the contract of the yields)."""


def alike_colours(bands: Sequence[Band]) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Which bands read as the same colour, (N, N)."""
    return differences(bands) <= SAME_COLOUR


def differences(bands: Sequence[Band]) -> Floats:
    """CIEDE2000 between the colours that the bands read as, (N, N)."""
    lab = np.array([band.reads.lab for band in bands], float).reshape(-1, 3)
    return difference(lab[:, None], lab[None])


def alike(bands: Sequence[Band]) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Which bands are the same in colour and in width, (N, N).

    Widths are the same within :data:`SAME_WIDTH_STD` standard uncertainties of their
    difference; what the whole photo shares (the scale) cancels in it.
    """
    width, edge_std = np.array([[b.width_mm, b.width_edge_std_mm] for b in bands]).T
    apart = np.abs(width[:, None] - width[None])
    allowed = SAME_WIDTH_STD * np.hypot(edge_std[:, None], edge_std[None]) + TOLERANCE_MM
    return np.asarray(alike_colours(bands) & (apart <= allowed))


def occurrences(bands: Sequence[Band], first: int, length: int, *, circular: bool) -> list[int]:
    """Where a run of bands comes again, either way round: the index of each one's first band.

    Parameters
    ----------
    bands
        One repeat, or all that is seen.
    first, length
        The run: ``length`` bands from index ``first`` on.
    circular
        Whether the last band is followed by the first.
    """
    count, same = len(bands), alike(bands)
    run = [(first + k) % count for k in range(length)]
    found = []
    for start in range(count if circular else count - length + 1):
        here = [(start + k) % count for k in range(length)]
        if same[run, here].all() or same[run, here[::-1]].all():
            found.append(start)
    return found


def run_between(system: ThreadSystem, first: str, last: str) -> tuple[str, ...]:
    """The ids of the bands from one to another, both included; round the repeat if it has one.

    Raises
    ------
    UsageError
        If the system has no such band, or the cloth doesn't repeat and the order is wrong.
    """
    ids = [band.id for band in system.bands]
    for band_id in (first, last):
        if band_id not in ids:
            raise UsageError(
                f"There is no band {band_id} in this cloth.",
                hint=f"Its {system.direction.value} bands are {ids[0]} to {ids[-1]}.",
            )
    start, length = ids.index(first), ids.index(last) - ids.index(first) + 1
    if length < 1:
        if system.repeat_mm is None:
            raise UsageError(
                f"{last} comes before {first}, and no repeat was seen to go round.",
                hint=f"Write {last}-{first}.",
            )
        length += len(ids)
    return tuple(ids[(start + k) % len(ids)] for k in range(length))


def parse_run(text: str, measurement: Measurement) -> tuple[str, ...]:
    """The bands that somebody named: ``U4``, or ``U3-U5`` for neighbours.

    Raises
    ------
    UsageError
        If it isn't written so, or there are no such bands.
    """
    match = re.fullmatch(r"\s*([UX]\d+)(?:\s*[-–]\s*([UX]\d+))?\s*", text.upper())
    if match is None:
        raise UsageError(
            f'"{text}" names no band.', hint="Write one band (U4), or the ends of a run (U3-U5)."
        )
    first, last = match[1], match[2] or match[1]
    if first[0] != last[0]:
        raise UsageError(
            f'"{text}" mixes the two thread directions.',
            hint="Bands of one stripe are all U or all X.",
        )
    return run_between(measurement.system_of(first), first, last)


def neighbours(ids: Sequence[str], system: ThreadSystem) -> bool:
    """Whether these bands follow one another, round the repeat if there is one."""
    order = [band.id for band in system.bands]
    count = len(order)
    return all(
        order.index(b) == (order.index(a) + 1) % count
        and (system.repeat_mm is not None or order.index(b) > order.index(a))
        for a, b in pairwise(ids)
    )
