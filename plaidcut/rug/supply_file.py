"""Supplies of wool as people type them in a rug's file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Final

from plaidcut.cutting.cuts import Cut, CutTable, cut_table, parse_cut
from plaidcut.cutting.garment import Garment
from plaidcut.cutting.garment_file import parse_piece
from plaidcut.errors import UsageError
from plaidcut.rug.needs import Supply
from plaidcut.rug.sample import parse_strips
from plaidcut.rug.supplies import plain_supply, strips_supply
from plaidcut.stripes.colour import Colour, colour_of_words
from plaidcut.stripes.measurement import Direction
from plaidcut.tables import TomlTable, above_zero, one_of, text_of, truth_of
from plaidcut.units import LONGEST_TEXT, MM_PER_INCH, parse_size, parse_weight

YARD: Final = "32 x 52 in"
"""A yard of rug wool washed and ready to cut (W07), as needs are reckoned in; off the bolt pages
say 36 x 54 to 36 x 60 in (W01's is 36 x 57)."""

FAT_QUARTER: Final = "16 x 26 in"
"""One of three sizes that are sold (W19)."""

AREA_RANGE_MM2: Final = (0.01 * MM_PER_INCH**2, 1e8)
"""Areas of a rug or of its wool; beyond them a finger slipped (chosen here)."""

_SUPPLY_KINDS: Final = ("garment", "pieces", "strips", "area", "yards", "fat_quarters", "weight")

_AREA: Final = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(sq in|sq ft|cm2|cm²)\s*", re.IGNORECASE)
_MM2: Final = {
    "sq in": MM_PER_INCH**2,
    "sq ft": (12 * MM_PER_INCH) ** 2,
    "cm2": 100.0,
    "cm²": 100.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GarmentSupply:
    """A garment whose cloth has still to be measured or opened."""

    name: str
    garment: PurePath | None
    """Its file, beside the rug's."""
    pieces: tuple[str, ...]
    """Or its pieces as typed."""
    cloth: PurePath
    """Photo or document of its cloth, beside the rug's."""
    direction: Direction | None
    again: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What of her settings bears on a rug."""

    cut: Cut
    table: CutTable = field(default_factory=cut_table)
    coverage: Mapping[str, float] = field(default_factory=dict)
    rows_per_inch: Mapping[str, float] = field(default_factory=dict)


def supply_of_table(table: TomlTable, habits: Habits) -> Supply | GarmentSupply:
    """One supply."""
    kinds = [kind for kind in _SUPPLY_KINDS if kind in table.values]
    if len(kinds) != 1:
        msg = f"a supply is one of {', '.join(_SUPPLY_KINDS)}."
        raise table.fault(kinds[1] if kinds else "name", UsageError(msg, hint=table.hint))
    name = table.required("name", text_of)
    again = table.field("again", truth_of, default=False)
    if kinds[0] in ("garment", "pieces"):
        table.check_names("name", "garment", "pieces", "cloth", "direction", "again")
        return GarmentSupply(
            name=name,
            garment=table.field("garment", lambda value: PurePath(text_of(value)), None),
            pieces=table.field("pieces", _pieces_of, ()),
            cloth=PurePath(table.required("cloth", text_of)),
            direction=table.field("direction", one_of(Direction), None),
            again=again,
        )
    reads = table.field("colour", colour_of, None)
    if kinds[0] == "strips":
        table.check_names("name", "strips", "cut", "colour", "again")
        cut = table.required("cut", lambda value: parse_cut(str(value), habits.table))
        length_mm = table.required("strips", lambda value: parse_strips([text_of(value)]))
        return strips_supply(name, length_mm, cut, reads=reads, again=again)
    table.check_names(
        *("name", *_SUPPLY_KINDS[3:], "size", "yard", "yard_weight", "colour", "again")
    )
    area_mm2, said = _plain_area(table, kinds[0])
    return plain_supply(name, area_mm2, habits.table.cuts, reads=reads, again=again, said=said)


def _plain_area(table: TomlTable, kind: str) -> tuple[float, str]:
    """Area of plain wool, and what was taken for granted of it."""
    if kind == "area":
        return table.required("area", area_of), ""
    if kind == "fat_quarters":
        size = table.field("size", text_of, FAT_QUARTER)
        each_mm2 = table.field("size", _size_of, _size_of(FAT_QUARTER))
        return table.required("fat_quarters", above_zero) * each_mm2, f"fat quarters of {size}"
    yard = table.field("yard", text_of, YARD)
    yard_mm2 = table.field("yard", _size_of, _size_of(YARD))
    if kind == "yards":
        return table.required("yards", above_zero) * yard_mm2, f"a yard of {yard}"
    weight_g = table.required("weight", lambda value: parse_weight(text_of(value)))
    yard_g = table.required("yard_weight", lambda value: parse_weight(text_of(value)))
    return weight_g / yard_g * yard_mm2, f"a yard of {yard}"


def _size_of(value: object) -> float:
    wide_mm, high_mm = parse_size(text_of(value))
    return wide_mm * high_mm


def area_of(value: object) -> float:
    """Read an area: ``120 sq in``, ``2.5 sq ft``, ``800 cm2``."""
    text = str(value)
    match = _AREA.fullmatch(text) if len(text) <= LONGEST_TEXT else None
    area_mm2 = 0.0 if match is None else float(match[1]) * _MM2[match[2].lower()]
    least_mm2, most_mm2 = AREA_RANGE_MM2
    if not least_mm2 <= area_mm2 <= most_mm2:
        msg = 'it must be an area such as "120 sq in" or "800 cm2", from 0.01 sq in to 100 m².'
        raise UsageError(msg)
    return area_mm2


def share_of(value: object) -> float:
    """Read per cent, up to 100."""
    match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*%\s*", str(value))
    if match is None or float(match[1]) > 100:
        msg = f'it must be per cent, such as "20 %", not {value!r}.'
        raise UsageError(msg)
    return float(match[1]) / 100


def hooked_of(text: str) -> float:
    """Read how much is hooked: ``40 %``, below 100.

    Raises
    ------
    UsageError
        If it can't be read, or nothing would be left to do.
    """
    share = share_of(text)
    if share > MOST_HOOKED:
        msg = f'With "{text}" hooked next to nothing is left to do.'
        raise UsageError(msg, hint='Say how much of the rug is hooked: --hooked "40 %".')
    return share


MOST_HOOKED: Final = 0.99


def _pieces_of(value: object) -> tuple[str, ...]:
    texts = tuple(text_of(each) for each in (value if isinstance(value, list) else [value]))
    for text in texts:
        parse_piece(text)
    return texts


def colour_of(value: object) -> Colour:
    """Read a colour in words."""
    colour = colour_of_words(text_of(value))
    if colour is None:
        msg = f"{value!r} is no colour that is known."
        raise UsageError(msg, hint='Write everyday words, "dark red", or "#7a1f2b".')
    return colour


def garment_of(supply: GarmentSupply, parse: Callable[[PurePath], Garment]) -> Garment:
    """The garment of a supply: its file's, or the pieces that were typed."""
    if supply.garment is not None:
        return parse(supply.garment)
    return Garment(name=supply.name, pieces=tuple(parse_piece(text) for text in supply.pieces))
