"""What a garment's report says, whatever it is written on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plaidcut.cutting.garment import GarmentStrips, GarmentWay, KindTotal, PieceStrips
from plaidcut.cutting.tally import Range
from plaidcut.errors import Caution
from plaidcut.reports.lengths_words import area_words, long_words
from plaidcut.reports.plan_words import SIDES, counted, steps
from plaidcut.reports.words import MOTHS, SAFETY, about_cloth
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem
from plaidcut.units import Units, on_ruler


@dataclass(frozen=True, slots=True, kw_only=True)
class KindRow:
    """One kind of strip, ready to be shown."""

    label: str
    hex: str | None
    """What its strips read; None for sums."""
    cells: tuple[str, ...]
    """One for each cut: how many strips, and how long they are in all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecePart:
    """How one piece is cut, ready to be shown."""

    heading: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectionPart:
    """The strips of one direction in all cuts, and the order of cutting in the first."""

    heading: str
    cuts: tuple[str, ...]
    rows: tuple[KindRow, ...]
    order_heading: str
    pieces: tuple[PiecePart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GarmentContent:
    """All that a garment's report says."""

    title: str
    about: tuple[str, ...]
    directions: tuple[DirectionPart, ...]
    not_planned: tuple[str, ...]
    cautions: tuple[Caution, ...]
    safety: tuple[str, ...]


def garment_content(
    measurement: Measurement, strips: GarmentStrips, *, units: Units = Units.IN
) -> GarmentContent:
    """Put a garment's strips into words; the first cut is the one whose order is told."""
    garment = strips.garment
    pieces = sum(piece.count for piece in garment.pieces)
    area = area_words(strips.ways[0].cloth_mm2, units)
    sizes = (
        f"{counted(pieces, 'piece').capitalize()}, {area} to cut. Strips longer than "
        f"{on_ruler(garment.liked_mm, units)} are divided into about that; bits are shorter than "
        f"{on_ruler(garment.shortest_mm, units)}."
    )
    ranges = any(not each.known_place for way in strips.ways for each in way.pieces)
    where = (
        "Where a count is a range, it hangs on what stands at the pieces' edges." if ranges else ""
    )
    known = {"washing-unknown"}  # said at the head already
    return GarmentContent(
        title=f"Strips of {garment.name}",
        about=(*about_cloth(measurement), sizes, *([where] if where else [])),
        directions=tuple(
            _direction_part(
                [way for way in strips.ways if way.direction is direction],
                measurement.system(direction),
                units,
            )
            for direction in Direction
            if any(way.direction is direction for way in strips.ways)
        ),
        not_planned=tuple(
            f"Strips running {each.direction.spoken} aren't counted: {each.reason.message} "
            f"{each.reason.hint}"
            for each in strips.not_planned
        ),
        cautions=(*strips.cautions, *(c for c in measurement.cautions if c.code not in known)),
        safety=(*SAFETY, MOTHS),
    )


def range_words(count: Range) -> str:
    """``286``, ``278-296``."""
    low, high = round(count.low), round(count.high)
    return f"{low}" if low == high else f"{low}-{high}"


def _direction_part(
    ways: Sequence[GarmentWay], system: ThreadSystem, units: Units
) -> DirectionPart:
    own, ways = ways[0], sorted(ways, key=lambda way: way.cut.width_mm)
    kinds: dict[str, dict[str, KindTotal]] = {}
    for way in ways:
        for kind in way.kinds:
            label = kind.spoken if kind.cut == way.cut else f"{kind.spoken}, {kind.cut.label}"
            kinds.setdefault(label, {})[way.cut.name] = kind
    rows = [
        KindRow(
            label=label,
            hex=next(iter(totals.values())).reads.hex,
            cells=tuple(
                _cell(totals[way.cut.name].strips, totals[way.cut.name].length_mm, units)
                if way.cut.name in totals
                else "-"
                for way in ways
            ),
        )
        for label, totals in kinds.items()
    ]
    rows += [
        _sums("All strips", [_cell(way.strips, way.length_mm, units) for way in ways]),
        _sums("Bits besides", [_cell(way.bits, way.bits_mm, units) for way in ways]),
        _sums("Of the cloth in no strip", [f"{100 * way.waste.mean:.0f} %" for way in ways]),
    ]
    return DirectionPart(
        heading=f"Strips running {own.direction.spoken}",
        cuts=tuple(way.cut.label for way in ways),
        rows=tuple(rows),
        order_heading=f"The order of cutting, for {own.cut.label} running {own.direction.spoken}",
        pieces=tuple(_piece_part(each, own, system, units) for each in own.pieces),
    )


def _sums(label: str, cells: Sequence[str]) -> KindRow:
    return KindRow(label=label, hex=None, cells=tuple(cells))


def _cell(strips: Range, length_mm: Range, units: Units) -> str:
    return f"{range_words(strips)}\n{long_words(length_mm.mean, units)}"


def _piece_part(
    each: PieceStrips, way: GarmentWay, system: ThreadSystem, units: Units
) -> PiecePart:
    """What is done with one piece, from the shears to the last pass."""
    piece, first = each.piece, SIDES[way.direction][0]
    told = []
    if piece.seamed:
        told.append("Cut seams and hem away close beside their stitching.")
    if piece.holes:
        told.append("Mark holes, darts, pockets and whatever else is no cloth: strips end there.")
    if each.trimmed_mm:
        told.append(
            f"Trim its {first} edge along a thread with ruler and rotary cutter: "
            f"{on_ruler(each.trimmed_mm, units)} is reckoned for that."
        )
    if each.parts > 1:
        wide = on_ruler(each.way.width_mm, units)
        told.append(f"Tear it into {each.parts} equal parts, each {wide} wide.")
    if each.lengths > 1:
        long = on_ruler(each.way.length_mm, units)
        told.append(f"Tear it across into {each.lengths} equal lengths of about {long}.")
    if not each.known_place:
        told.append(
            "See what stands at its edge, and plan it from there: a stripe is lined up anew at "
            "every repeat."
        )
    elif each.parts == 1:
        told += steps(each.way, system, units)
    else:
        told.append("Make a plan for each part, by what stands at its edge.")
    strips = f"{range_words(each.strips)} strips, {long_words(each.length_mm.mean, units)}"
    copies = f", {piece.count} of it: each gives" if piece.count > 1 else ":"
    return PiecePart(heading=f"{piece.name}{copies} {strips}", steps=tuple(told))
