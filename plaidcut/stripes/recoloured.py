"""What follows from corrected bands: their mixed colours, bold stripes, the kind, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from plaidcut.errors import Caution
from plaidcut.stripes.bold import bold_stripes
from plaidcut.stripes.by_hand import average_light, crossed
from plaidcut.stripes.colour import (
    Colour,
    colour_of_linear_rgb,
    linear_rgb_of_lab,
)
from plaidcut.stripes.corrections import ByHand, Rename
from plaidcut.stripes.finer import finer_word
from plaidcut.stripes.kind import kind_of_cloth
from plaidcut.stripes.measurement import Band, Kind, Measurement, ThreadSystem

_BY_BANDS: Final = {Kind.SOLID, Kind.STRIPE, Kind.CHECK, Kind.PLAID, Kind.UNSURE}
"""Kinds that the bands tell; the others are told by the weave, which no correction changes."""

_OF_STRIPES: Final = ("no-repeat", "stripe-at-edge", "few-repeats", "repeat-unsure")
"""Cautions about the stripes of one direction; each ends with its name."""


def mean_colour(colours: Sequence[Colour], widths_mm: Sequence[float]) -> Colour:
    """The mean of bands' colours by width, in linear light; named as they all are, if they are."""
    if all(colour == colours[0] for colour in colours):
        return colours[0]
    mean = colour_of_linear_rgb(average_light(colours, widths_mm))
    if len({(colour.name, colour.value) for colour in colours}) == 1:
        return replace(mean, name=colours[0].name, value=colours[0].value)
    return mean


def like_parts(band: Band, yarn: Colour | None) -> Band:
    """A part of a band: of its colours, or of a yarn of its own.

    Nobody saw how a strip of such a yarn reads: half of what one sees of a strip is its own
    yarn, so that it reads half as far from the band as its yarn is.
    """
    if yarn is None:
        return band
    apart = linear_rgb_of_lab(yarn.lab) - linear_rgb_of_lab(band.yarn.lab)
    reads = colour_of_linear_rgb(linear_rgb_of_lab(band.reads.lab) + apart / 2)
    return replace(band, yarn=yarn, reads=reads)


def crossed_anew(measurement: Measurement) -> Measurement:
    """A typed cloth with the colours that its strips read as reckoned anew from its yarns.

    They were in the first place; a photo shows them, and they stay as it does.
    """
    if measurement.photo is not None:
        return measurement
    up, across = measurement.systems
    return replace(measurement, up=_crossed_by(up, across), across=_crossed_by(across, up))


def settled(measurement: Measurement) -> Measurement:
    """A corrected measurement with all that its bands tell, found anew."""
    if all(isinstance(each, Rename) for each in measurement.corrections):
        return measurement
    up, across = (_with_stripes(system) for system in measurement.systems)
    cloth = measurement.cloth
    if cloth.kind in _BY_BANDS:
        counted = cloth.weave is not None and cloth.weave.check_threads is not None
        kind, confidence = kind_of_cloth(up, across, counted=counted)
        word = finer_word(kind, up, across)
        cloth = replace(cloth, kind=kind, kind_confidence=confidence, word=word)
    found = replace(measurement, up=up, across=across, cloth=cloth)
    return replace(found, cautions=_cautions(found))


def _with_stripes(system: ThreadSystem) -> ThreadSystem:
    circular = system.repeat_mm is not None
    return replace(system, stripes=bold_stripes(system.bands, circular=circular))


def _crossed_by(system: ThreadSystem, other: ThreadSystem) -> ThreadSystem:
    crossing = average_light(
        [band.yarn for band in other.bands], [band.width_mm for band in other.bands]
    )
    return replace(
        system,
        bands=tuple(
            band
            if ByHand.READS in band.by_hand
            else replace(band, reads=crossed(band.yarn, crossing))
            for band in system.bands
        ),
    )


def _cautions(measurement: Measurement) -> tuple[Caution, ...]:
    """Those of what was measured that still hold, in their order."""
    before = measurement.measured or measurement
    gone = set()
    if all(_colours_set(system) for system in measurement.systems):
        gone.add("yarns-unsure")
    if _colours_set(measurement.across):
        gone.add("across-unknown")
    for system in measurement.systems:
        if not system.striped:
            gone |= {f"{code}-{system.direction.value}" for code in _OF_STRIPES}
    return tuple(caution for caution in before.cautions if caution.code not in gone)


def _colours_set(system: ThreadSystem) -> bool:
    """Whether every yarn's colour was set by hand."""
    return all(ByHand.COLOUR in band.by_hand for band in system.bands)
