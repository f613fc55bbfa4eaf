"""Corrections made: from a measurement and what somebody put right in it to the corrected one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from plaidcut.errors import UsageError
from plaidcut.stripes.correct_system import system_corrected
from plaidcut.stripes.corrections import Correction, Merge, MoveStart, Rename
from plaidcut.stripes.measurement import Direction, Measurement
from plaidcut.stripes.recoloured import crossed_anew, settled
from plaidcut.stripes.relaid import reads_the_same

MOST_BANDS: Final = 100
"""Most bands in one thread direction; no sett comes near (chosen here)."""


def corrected(measurement: Measurement, corrections: Sequence[Correction]) -> Measurement:
    """Make corrections in a measurement, in order, after those that it has already.

    Parameters
    ----------
    measurement
        The cloth; it is left as it is, and kept in the new one as what was measured.
    corrections
        Each names bands by their ids once those before it are made.

    Returns
    -------
    Measurement
        Ids run from 1 again in each direction; bold stripes and the kind of cloth are found
        anew; cautions that no longer hold are left out. A direction that was measured as
        mirrored is so as long as it reads the same from either end.

    Raises
    ------
    UsageError
        If a correction can't be made: its number is said, and why.
    """
    if not corrections:
        return measurement
    done = replace(measurement, measured=as_measured(measurement))
    for number, correction in enumerate(corrections, start=len(measurement.corrections) + 1):
        try:
            done = _made(done, correction)
        except UsageError as error:
            msg = f"Correction {number} ({correction.spoken}): {error.message}"
            raise UsageError(msg, hint=error.hint) from error
    return settled(replace(done, corrections=(*measurement.corrections, *corrections)))


def as_measured(measurement: Measurement) -> Measurement:
    """The measurement without any correction."""
    return measurement if measurement.measured is None else measurement.measured


def undone(measurement: Measurement) -> Measurement:
    """The measurement without its last correction; as it is where it has none."""
    return corrected(as_measured(measurement), measurement.corrections[:-1])


def _made(measurement: Measurement, correction: Correction) -> Measurement:
    """One correction made; what follows from the bands is still as it was."""
    named = correction.bands[:1] if isinstance(correction, Merge) else (correction.band,)
    if not named:
        msg = "it names no bands."
        raise UsageError(msg, hint="Name the neighbours that are one band, in order.")
    system = measurement.system_of(named[0])
    changed = system_corrected(system, correction)
    if len(changed.bands) > MOST_BANDS:
        msg = f"that makes {len(changed.bands)} bands."
        raise UsageError(msg, hint=f"A direction may have {MOST_BANDS}.")
    was_mirrored = as_measured(measurement).system(system.direction).mirrored
    changed = replace(changed, mirrored=was_mirrored and reads_the_same(changed.bands))
    made = (
        replace(measurement, up=changed)
        if system.direction is Direction.UP
        else replace(measurement, across=changed)
    )
    return made if isinstance(correction, Rename | MoveStart) else crossed_anew(made)
