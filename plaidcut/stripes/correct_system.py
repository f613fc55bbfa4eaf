"""Each kind of correction, made in the bands of one thread direction."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise
from math import hypot, isfinite
from typing import Final, assert_never

from plaidcut.errors import UsageError
from plaidcut.stripes.by_hand import HAND_STD_MM
from plaidcut.stripes.colour import colour_of_hex
from plaidcut.stripes.corrections import (
    ByHand,
    Correction,
    Merge,
    MoveStart,
    Rename,
    SetColour,
    SetWidth,
    Split,
)
from plaidcut.stripes.measurement import Band, ThreadSystem
from plaidcut.stripes.recoloured import like_parts, mean_colour
from plaidcut.stripes.relaid import from_band, reads_the_same, with_laid, with_widths
from plaidcut.stripes.runs import run_stds
from plaidcut.units import MOST_MM

LEAST_MM: Final = 0.1
"""Narrowest band that is taken for one: finer than any wool yarn (chosen here)."""

LONGEST_NAME: Final = 40
"""Characters of a band's name: more don't fit beside its width (chosen here)."""

_HEX: Final = re.compile(r"#[0-9a-f]{6}")


def system_corrected(system: ThreadSystem, correction: Correction) -> ThreadSystem:
    """One thread direction with one correction made; bold stripes are as they were.

    Raises
    ------
    UsageError
        If it can't be made.
    """
    match correction:
        case Rename():
            return _renamed(system, correction)
        case Merge():
            return _merged(system, correction)
        case Split():
            return _split(system, correction)
        case SetWidth():
            return _with_width(system, correction)
        case SetColour():
            return _coloured(system, correction)
        case MoveStart():
            return _started(system, correction)
        case _:
            assert_never(correction)


def _renamed(system: ThreadSystem, correction: Rename) -> ThreadSystem:
    name = correction.name
    if not name.strip() or len(name) > LONGEST_NAME or not name.isprintable():
        msg = f"{name[: LONGEST_NAME + 1]!r} is no name."
        hint = f"Write 1 to {LONGEST_NAME} letters on one line, without control characters."
        raise UsageError(msg, hint=hint)
    chosen = _with_twin(system, correction.band, alone=correction.alone)
    return replace(
        system,
        bands=tuple(
            _by_hand(replace(band, yarn=replace(band.yarn, name=name.strip())), ByHand.NAME)
            if k in chosen
            else band
            for k, band in enumerate(system.bands)
        ),
    )


def _merged(system: ThreadSystem, correction: Merge) -> ThreadSystem:
    run = [_index(system, band_id) for band_id in correction.bands]
    count = len(system.bands)
    circular = system.repeat_mm is not None
    if len(run) < 2 or len(set(run)) < len(run):
        msg = "it takes two bands or more, each once."
        raise UsageError(msg, hint="Name the neighbours that are one band, in order.")
    for before, after in pairwise(run):
        if after != before + 1 and not (circular and (before, after) == (count - 1, 0)):
            first, second = system.bands[before].id, system.bands[after].id
            msg = f"{second} doesn't follow {first}."
            raise UsageError(msg, hint="Name neighbours, from left to right or top to bottom.")
    runs = [run]
    if system.mirrored and not correction.alone:
        twin = [-k % count for k in reversed(run)]
        if set(twin).isdisjoint(run):
            runs.append(twin)
        elif set(twin) != set(run):
            pivot = system.bands[next(k for k in run if k in twin)].id
            msg = f"the order runs back at {pivot}, so its two sides would become unlike."
            raise UsageError(
                msg, hint='Name as many bands on either side of it, or add "alone": true.'
            )
    if run[0] > run[-1]:  # round the start: the merged band is the first then
        system, runs = from_band(system, run[0]), [list(range(len(run)))]
    laid = {each[0]: (len(each), (_one_of([system.bands[k] for k in each]),)) for each in runs}
    return with_laid(system, laid)


def _one_of(bands: Sequence[Band]) -> Band:
    """One band of neighbours; its colours are their mean by width, in linear light."""
    edge_std_mm, std_mm = run_stds(bands)
    widths_mm = [band.width_mm for band in bands]
    return replace(
        bands[0],
        width_mm=sum(widths_mm),
        width_edge_std_mm=edge_std_mm,
        width_std_mm=std_mm,
        partial=any(band.partial for band in bands),
        yarn=mean_colour([band.yarn for band in bands], widths_mm),
        reads=mean_colour([band.reads for band in bands], widths_mm),
        by_hand=_in_order({ByHand.EXTENT, *(how for band in bands for how in band.by_hand)}),
    )


def _split(system: ThreadSystem, correction: Split) -> ThreadSystem:
    index = _index(system, correction.band)
    band = system.bands[index]
    places_mm = (0.0, *correction.at_mm, band.width_mm)
    widths_mm = [_mm(after - before) for before, after in pairwise(places_mm)]
    if len(widths_mm) < 2 or min(widths_mm) < LEAST_MM:
        msg = f"its places don't part {band.id}, which is {band.width_mm:.2f} mm wide."
        raise UsageError(
            msg, hint=f"Give them from its left or upper edge, rising, {LEAST_MM} mm apart or more."
        )
    hexes = correction.hexes or (None,) * len(widths_mm)
    if len(hexes) != len(widths_mm):
        msg = f"{len(hexes)} colours for {len(widths_mm)} parts."
        raise UsageError(msg, hint="Give one for each part, null where it keeps the band's.")
    parts = _parts(band, widths_mm, hexes, ends=_ends(system, index))
    laid = {
        k: (1, parts if k == index else parts[::-1])
        for k in _with_twin(system, band.id, alone=correction.alone)
    }
    split = with_laid(system, laid)
    if not (system.mirrored and index == 0):
        return split
    # the first band was a pivot, and the middle of its parts is one still if they are alike
    turned = from_band(split, len(parts) // 2)
    return turned if reads_the_same(turned.bands) else split


def _parts(
    band: Band,
    widths_mm: Sequence[float],
    hexes: Sequence[str | None],
    *,
    ends: tuple[bool, bool],
) -> tuple[Band, ...]:
    """The parts of a band; ``ends`` say whether the first and the last of them are cut off.

    The places were taken with a ruler from the band's first edge; the last part ends where the
    band does, so that it is as unsure as both.
    """
    last = len(widths_mm) - 1
    return tuple(
        replace(
            like_parts(band, None if text is None else colour_of_hex(_hex(text))),
            width_mm=width_mm,
            width_edge_std_mm=HAND_STD_MM
            if k < last
            else hypot(HAND_STD_MM, band.width_edge_std_mm),
            width_std_mm=HAND_STD_MM if k < last else hypot(HAND_STD_MM, band.width_std_mm),
            partial=(k == 0 and ends[0]) or (k == last and ends[1]),
            by_hand=_in_order(
                {ByHand.EXTENT, ByHand.WIDTH, *band.by_hand}
                if text is None
                else {ByHand.EXTENT, ByHand.WIDTH, ByHand.COLOUR}
            ),
        )
        for k, (width_mm, text) in enumerate(zip(widths_mm, hexes, strict=True))
    )


def _ends(system: ThreadSystem, index: int) -> tuple[bool, bool]:
    """Whether a band is cut off before its left (upper) edge, and beyond its right (lower)."""
    partial = system.bands[index].partial
    return partial and index == 0, partial and index == len(system.bands) - 1


def _with_width(system: ThreadSystem, correction: SetWidth) -> ThreadSystem:
    width_mm = _mm(correction.width_mm)
    if not LEAST_MM <= width_mm <= MOST_MM:
        msg = f"{width_mm:g} mm is no width."
        raise UsageError(msg, hint=f"Give millimetres, from {LEAST_MM} to {MOST_MM:g}.")
    if not system.striped:
        msg = "there are no stripes this way, and so no width to set."
        raise UsageError(msg, hint="Split the band first, if there are stripes.")
    chosen = _with_twin(system, correction.band, alone=correction.alone)
    return with_widths(
        system,
        [
            _by_hand(
                replace(
                    band,
                    width_mm=width_mm,
                    width_edge_std_mm=HAND_STD_MM,
                    width_std_mm=HAND_STD_MM,
                    partial=False,
                ),
                ByHand.WIDTH,
            )
            if k in chosen
            else band
            for k, band in enumerate(system.bands)
        ],
    )


def _coloured(system: ThreadSystem, correction: SetColour) -> ThreadSystem:
    if correction.hex is None and correction.reads_hex is None:
        msg = "it gives no colour."
        raise UsageError(msg, hint='Give the yarn\'s ("hex"), how a strip reads, or both.')
    chosen = _with_twin(system, correction.band, alone=correction.alone)

    def coloured(band: Band) -> Band:
        if correction.hex is not None:
            yarn = colour_of_hex(_hex(correction.hex))
            if ByHand.NAME in band.by_hand:
                yarn = replace(yarn, name=band.yarn.name)
            band = _by_hand(replace(band, yarn=yarn), ByHand.COLOUR)
        if correction.reads_hex is not None:
            reads = colour_of_hex(_hex(correction.reads_hex))
            band = _by_hand(replace(band, reads=reads), ByHand.READS)
        return band

    return replace(
        system,
        bands=tuple(coloured(b) if k in chosen else b for k, b in enumerate(system.bands)),
    )


def _started(system: ThreadSystem, correction: MoveStart) -> ThreadSystem:
    index = _index(system, correction.band)
    if system.repeat_mm is None:
        msg = "no repeat was seen this way, and so none can start there."
        raise UsageError(msg, hint="Leave this correction out.")
    return from_band(system, index)


def _index(system: ThreadSystem, band_id: str) -> int:
    """Where a band stands."""
    ids = [band.id for band in system.bands]
    if band_id not in ids:
        way = system.direction.spoken
        bands = (
            f"bands running {way} are {ids[0]} to {ids[-1]}"
            if len(ids) > 1
            else f"one band running {way} is {ids[0]}"
        )
        raise UsageError(
            f"there is no band {band_id}.",
            hint=f"Once the corrections before it are made, the {bands}.",
        )
    return ids.index(band_id)


def _with_twin(system: ThreadSystem, band_id: str, *, alone: bool) -> set[int]:
    """Where a band stands, and in a mirrored order its twin."""
    index = _index(system, band_id)
    return {index} if alone or not system.mirrored else {index, -index % len(system.bands)}


def _mm(number: float) -> float:
    """A length; UsageError where it is no number."""
    if not isfinite(number):
        msg = f"{number} is no length."
        raise UsageError(msg, hint="Give millimetres, as a number.")
    return number


def _hex(text: str) -> str:
    """A colour as it is written; UsageError where it isn't one."""
    if not _HEX.fullmatch(text.lower()):
        msg = f"{text[:20]!r} is no colour."
        raise UsageError(msg, hint='Write it like "#7a1f2b".')
    return text.lower()


def _by_hand(band: Band, how: ByHand) -> Band:
    return replace(band, by_hand=_in_order({*band.by_hand, how}))


def _in_order(hows: Iterable[ByHand]) -> tuple[ByHand, ...]:
    """Each once, in the order in which they are declared."""
    found = set(hows)
    return tuple(how for how in ByHand if how in found)
