"""The answer to the first question: a stripe whole, its colour alone, or a mix."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.yields import Yields
from plaidcut.reports.words import advice, kept_words, run_label
from plaidcut.stripes.measurement import Measurement
from plaidcut.units import Units


class Wish(StrEnum):
    """What she wants of the cloth."""

    WHOLE = "whole"
    """A stripe kept whole, a little ground beside it."""
    COLOUR = "colour"
    """Strips of nothing but one band."""
    MIX = "mix"
    """Whatever comes."""


def wish_words(
    measurement: Measurement,
    yields: Yields,
    *,
    wish: Wish,
    bands: Sequence[str],
    cut: Cut,
    units: Units,
) -> tuple[str, ...]:
    """What a cut makes of a wish, in sentences.

    Parameters
    ----------
    measurement, yields
        The cloth and its strips; to keep a stripe whole, the yields must answer for it.
    wish, bands
        What is wanted, and of which neighbouring bands; none are wanted of a mix.
    cut
        The cut, one of those that the yields answer for.
    units
        The unit that lengths are shown in.
    """
    if wish is Wish.MIX:
        return _mix(measurement, cut)
    if not bands:
        return ("Choose a stripe: click it on the photo, or in the rows of bands.",)
    label = run_label(bands, measurement.system_of(bands[0]))
    if wish is Wish.COLOUR:
        return _colour(yields, bands, cut, label)
    stripe = next(each for each in yields.stripes if each.bands == tuple(bands))
    kept = next(each for each in stripe.cuts if each.cut == cut)
    made = kept_words(kept, units, several=len(bands) > 1)
    found = [f"With {cut.label}, {label} is {made}.", advice(stripe, units)]
    if kept.whole_per_repeat:
        count = f"{kept.whole_per_repeat:.3g}"
        strips = "strip" if count == "1" else "strips"
        found.append(f"Over a long run that is {count} {strips} with it whole from each repeat.")
    return tuple(found)


def _colour(yields: Yields, bands: Sequence[str], cut: Cut, label: str) -> tuple[str, ...]:
    counts = [
        (each.band.id, strip.spoken)
        for each in yields.bands
        if each.band.id in bands
        for strip in each.strips
        if strip.cut == cut
    ]
    if not counts:
        return (f"How wide {label} is isn't known, so its strips can't be counted.",)
    if len(counts) == 1:
        return (f"With {cut.label}, each {label} gives strips of nothing else: {counts[0][1]}.",)
    each_band = "; ".join(f"{band} {spoken}" for band, spoken in counts)
    return (f"With {cut.label}, strips of nothing but one band: {each_band}.",)


def _mix(measurement: Measurement, cut: Cut) -> tuple[str, ...]:
    found = []
    for system in measurement.systems:
        if system.striped and system.repeat_mm is not None:
            strips = f"{system.repeat_mm / cut.width_mm:.1f}"
            found.append(
                f"With {cut.label}, each repeat gives {strips} strips running "
                f"{system.direction.spoken}, whatever they hold."
            )
    if found:
        return tuple(found)
    return (f"With {cut.label}, strips hold whatever comes: see below what they look like.",)
