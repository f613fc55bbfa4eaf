"""A rug of one area, and what is left of supplies, as they are typed on a command line."""

from __future__ import annotations

import re
from dataclasses import replace

from plaidcut.errors import UsageError
from plaidcut.rug.answer import Rug
from plaidcut.rug.areas import Extent
from plaidcut.rug.coverage import multiplier_of
from plaidcut.rug.needs import Need, Supply, Wants
from plaidcut.rug.sample import parse_strips
from plaidcut.rug.supplies import plain_supply, strips_supply
from plaidcut.rug.supply_file import YARD, Habits, area_of
from plaidcut.units import parse_length, parse_size


def one_area(area: str, wool: str, habits: Habits) -> Rug:
    """A rug of one area, and one wool for it.

    Raises
    ------
    UsageError, BadLength
        If either can't be read.
    """
    need = Need(
        name="the area",
        extent=Extent(area_mm2=_area_mm2(area)),
        cut=habits.cut,
        wants=Wants(),
        multiplier=multiplier_of(habits.cut, habits.coverage),
    )
    return Rug(name="one area", needs=(need,), supplies=(_wool(wool, habits),))


def with_left(rug: Rug, text: str) -> Rug:
    """A rug for which of a supply only some strips are left: ``the skirt=40 of 16 in``.

    They are shared out among its kinds as before.

    Raises
    ------
    UsageError, BadLength
        If there is no such supply, or the strips can't be read.
    """
    name, equals, strips = text.partition("=")
    known = [supply.name for supply in rug.supplies]
    if not equals or name.strip() not in known:
        msg = f'"{text}" says of no supply what is left of it.'
        raise UsageError(msg, hint=f'Write "{known[0]}=40 of 16 in".')
    length_mm = parse_strips([strips])
    supplies = [
        _so_much(supply, length_mm) if supply.name == name.strip() else supply
        for supply in rug.supplies
    ]
    return replace(rug, supplies=tuple(supplies))


def _so_much(supply: Supply, length_mm: float) -> Supply:
    """A supply of which in every way so much length of strip is left."""
    ways = []
    for way in supply.ways:
        whole_mm = {
            key: sum(each.length_mm[key] for each in way.strips) for key in way.strips[0].length_mm
        }
        ways.append(
            replace(
                way,
                strips=tuple(
                    replace(
                        each,
                        length_mm={
                            key: length_mm * mm / whole_mm[key] if whole_mm[key] else 0.0
                            for key, mm in each.length_mm.items()
                        },
                    )
                    for each in way.strips
                ),
            )
        )
    return replace(supply, ways=tuple(ways))


def _area_mm2(text: str) -> float:
    """Read an area, or a size."""
    if re.search(r"sq|cm2|cm²", text):
        return area_of(text)
    wide_mm, high_mm = parse_size(text)
    return wide_mm * high_mm


def _wool(text: str, habits: Habits) -> Supply:
    """Read what wool there is: an area, yards, or strips."""
    if " of " in text:
        length_mm = parse_strips([text])
        return strips_supply("the strips", length_mm, habits.cut, reads=None, again=False)
    said = ""
    if re.search(r"(yd|yards?)\s*$", text.strip()):
        wide_mm, high_mm = parse_size(YARD)
        yards = parse_length(re.sub(r"(yd|yards?)\s*$", "in", text.strip())) / parse_length("1 in")
        area_mm2, said = yards * wide_mm * high_mm, f"a yard of {YARD}"
    else:
        area_mm2 = _area_mm2(text)
    return plain_supply("the wool", area_mm2, habits.table.cuts, reads=None, again=False, said=said)
