"""The shelf in words: how much there is of a cloth, and what is known of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from plaidcut.reports.words import KIND_WORDS
from plaidcut.shelved import About, Entry, FoundCloth, Pieces, Weave
from plaidcut.stripes.measurement import Direction, Kind
from plaidcut.units import Units, on_ruler, ruler_inches

_WAY: Final = {Direction.UP: "up and down", Direction.ACROSS: "side to side"}

OVERDYED: Final = "It was overdyed since it was measured, so its colours don't count."


def cloths_words(number: int) -> str:
    """How many cloths."""
    return count_words(number, "cloth")


def amount_words(about: About, units: Units) -> str:
    """How much there is, in words."""
    said = [_pieces_words(each, units) for each in about.pieces]
    if about.garments is not None:
        said.append(count_words(about.garments, "garment"))
    if about.weight_g is not None:
        said.append(f"{about.weight_g:.0f} g")
    return ", ".join(said)


def entry_lines(entry: Entry, units: Units) -> Iterator[str]:
    """What is known of a cloth, a line each."""
    about = entry.about
    if about.note:
        yield about.note
    if amount := amount_words(about, units):
        yield f"How much: {amount}."
    if about.place:
        yield f"Where: {about.place}."
    weave = "" if about.weave is Weave.UNKNOWN else about.weave.value
    if made := [each for each in (about.fibre, weave) if each]:
        yield f"Of: {', '.join(made)}."
    if about.washed_on is not None:
        yield f"Washed on {about.washed_on}."
    if about.overdyed_on is not None:
        yield f"Overdyed on {about.overdyed_on}."
    if not entry.colours_hold:
        yield OVERDYED
    yield from _used_lines(about)
    yield f"Measured on {entry.measured_on}, on the shelf since {entry.added_on}."


def _used_lines(about: About) -> Iterator[str]:
    for each in about.taken:
        yield f"Cut on {each.on}: {each.how_much}, for {each.what}."
    for kept in about.reserved:
        much = "all of it" if kept.strips is None else count_words(kept.strips, "strip")
        yield f"Kept for {kept.rug}: {much}."


def found_lines(found: FoundCloth) -> Iterator[str]:
    """Why a cloth fits, and what else bears on it."""
    parts = [KIND_WORDS[Kind(found.entry.kind)].capitalize()]
    if found.entry.about.place:
        parts.append(found.entry.about.place)
    if found.difference is not None:
        parts.append(f"colour {found.difference:.1f} off")
    if found.strips is not None:
        parts.append(f"at least {count_words(found.strips, 'strip')}")
    parts += [f"kept for {each.rug}" for each in found.entry.about.reserved]
    yield f"{', '.join(parts)}."
    if not found.entry.colours_hold:
        yield OVERDYED


def bands_line(found: FoundCloth, units: Units) -> str:
    """The bands in words: those that fit, or all where none was asked for by itself."""
    shown = [band for band in found.bands if band.fits] or list(found.bands)
    bands = ", ".join(f"{b.reads} {on_ruler(b.width_mm, units)} ({b.id})" for b in shown)
    return f"Bands running {_WAY[found.direction]}: {bands}."


def _pieces_words(pieces: Pieces, units: Units) -> str:
    if units is Units.IN:
        size = f"{ruler_inches(pieces.width_mm)} x {ruler_inches(pieces.height_mm)} in"
    else:
        size = f"{pieces.width_mm:.0f} x {pieces.height_mm:.0f} mm"
    return f"{pieces.count} of {size}"


def count_words(number: int, what: str) -> str:
    """A number of things: ``1 cloth``, ``3 cloths``."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
