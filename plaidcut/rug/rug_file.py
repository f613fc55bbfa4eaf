"""Rugs as people type them, in a TOML file: areas, and the wool for them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.cuts import CutTable, parse_cut
from plaidcut.cutting.garment import Garment, WhatToCut
from plaidcut.cutting.garment_file import points_of as read_points
from plaidcut.errors import UsageError
from plaidcut.rug.areas import (
    Extent,
    border_extent,
    ellipse_extent,
    line_extent,
    polygon_extent,
    rectangle_extent,
)
from plaidcut.rug.coverage import multiplier_of
from plaidcut.rug.needs import NEAR_COLOUR, Need, Supply, Wants
from plaidcut.rug.rows import RowWidths
from plaidcut.rug.supplies import garment_supply
from plaidcut.rug.supply_file import (
    GarmentSupply,
    Habits,
    area_of,
    colour_of,
    share_of,
    supply_of_table,
)
from plaidcut.stripes.measurement import Measurement
from plaidcut.tables import (
    TomlTable,
    above_zero,
    count_of,
    length_of,
    read_toml,
    text_of,
    truth_of,
)

_HINT: Final = "docs/reference/rug-files.md says what such a file may hold."

SHAPES: Final = {
    "rectangle": ("width", "height"),
    "circle": ("across",),
    "ellipse": ("width", "height"),
    "polygon": ("points",),
    "border": ("width", "height", "thick", "rows", "oval"),
    "line": ("length", "rows"),
    "area": ("area",),
}
"""Shapes of areas, and the fields that say how large each is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RugFile:
    """What a rug's file says."""

    name: str
    reserve: float | None
    needs: tuple[Need, ...]
    supplies: tuple[Supply | GarmentSupply, ...]


def parse_rug(text: str, *, file_name: str, habits: Habits) -> RugFile:
    """Read the text of a rug file.

    Parameters
    ----------
    text
        TOML, as ``docs/reference/rug-files.md`` describes it.
    file_name
        What errors call the file.
    habits
        Her cut, cuts and figures.

    Raises
    ------
    FileTrouble
        If it isn't TOML, or a field is unknown, missing or wrong; with the line.
    """
    table = read_toml(text, file_name=file_name, hint=_HINT)
    return rug_of_table(table, name=file_name, habits=habits)


def rug_of_table(table: TomlTable, *, name: str, habits: Habits) -> RugFile:
    """A rug from the fields of its file, or of a form; called ``name`` where they don't say.

    Raises
    ------
    FileTrouble
        If a field is unknown, missing or wrong.
    """
    table.check_names("rug", "reserve", "area", "supply")
    needs = tuple(_need(each, habits) for each in table.tables("area"))
    supplies = tuple(supply_of_table(each, habits) for each in table.tables("supply"))
    for what, found in (("area", needs), ("supply", supplies)):
        if not found:
            raise table.fault(what, UsageError(f"there is no {what}.", hint=table.hint))
    names = [each.name for each in supplies]
    for each, need in zip(table.tables("area"), needs, strict=True):
        if need.wants.supply is not None and need.wants.supply not in names:
            msg = f'there is no supply called "{need.wants.supply}".'
            raise each.fault("from", UsageError(msg, hint=f"There are {', '.join(names)}."))
        if (need.wants.stripe or need.wants.band) and need.wants.supply is None:
            msg = "a stripe or a band is of one supply."
            raise each.fault("stripe", UsageError(msg, hint='Say which: from = "...".'))
    for each, supply in zip(table.tables("supply"), names, strict=True):
        if names.count(supply) > 1:
            raise each.fault("name", UsageError(f'"{supply}" comes twice.'))
    return RugFile(
        name=table.field("rug", text_of, name),
        reserve=table.field("reserve", share_of, None),
        needs=needs,
        supplies=supplies,
    )


def wishes_for(name: str, needs: tuple[Need, ...], cuts: CutTable) -> WhatToCut:
    """What is wanted of a garment: stripes and bands that areas ask of it, in every cut in use."""
    own = [need.wants for need in needs if need.wants.supply == name]
    return WhatToCut(
        cuts=tuple(dict.fromkeys(need.cut for need in needs)),
        table=cuts,
        keep=tuple(dict.fromkeys("-".join(_ends(each.stripe)) for each in own if each.stripe)),
        only=tuple(dict.fromkeys(each.band for each in own if each.band is not None)),
    )


def counted_supply(
    supply: GarmentSupply,
    garment: Garment,
    measurement: Measurement,
    needs: tuple[Need, ...],
    cuts: CutTable,
) -> Supply:
    """A garment's strips, counted for what the areas want of it.

    Raises
    ------
    UsageError, NothingFits
        If its cloth has no such stripe, or no direction can be cut.
    """
    from plaidcut.cutting.garment_strips import strips_of_garment

    strips = strips_of_garment(measurement, garment, wishes_for(supply.name, needs, cuts))
    return garment_supply(supply.name, strips, direction=supply.direction, again=supply.again)


def _ends(run: tuple[str, ...]) -> tuple[str, ...]:
    return run if len(run) == 1 else (run[0], run[-1])


def _need(table: TomlTable, habits: Habits) -> Need:
    """One area."""
    shape = table.required("shape", _shape_of)
    table.check_names(
        *("name", "shape", *SHAPES[shape], "cut"),
        *("from", "stripe", "band", "colour", "within", "value"),
    )
    cut = table.field("cut", lambda value: parse_cut(str(value), habits.table), habits.cut)
    row_mm = RowWidths(rows_per_inch=habits.rows_per_inch).of(cut)
    try:
        extent = _EXTENTS[shape](table, row_mm)
    except UsageError as error:
        raise table.fault("shape", error) from error
    return Need(
        name=table.field("name", text_of, shape),
        extent=extent,
        cut=cut,
        wants=Wants(
            supply=table.field("from", text_of, None),
            stripe=table.field("stripe", _run_of, ()),
            band=table.field("band", lambda value: text_of(value).upper(), None),
            colour=table.field("colour", colour_of, None),
            within=table.field("within", above_zero, NEAR_COLOUR),
            value=table.field("value", _value_of, None),
        ),
        multiplier=multiplier_of(cut, habits.coverage),
    )


def _rectangle(table: TomlTable, _: float) -> Extent:
    return rectangle_extent(table.required("width", length_of), table.required("height", length_of))


def _circle(table: TomlTable, _: float) -> Extent:
    across_mm = table.required("across", length_of)
    return ellipse_extent(across_mm, across_mm)


def _ellipse(table: TomlTable, _: float) -> Extent:
    return ellipse_extent(table.required("width", length_of), table.required("height", length_of))


def _polygon(table: TomlTable, _: float) -> Extent:
    return polygon_extent(table.required("points", read_points))


def _border(table: TomlTable, row_mm: float) -> Extent:
    outside_mm = table.required("width", length_of), table.required("height", length_of)
    rows = table.field("rows", count_of, None)
    if (rows is None) == ("thick" not in table.values):
        msg = "a border has rows or is so thick, one of both."
        raise UsageError(msg, hint='Write rows = 4, or thick = "1 in".')
    thick_mm = table.required("thick", length_of) if rows is None else rows * row_mm
    return border_extent(
        outside_mm, thick_mm, oval=table.field("oval", truth_of, default=False), rows=rows
    )


def _line(table: TomlTable, row_mm: float) -> Extent:
    length_mm = table.required("length", length_of)
    return line_extent(length_mm, table.field("rows", count_of, 1), row_mm=row_mm)


def _area(table: TomlTable, _: float) -> Extent:
    return Extent(area_mm2=table.required("area", area_of))


_EXTENTS: Final[dict[str, Callable[[TomlTable, float], Extent]]] = {
    "rectangle": _rectangle,
    "circle": _circle,
    "ellipse": _ellipse,
    "polygon": _polygon,
    "border": _border,
    "line": _line,
    "area": _area,
}


def _run_of(value: object) -> tuple[str, ...]:
    """Read a stripe: ``U4``, ``U3-U5``."""
    match = re.fullmatch(r"\s*([UX])(\d+)(?:\s*-\s*\1?(\d+))?\s*", text_of(value).upper())
    if match is None:
        msg = f'it must be a stripe such as "U4" or "U3-U5", not {value!r}.'
        raise UsageError(msg)
    letter, first, last = match[1], int(match[2]), int(match[3] or match[2])
    if last < first:
        msg = f'"{value}" runs backwards; a stripe over the end of the repeat has no name here.'
        raise UsageError(msg, hint="Name its first band first, as it lies within the repeat.")
    return tuple(f"{letter}{k}" for k in range(first, last + 1))


def _shape_of(value: object) -> str:
    """Read the name of a shape."""
    if value not in SHAPES:
        msg = f"{value!r} is no shape."
        raise UsageError(msg, hint=f"Shapes are {', '.join(SHAPES)}.")
    return str(value)


def _value_of(value: object) -> str:
    if value not in ("light", "medium", "dark"):
        msg = f'it must be "light", "medium" or "dark", not {value!r}.'
        raise UsageError(msg)
    return str(value)
