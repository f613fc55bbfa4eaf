"""A rug as it stands in its form, as a rug file, and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import PurePath
from typing import Any, Final

from plaidcut.page.forms import Typed, filled, parts_of
from plaidcut.page.garments import number_in, points_in, typed_points
from plaidcut.rug.rug_file import SHAPES

CLOTH: Final = "cloth"
"""The kind of a supply whose strips are counted from a measured cloth."""

KINDS: Final = {
    "strips": ("strips", "cut", "colour"),
    "yards": ("yards", "yard", "colour"),
    "fat_quarters": ("fat_quarters", "size", "colour"),
    "area": ("area", "colour"),
    "weight": ("weight", "yard_weight", "yard", "colour"),
}
"""Other supplies, and their fields."""

NUMBERS: Final = ("rows", "within", "yards", "fat_quarters")
"""Fields that TOML holds as numbers."""

OF_AREA: Final = ("cut", "from", "stripe", "band", "colour", "within", "value")
"""Fields that areas of every shape have."""


def rug_values(
    typed: Mapping[str, str], files_of: Callable[[Typed], dict[str, str]]
) -> dict[str, Any]:
    """The fields of a rug file that say what a form says.

    Parameters
    ----------
    typed
        The form.
    files_of
        The fields that name the files of a supply that is a cloth.
    """
    values: dict[str, Any] = filled(typed, "rug", "reserve")
    areas = [_area_values(each) for each in parts_of(typed, "area")]
    supplies = [_supply_values(each, files_of) for each in parts_of(typed, "supply")]
    if areas:
        values["area"] = areas
    if supplies:
        values["supply"] = supplies
    return values


def _area_values(typed: Typed) -> dict[str, Any]:
    shape = typed.get("shape", "")
    values = _valued(filled(typed, "name", "shape", *SHAPES.get(shape, ()), *OF_AREA))
    if "points" in values:
        values["points"] = points_in(values["points"])
    if "oval" in values:
        values["oval"] = True
    return values


def _supply_values(typed: Typed, files_of: Callable[[Typed], dict[str, str]]) -> dict[str, Any]:
    kind = typed.get("kind", "")
    again = {"again": True} if typed.get("again") else {}
    if kind != CLOTH:
        return {**_valued(filled(typed, "name", *KINDS.get(kind, ()))), **again}
    values: dict[str, Any] = {**filled(typed, "name", "direction"), **files_of(typed)}
    if typed.get("pieces"):
        values["pieces"] = lines_in(typed["pieces"])
    return {**values, **again}


def _valued(fields: dict[str, str]) -> dict[str, Any]:
    return {name: number_in(text) if name in NUMBERS else text for name, text in fields.items()}


def lines_in(text: str) -> list[str]:
    """The lines into which something was typed."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def typed_rug(values: Mapping[str, Any], cloth_called: Callable[[str], str]) -> Typed:
    """What a rug file's fields, which were read before, look like typed into the form.

    Parameters
    ----------
    values
        The fields.
    cloth_called
        What the form calls the cloth of a file of that name; nothing where it isn't at hand.
    """
    typed = {name: str(values[name]) for name in ("rug", "reserve") if name in values}
    for number, area in enumerate(values.get("area", ())):
        own = {name: str(value) for name, value in area.items() if value is not False}
        if "points" in area:
            own["points"] = typed_points(area["points"])
        typed |= {f"area-{number}-{name}": text for name, text in own.items()}
    for number, supply in enumerate(values.get("supply", ())):
        own = _typed_supply(supply, cloth_called)
        typed |= {f"supply-{number}-{name}": text for name, text in own.items()}
    return typed


def _typed_supply(values: Mapping[str, Any], cloth_called: Callable[[str], str]) -> Typed:
    kind = next((kind for kind in KINDS if kind in values), CLOTH)
    own = {name: str(value) for name, value in values.items() if value is not False}
    if kind == CLOTH:
        pieces = values.get("pieces", [])
        own["pieces"] = "\n".join(pieces if isinstance(pieces, list) else [pieces])
        own["cloth"] = cloth_called(PurePath(own["cloth"]).stem)
        own.pop("garment", None)
    return {**own, "kind": kind}
