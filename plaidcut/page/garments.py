"""A garment as it stands in the form of pieces, as a garment file, and back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from plaidcut.cutting.garment import Garment
from plaidcut.cutting.garment_file import SIZES, garment_of_table
from plaidcut.cutting.shapes import piece_of_photo
from plaidcut.page.forms import Typed, filled, parts_of
from plaidcut.stripes.measurement import Measurement
from plaidcut.tables import form_table

LEANING: Final = "lean"
"""Chosen where threads run at an angle, which is typed beside."""

PLACES: Final = ("at_left", "at_upper")
"""What stands at a piece's left and at its upper edge."""

TORN: Final = {"yes": True, "no": False}


def garment_in(typed: Mapping[str, str], measurement: Measurement, *, name: str) -> Garment:
    """The garment of a form.

    Raises
    ------
    FileTrouble
        If a field is missing or wrong.
    UsageError, NothingFits
        If the photo's outline is asked for and there is none.
    """
    photo = (piece_of_photo(measurement),) if typed.get("photo") else ()
    table = form_table(garment_values(typed), hint="Type it in, then count again.")
    return garment_of_table(table, name=name, beside=photo)


def garment_values(typed: Mapping[str, str]) -> dict[str, Any]:
    """The fields of a garment file that say what a form says."""
    values: dict[str, Any] = filled(typed, "garment", "shortest", "length")
    shrinkage = filled(typed, "lengthwise", "crosswise")
    if shrinkage:
        values["shrinkage"] = shrinkage
    pieces = [_piece_values(each) for each in parts_of(typed, "piece")]
    return {**values, "piece": pieces} if pieces else values


def _piece_values(typed: Typed) -> dict[str, Any]:
    shape = typed.get("shape", "")
    values: dict[str, Any] = {"shape": shape}
    values |= filled(typed, "name", *SIZES.get(shape, ()), "seam", "hem")
    if typed.get("points"):
        values["points"] = points_in(typed["points"])
    if typed.get("count"):
        values["count"] = number_in(typed["count"])
    threads = typed.get("threads", "")
    if threads:
        values["threads"] = typed.get("angle", "") if threads == LEANING else threads
    places = [typed[name] for name in PLACES if typed.get(name)]
    if places:
        values["at"] = places
    if typed.get("torn"):
        values["torn"] = TORN.get(typed["torn"], typed["torn"])
    holes = [_hole_values(each) for each in parts_of(typed, "hole")]
    return {**values, "holes": holes} if holes else values


def _hole_values(typed: Typed) -> dict[str, Any]:
    if "points" in typed:
        return {"points": points_in(typed["points"])}
    at = [typed.get("left", ""), typed.get("top", "")]
    if typed.get("high"):
        return {"width": typed.get("wide", ""), "height": typed["high"], "at": at}
    return {"round": typed.get("wide", ""), "at": at}


def points_in(text: str) -> list[list[str]]:
    """Corners, one on each line: how far from the left; from the top."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return [
        [each.strip() for each in re.split(";" if ";" in line else ",", line)] for line in lines
    ]


def number_in(text: str) -> int | float | str:
    """A number as TOML holds it; the text itself where it is none, which its reader refuses."""
    try:
        return int(text) if text.isdecimal() else float(text)
    except ValueError:
        return text


def typed_garment(values: Mapping[str, Any]) -> Typed:
    """What a garment file's fields, which were read before, look like typed into the form."""
    shrinkage = values.get("shrinkage", {})
    top = {name: values[name] for name in ("garment", "shortest", "length") if name in values}
    typed = {name: str(value) for name, value in {**top, **shrinkage}.items()}
    for number, piece in enumerate(values.get("piece", ())):
        own = _typed_piece(piece)
        typed |= {f"piece-{number}-{name}": text for name, text in own.items()}
    return typed


def _typed_piece(values: Mapping[str, Any]) -> Typed:
    plain = ("name", "shape", "width", "height", "top", "bottom", "count", "seam", "hem")
    typed = {name: str(values[name]) for name in plain if name in values}
    if "points" in values:
        typed["points"] = typed_points(values["points"])
    threads = values.get("threads", "")
    if threads:
        known = threads in ("up", "across")
        typed |= {"threads": threads} if known else {"threads": LEANING, "angle": threads}
    at = values.get("at", ())
    for place in at if isinstance(at, list) else [at] if at else ():
        typed[PLACES[place.strip()[:1].upper() != "U"]] = place
    if "torn" in values:
        typed["torn"] = "yes" if values["torn"] else "no"
    for number, hole in enumerate(values.get("holes", ())):
        typed |= {f"hole-{number}-{name}": text for name, text in _typed_hole(hole).items()}
    return typed


def _typed_hole(values: Mapping[str, Any]) -> Typed:
    if "points" in values:
        return {"points": typed_points(values["points"])}
    left, top = values["at"]
    sides = {"wide": values.get("round") or values.get("width", ""), "left": left, "top": top}
    return {**sides, "high": values.get("height", "")}


def typed_points(points: list[list[str]]) -> str:
    """Corners as they are typed."""
    return "\n".join("; ".join(point) for point in points)
