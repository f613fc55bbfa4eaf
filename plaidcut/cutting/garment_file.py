"""Garments as people type them: in a TOML file, or as ``5 of 20 x 14 in``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, TypeVar

from plaidcut.cutting.garment import Garment
from plaidcut.cutting.lengths import LIKED_MM, SHORTEST_MM
from plaidcut.cutting.shapes import (
    Allowances,
    GarmentPiece,
    Hole,
    Point,
    Shrinkage,
    cloth_of,
    outline_of,
    rectangle,
    round_hole,
    square_hole,
    trapezoid,
    turned,
)
from plaidcut.cutting.starting_shapes import STARTING_SHAPES
from plaidcut.errors import UsageError
from plaidcut.tables import (
    TomlTable,
    count_of,
    length_of,
    length_or_zero_of,
    read_toml,
    table_of,
    text_of,
    truth_of,
)
from plaidcut.units import parse_size

_HINT: Final = "docs/reference/garment-files.md says what such a file may hold."

T = TypeVar("T")

SIZES: Final = {
    "rectangle": ("width", "height"),
    "trapezoid": ("top", "bottom", "height"),
    "polygon": ("points",),
} | dict.fromkeys(STARTING_SHAPES, ("top", "bottom", "height"))
"""Shapes, and the fields that say how large each is."""

_OF: Final = re.compile(r"\s*(?:(\d+)\s+of\s+)?(.+?)\s*", re.IGNORECASE)

_ACROSS_DEG: Final = 90.0
"""How far threads lean that run from side to side."""

_PERCENT: Final = re.compile(r"\s*(\d+(?:\.\d+)?)\s*%\s*")


def parse_garment(text: str, *, file_name: str) -> Garment:
    """Read the text of a garment file.

    Parameters
    ----------
    text
        TOML, as ``docs/reference/garment-files.md`` describes it.
    file_name
        What errors call the file.

    Raises
    ------
    FileTrouble
        If it isn't TOML, a field is unknown, missing or wrong, a piece crosses itself, or a hole
        lies outside its piece; with the line.
    """
    return garment_of_table(read_toml(text, file_name=file_name, hint=_HINT), name=file_name)


def garment_of_table(
    table: TomlTable, *, name: str, beside: tuple[GarmentPiece, ...] = ()
) -> Garment:
    """A garment from the fields of its file, or of a form.

    Parameters
    ----------
    table
        The fields.
    name
        What it is called where they don't say.
    beside
        Pieces before those of the fields, which may have none then.

    Raises
    ------
    FileTrouble
        If a field is unknown, missing or wrong.
    """
    table.check_names("garment", "shortest", "length", "shrinkage", "piece")
    shrinkage = None
    if "shrinkage" in table.values:
        shares = table.table("shrinkage")
        shares.check_names("lengthwise", "crosswise")
        shrinkage = Shrinkage(
            lengthwise=shares.required("lengthwise", _share_of),
            crosswise=shares.required("crosswise", _share_of),
        )
    pieces = (*beside, *(_piece(each) for each in table.tables("piece")))
    if not pieces:
        raise table.fault("piece", UsageError("there is no piece.", hint=table.hint))
    return Garment(
        name=table.field("garment", text_of, name),
        pieces=pieces,
        shortest_mm=table.field("shortest", length_of, SHORTEST_MM),
        liked_mm=table.field("length", length_of, LIKED_MM),
        shrinkage=shrinkage,
    )


def parse_piece(text: str) -> GarmentPiece:
    """Read a piece as it was typed: ``5 of 20 x 14 in``, ``24 in x 16 in``, ``2 of sleeve``.

    The first length goes from side to side. Such a piece has torn edges; a named shape has not.

    Raises
    ------
    UsageError, BadLength
        If it is neither a size nor the name of a shape.

    Examples
    --------
    >>> parse_piece("5 of 20 x 14 in").count
    5
    """
    match = _OF.fullmatch(text)
    if match is None or match[1] == "0":
        msg = f'"{text}" is no piece of cloth.'
        raise UsageError(msg, hint='Write "5 of 20 x 14 in", or "2 of sleeve".')
    count, rest = int(match[1] or 1), match[2]
    shape = STARTING_SHAPES.get(rest.lower())
    if shape is not None:
        outline = outline_of(trapezoid(shape.top_mm, shape.bottom_mm, shape.height_mm))
        return GarmentPiece(
            name=shape.kind, count=count, sewn=outline, cloth=outline, true_edge=False, rough=True
        )
    outline = outline_of(rectangle(*parse_size(rest)))
    return GarmentPiece(name=rest, count=count, sewn=outline, cloth=outline, true_edge=True)


def _piece(table: TomlTable) -> GarmentPiece:
    """One piece of a file."""
    shape = table.required("shape", _shape_of)
    table.check_names(
        "name", "shape", *SIZES[shape], "count", "threads", "seam", "hem", "at", "torn", "holes"
    )
    starting = STARTING_SHAPES.get(shape)
    rough = starting is not None and not any(name in table.values for name in SIZES[shape])
    points = _points(table, shape)
    try:
        sewn = outline_of(points)
    except UsageError as error:
        raise table.fault("points" if "points" in table.values else "shape", error) from error
    allowances = Allowances(
        seam_mm=table.field("seam", length_or_zero_of, 0.0),
        hem_mm=table.field("hem", length_or_zero_of, 0.0),
    )
    holes: list[Hole] = table.field("holes", _holes_of, [])
    try:
        cloth = cloth_of(sewn, holes, allowances)
    except UsageError as error:
        raise table.fault("holes" if "hole" in error.message else "seam", error) from error
    lean_deg = table.field("threads", _lean_of, 0.0)
    plain = shape in ("rectangle", "blanket", "scarf") and lean_deg in (0.0, _ACROSS_DEG)
    piece = GarmentPiece(
        name=table.field("name", text_of, starting.kind if starting else shape),
        count=table.field("count", count_of, starting.count if starting else 1),
        sewn=sewn,
        cloth=cloth,
        true_edge=table.field("torn", truth_of, plain and allowances == Allowances()),
        at=table.field("at", _places_of, ()),
        rough=rough,
        seamed=allowances != Allowances(),
        holes=len(holes),
    )
    if not lean_deg:
        return piece
    return replace(piece, sewn=turned(sewn, lean_deg), cloth=turned(cloth, lean_deg))


def _points(table: TomlTable, shape: str) -> tuple[Point, ...]:
    """The corners of a piece's outline."""
    starting = STARTING_SHAPES.get(shape)
    if starting is not None:
        return trapezoid(
            table.field("top", length_of, starting.top_mm),
            table.field("bottom", length_of, starting.bottom_mm),
            table.field("height", length_of, starting.height_mm),
        )
    if shape == "polygon":
        return tuple(table.required("points", points_of))
    sizes = [table.required(name, length_of) for name in SIZES[shape]]
    return rectangle(*sizes) if shape == "rectangle" else trapezoid(*sizes)


def _shape_of(value: object) -> str:
    """Read the name of a shape."""
    if value not in SIZES:
        msg = f"{value!r} is no shape."
        raise UsageError(msg, hint=f"Shapes are {', '.join(SIZES)}.")
    return str(value)


def points_of(value: object) -> list[Point]:
    """Read corners: a list of pairs of lengths."""
    if not isinstance(value, list):
        msg = "it must be a list of corners."
        raise UsageError(msg, hint='Write points = [["0 in", "0 in"], ["8 in", "0 in"], ...].')
    return [_point_of(each) for each in value]


def _point_of(value: object) -> Point:
    """Read a point: how far from the left and from the top."""
    if not isinstance(value, list) or len(value) != 2:
        msg = f"{value!r} is no point."
        raise UsageError(msg, hint='Write how far from the left and the top: ["3 in", "10 in"].')
    return (length_or_zero_of(value[0]), length_or_zero_of(value[1]))


def _holes_of(value: object) -> list[Hole]:
    """Read holes: a list of tables."""
    if not isinstance(value, list):
        msg = "it must be a list of holes."
        raise UsageError(msg, hint='Write holes = [{ round = "1/2 in", at = ["3 in", "9 in"] }].')
    return [_hole(table_of(each), number) for number, each in enumerate(value, 1)]


def _hole(values: Mapping[str, Any], number: int) -> Hole:
    """One hole: round, with four sides, or of any outline."""
    names = set(values)
    if names == {"round", "at"}:
        return round_hole(_point_of(values["at"]), length_of(values["round"]))
    if names == {"width", "height", "at"}:
        sides = length_of(values["width"]), length_of(values["height"])
        return square_hole(_point_of(values["at"]), *sides)
    if names == {"points"}:
        return Hole(points=tuple(points_of(values["points"])))
    msg = f"hole {number} has {', '.join(sorted(names)) or 'nothing'}."
    raise UsageError(msg, hint="A hole has round and at; or width, height and at; or points alone.")


def _lean_of(value: object) -> float:
    """Read how the up threads lie on the piece: ``up``, ``across`` or an angle to the right."""
    if value == "up":
        return 0.0
    if value == "across":
        return _ACROSS_DEG
    match = re.fullmatch(r"\s*(-?\d+(?:\.\d+)?)\s*deg\s*", str(value))
    if match is None or abs(float(match[1])) > _ACROSS_DEG:
        msg = f'it must be "up", "across" or an angle such as "12 deg", not {value!r}.'
        raise UsageError(msg)
    return float(match[1])


def _share_of(value: object) -> float:
    """Read per cent."""
    match = _PERCENT.fullmatch(str(value))
    if match is None or float(match[1]) >= 50:
        msg = f'it must be per cent below 50, such as "8 %", not {value!r}.'
        raise UsageError(msg)
    return float(match[1]) / 100


def _places_of(value: object) -> tuple[str, ...]:
    """Read what stands at a piece's edges: one place, or one for each of two."""
    texts = tuple(text_of(each) for each in (value if isinstance(value, list) else [value]))
    sides = [text.strip()[:1].upper() for text in texts]
    for text in texts:
        if re.match(r"\s*[UXux]\d+\s*(\+|$)", text) is None:
            msg = f'"{text}" is no place in the cloth.'
            raise UsageError(msg, hint='Write a band, or how far into it: "U3 + 1/4 in".')
    if len(set(sides)) < len(sides):
        msg = "two places are of one edge."
        raise UsageError(msg, hint="Name one U band for its left edge and one X band for its top.")
    return texts
