"""The ``plaidcut-garment`` document: the strips of a whole garment, and how long they are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.cutting.garment import GarmentStrips, GarmentWay, KindTotal, PieceStrips
from plaidcut.cutting.strip import Holds
from plaidcut.cutting.tally import Range
from plaidcut.documents.measurement import colour_part, hash_of
from plaidcut.documents.measurement_model import ColourPart, WarningPart
from plaidcut.documents.parts import MadeBy, NotNegative, Part, Positive, Share
from plaidcut.documents.plan import not_planned_part
from plaidcut.documents.plan_model import NotPlannedPart
from plaidcut.documents.text import JsonObject, validated
from plaidcut.stripes.measurement import Direction, Measurement

NAME: Final = "plaidcut-garment"
VERSION: Final = 1

Count = Annotated[int, Field(ge=1)]


class RangePart(Part):
    """A figure over the places that the repeat may have on the pieces."""

    low: NotNegative
    mean: NotNegative
    high: NotNegative


class KindPart(Part):
    """Strips of one kind."""

    cut: str
    holds: Holds
    kind: str = Field(description="In words: yellow whole, all red, mixed dark.")
    reads: ColourPart
    strips: RangePart = Field(description="Divided into lengths near the liked one.")
    length_mm: RangePart = Field(description="All of them end to end.")


class PiecePart(Part):
    """What one piece gives; times ``count`` in the garment."""

    name: str
    count: Count
    rough: bool = Field(description="Whether its size is a rough guess.")
    parts: Count = Field(description="Into how many it is torn first.")
    trimmed_mm: NotNegative = Field(description="What is trimmed off its edge to make it true.")
    known_place: bool
    strips: RangePart
    length_mm: RangePart


class WayPart(Part):
    """The garment cut in one direction with one cut."""

    direction: Direction
    cut: str
    kinds: list[KindPart]
    strips: RangePart
    length_mm: RangePart
    bits: RangePart = Field(description="Strips shorter than the shortest.")
    bits_mm: RangePart
    cloth_mm2: Positive = Field(description="What there is to cut: no seams, hems, holes.")
    waste: RangePart = Field(description="Share of that in no strip, or in bits.")
    pieces: list[PiecePart]


class ShrinkagePart(Part):
    """What washing was taken to shrink, as shares of each length."""

    lengthwise: Share
    crosswise: Share
    of_area: Share


class GarmentDocument(Part):
    """The strips of a garment. Lengths in mm."""

    document: Literal["plaidcut-garment"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    measurement_sha256: str = Field(
        pattern="^[0-9a-f]{64}$", description="Of the measurement document, without made_by."
    )
    garment: str
    shortest_mm: Positive
    liked_mm: Positive
    shrinkage: ShrinkagePart | None
    ways: list[WayPart]
    not_planned: list[NotPlannedPart]
    warnings: list[WarningPart]


def to_document(
    strips: GarmentStrips,
    measurement: Measurement,
    *,
    settings: Mapping[str, object] | None = None,
) -> JsonObject:
    """The document of a garment's strips; settings as for the measurement's."""
    garment, by = strips.garment, strips.garment.shrinkage
    model = GarmentDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        measurement_sha256=hash_of(measurement),
        garment=garment.name,
        shortest_mm=garment.shortest_mm,
        liked_mm=garment.liked_mm,
        shrinkage=None
        if by is None
        else ShrinkagePart(lengthwise=by.lengthwise, crosswise=by.crosswise, of_area=by.of_area),
        ways=[_way_part(way) for way in strips.ways],
        not_planned=[not_planned_part(each) for each in strips.not_planned],
        warnings=[WarningPart(code=each.code, message=each.message) for each in strips.cautions],
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> GarmentDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(GarmentDocument, NAME, document)


def _way_part(way: GarmentWay) -> WayPart:
    return WayPart(
        direction=way.direction,
        cut=way.cut.name,
        kinds=[_kind_part(kind) for kind in way.kinds],
        strips=_range_part(way.strips),
        length_mm=_range_part(way.length_mm),
        bits=_range_part(way.bits),
        bits_mm=_range_part(way.bits_mm),
        cloth_mm2=way.cloth_mm2,
        waste=_range_part(way.waste),
        pieces=[_piece_part(each) for each in way.pieces],
    )


def _kind_part(kind: KindTotal) -> KindPart:
    return KindPart(
        cut=kind.cut.name,
        holds=kind.holds,
        kind=kind.spoken,
        reads=colour_part(kind.reads),
        strips=_range_part(kind.strips),
        length_mm=_range_part(kind.length_mm),
    )


def _piece_part(each: PieceStrips) -> PiecePart:
    return PiecePart(
        name=each.piece.name,
        count=each.piece.count,
        rough=each.piece.rough,
        parts=each.parts,
        trimmed_mm=each.trimmed_mm,
        known_place=each.known_place,
        strips=_range_part(each.strips),
        length_mm=_range_part(each.length_mm),
    )


def _range_part(figure: Range) -> RangePart:
    low, mean, high = (max(0.0, each) for each in (figure.low, figure.mean, figure.high))
    return RangePart(low=low, mean=mean, high=high)
