"""A width by ruler against the measured one, in words."""

from __future__ import annotations

from plaidcut.reports.words import COVERAGE, run_label
from plaidcut.stripes.measurement import Measurement
from plaidcut.stripes.ruler_check import RulerCheck
from plaidcut.units import Units, format_length, format_measured


def check_sentences(check: RulerCheck, measurement: Measurement, units: Units) -> str:
    """Whether a ruler and the measurement agree, and what to do if they don't."""
    band = check.band
    label = run_label([band.id], measurement.system_of(band.id))
    ruler = format_length(check.ruler_mm, units)
    measured = format_measured(band.width_mm, COVERAGE * band.width_std_mm, units)
    compared = f"{label} is {ruler} by your ruler and {measured} as measured:"
    apart = format_length(abs(check.difference_mm), units)
    may = format_length(COVERAGE * check.std_mm, units)
    if check.agrees:
        return f"{compared} they agree ({apart} apart, and up to {may} may be chance)."
    return (
        f"{compared} they differ by {apart}, more than the {may} that may be chance. Check that "
        "it is the same band, that the card was printed in true size, and that card and cloth "
        "lie flat; don't cut by these numbers before you know why."
    )
