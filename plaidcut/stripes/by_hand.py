"""A measurement from widths taken with a ruler and typed, without a photo."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Final

import numpy as np

from plaidcut.errors import Caution, UsageError
from plaidcut.stripes.bold import bold_stripes
from plaidcut.stripes.colour import (
    Colour,
    Floats,
    colour_of_linear_rgb,
    colour_of_words,
    linear_rgb_of_lab,
)
from plaidcut.stripes.kind import kind_of_cloth
from plaidcut.stripes.measurement import (
    Band,
    ClothRecord,
    Direction,
    Measurement,
    ThreadSystem,
    Washed,
)
from plaidcut.stripes.sett import unfold
from plaidcut.units import MM_PER_INCH, parse_length

HAND_STD_MM: Final = MM_PER_INCH / 32 / math.sqrt(6)
"""Standard uncertainty of a width read from a ruler: both ends to the nearest 1/32 in (P08),
each uniformly within half of one, combined."""

EXAMPLE: Final = '"red 1/2 in, yellow 1/8 in, dark green 1 in"'

_BETWEEN: Final = re.compile(r"(?<!\d),|,(?!\d)|[;\n]")
"""A comma between two digits is a decimal comma."""

_TYPED: Final = re.compile(r"\s*(?P<words>#[0-9a-fA-F]{6}|\D*?)\s*(?P<width>[\d.½⅓⅔¼¾⅛⅜⅝⅞].*?)\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedBand:
    """A band as it was typed."""

    colour: Colour
    width_mm: float


def parse_bands(text: str) -> tuple[TypedBand, ...]:
    """Read bands in order, each a colour and a width: ``red 1/2 in, yellow 1/8 in``.

    Raises
    ------
    UsageError
        If an entry has no colour, or its words name none.
    BadLength
        If a width can't be read, or has no unit.
    """
    return tuple(_parse_band(part.strip()) for part in _BETWEEN.split(text) if part.strip())


def measurement_by_hand(
    up: tuple[TypedBand, ...],
    across: tuple[TypedBand, ...] = (),
    *,
    mirrored: bool = False,
    warp: Direction | None = None,
    washed: Washed = Washed.UNKNOWN,
) -> Measurement:
    """Make a measurement of typed widths.

    Parameters
    ----------
    up, across
        The bands of one repeat of each system in order, left to right and top to bottom;
        one band for a system without stripes, none for one that wasn't measured.
    mirrored
        Whether the repeats run to their last band and back again: then only the part from
        pivot to pivot is typed.

    Raises
    ------
    UsageError
        If there are no bands going up.

    Notes
    -----
    A strip reads as its own yarn and the average of those that cross it, half and half in
    linear light, weighted by width. A system that wasn't measured is taken to be of the
    other one's widest colour.
    """
    if not up:
        msg = "No band running up and down was typed."
        raise UsageError(msg, hint=f"Write each band's colour and width, in order: {EXAMPLE}.")
    cautions: tuple[Caution, ...] = ()
    if not across:
        ground = max(up, key=lambda band: band.width_mm)
        across = (ground,)
        cautions = (
            Caution(
                "across-unknown",
                "Only the bands going up were typed. How strips read is worked out as if "
                f"{ground.colour.spoken} crossed them; type the bands across as well.",
            ),
        )
    systems = [
        _system(direction, own, crossed_by=other, mirrored=mirrored)
        for direction, own, other in (
            (Direction.UP, up, across),
            (Direction.ACROSS, across, up),
        )
    ]
    kind, confidence = kind_of_cloth(systems[0], systems[1])
    return Measurement(
        photo=None,
        scale=None,
        cloth=ClothRecord(
            kind=kind,
            kind_confidence=confidence,
            outline_px=np.empty((0, 2)),
            skew_deg=None,
            bow=None,
            sharpness_mm=None,
            washed=washed,
        ),
        up=systems[0],
        across=systems[1],
        warp=warp,
        cautions=cautions,
    )


def _parse_band(text: str) -> TypedBand:
    """Read one band."""
    match = _TYPED.fullmatch(text)
    if match is None:
        msg = f'"{text}" has no width.'
        raise UsageError(msg, hint=f"Write a colour and a width for each band: {EXAMPLE}.")
    words = " ".join(match["words"].split())  # some of what counts as space controls a terminal
    if not words:
        msg = f'"{text}" has no colour.'
        raise UsageError(msg, hint=f"Write a colour and a width for each band: {EXAMPLE}.")
    colour = colour_of_words(words)
    if colour is None:
        msg = f'"{words}" is no colour that plaidcut knows.'
        raise UsageError(
            msg,
            hint='Use plain words, such as "dark red", "navy" or "light brown", or "#7a1f2b".',
        )
    return TypedBand(colour=_in_her_words(colour, words), width_mm=parse_length(match["width"]))


def _in_her_words(colour: Colour, words: str) -> Colour:
    """The colour, called what she called it: navy stays navy, and light brown light."""
    if words.startswith("#"):
        return colour
    first, _, rest = words.lower().partition(" ")
    if first in ("light", "medium", "dark") and rest:
        return replace(colour, name=rest, value=first)
    return replace(colour, name=words.lower())


def _system(
    direction: Direction,
    own: tuple[TypedBand, ...],
    *,
    crossed_by: tuple[TypedBand, ...],
    mirrored: bool,
) -> ThreadSystem:
    """One system's record."""
    mirrored = mirrored and len(own) > 2
    typed = unfold(own) if mirrored else own
    widths_mm = [band.width_mm for band in typed]
    starts_mm = accumulate(widths_mm[:-1], initial=0.0)
    striped = len(typed) > 1
    crossing = average_light(
        [band.colour for band in crossed_by], [band.width_mm for band in crossed_by]
    )
    bands = tuple(
        Band(
            id=f"{direction.letter}{number}",
            start_mm=start_mm,
            width_mm=band.width_mm,
            width_edge_std_mm=HAND_STD_MM,
            width_std_mm=HAND_STD_MM,
            partial=not striped,
            yarn=band.colour,
            reads=crossed(band.colour, crossing),
        )
        for number, (band, start_mm) in enumerate(zip(typed, starts_mm, strict=True), start=1)
    )
    return ThreadSystem(
        direction=direction,
        angle_px_deg=None,
        repeat_mm=sum(widths_mm) if striped else None,
        repeat_std_mm=HAND_STD_MM * math.sqrt(len(typed)) if striped else None,
        mirrored=mirrored,
        origin_mm=0.0,
        bands=bands,
        stripes=bold_stripes(bands, circular=striped),
    )


def average_light(colours: Sequence[Colour], widths_mm: Sequence[float]) -> Floats:
    """Linear light (3,) of bands' colours, weighted by their widths."""
    light = np.array([linear_rgb_of_lab(colour.lab) for colour in colours])
    return np.average(light, axis=0, weights=widths_mm)


def crossed(yarn: Colour, crossing: Floats) -> Colour:
    """How a strip of a yarn reads where linear light (3,) crosses it, half and half."""
    return colour_of_linear_rgb((linear_rgb_of_lab(yarn.lab) + crossing) / 2)
