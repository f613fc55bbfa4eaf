"""Runs of neighbouring bands, and where the same run comes again in the repeat."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import UsageError
from plaidcut.stripes.colour import Floats, difference
from plaidcut.stripes.measurement import Band, Measurement, ThreadSystem

SAME_COLOUR: Final = 4.0
"""CIEDE2000 up to which two bands read as the same colour: yarn of one dye lot, measured
twice in one photo, stays below; chosen here, no source."""

SAME_WIDTH_STD: Final = 3.0
"""Standard uncertainties by which two widths may differ and still be the same ..."""

SAME_WIDTH_SHARE: Final = 0.25
"""... and the most, as a share of the narrower: beyond it the eye tells them apart."""

TOLERANCE_MM: Final = 1e-6
"""Lengths that differ by no more are equal (the contract of the yields)."""


def differences(bands: Sequence[Band], others: Sequence[Band]) -> Floats:
    """CIEDE2000 between the colours that bands read as, (N, M)."""
    lab, other_lab = (
        np.array([band.reads.lab for band in each], float).reshape(-1, 3)
        for each in (bands, others)
    )
    return difference(lab[:, None], other_lab[None])


def alike(bands: Sequence[Band], others: Sequence[Band]) -> NDArray[np.bool_]:
    """Which bands are the same in colour and in width, (N, M).

    Widths are the same within :data:`SAME_WIDTH_STD` standard uncertainties of their
    difference, in which what the whole photo shares (the scale) cancels, and within
    :data:`SAME_WIDTH_SHARE`.
    """
    width, std = np.array([[band.width_mm, band.width_edge_std_mm] for band in bands]).T
    other_width, other_std = np.array([[b.width_mm, b.width_edge_std_mm] for b in others]).T
    apart = np.abs(width[:, None] - other_width[None])
    allowed = np.minimum(
        SAME_WIDTH_STD * np.hypot(std[:, None], other_std[None]),
        SAME_WIDTH_SHARE * np.minimum(width[:, None], other_width[None]),
    )
    alike_width = apart <= allowed + TOLERANCE_MM
    return np.asarray((differences(bands, others) <= SAME_COLOUR) & alike_width)


def occurrences(bands: Sequence[Band], run: Sequence[Band], *, circular: bool) -> list[int]:
    """Where a run of bands comes, either way round: the index of each one's first band.

    Parameters
    ----------
    bands
        One repeat, or a stretch of cloth.
    run
        Neighbouring bands, of the same cloth.
    circular
        Whether the last band is followed by the first.
    """
    count, length, same = len(bands), len(run), alike(run, bands)
    order = np.arange(length)
    found = []
    for start in range(count if circular else count - length + 1):
        here = (start + order) % count
        if same[order, here].all() or same[order, here[::-1]].all():
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
                hint=f"Its bands running {system.direction.spoken} are {ids[0]} to {ids[-1]}.",
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


def run_stds(bands: Sequence[Band]) -> tuple[float, float]:
    """Standard uncertainties of neighbours' width together, in mm: the edges' own part, and all.

    Notes
    -----
    The edges between the bands cancel: what remains of the edges' own part is that of the
    first and the last band, half of each. The part that the photo shares (scale, lens) adds
    up, as it moves all bands alike.
    """
    own = math.hypot(bands[0].width_edge_std_mm, bands[-1].width_edge_std_mm) / math.sqrt(2)
    return own, math.hypot(own, sum(shared_std(band) for band in bands))


def shared_std(band: Band) -> float:
    """The part of a width's standard uncertainty that the photo shares, in mm."""
    return math.sqrt(max(0.0, band.width_std_mm**2 - band.width_edge_std_mm**2))


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
