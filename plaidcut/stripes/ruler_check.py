"""One width taken with a ruler, held against the measured one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from plaidcut.errors import UsageError
from plaidcut.stripes.by_hand import HAND_STD_MM
from plaidcut.stripes.measurement import Band, Measurement
from plaidcut.stripes.runs import parse_run
from plaidcut.units import parse_length

COVERAGE: Final = 2.0
"""Standard uncertainties within which the two agree: 95 % of the time by chance alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerCheck:
    """The two widths of one band."""

    band: Band
    ruler_mm: float
    std_mm: float
    """Standard uncertainty of the difference: the measurement's and the ruler's."""

    @property
    def difference_mm(self) -> float:
        """How much wider it was measured than the ruler says."""
        return self.band.width_mm - self.ruler_mm

    @property
    def agrees(self) -> bool:
        """Whether the difference is no more than both may be off."""
        return abs(self.difference_mm) <= COVERAGE * self.std_mm


def check_by_ruler(measurement: Measurement, text: str) -> RulerCheck:
    """Hold a width taken with a ruler against the measured one.

    Parameters
    ----------
    measurement
        The cloth.
    text
        A band and its width: ``U4 = 1/2 in``.

    Raises
    ------
    UsageError
        If it isn't written so, or there is no such band.
    BadLength
        If the width can't be read.
    """
    named, equals, width = text.partition("=")
    if not equals:
        msg = f'"{text}" is not a band and its width.'
        raise UsageError(msg, hint='Write it like --check "U4 = 1/2 in".')
    first, *more = parse_run(named, measurement)
    if more:
        msg = f'"{named.strip()}" names several bands.'
        raise UsageError(msg, hint="Measure one band with the ruler.")
    band = measurement.system_of(first).band(first)
    ruler_mm = parse_length(width)
    std_mm = math.hypot(band.width_std_mm, HAND_STD_MM)
    return RulerCheck(band=band, ruler_mm=ruler_mm, std_mm=std_mm)
