"""The ``plaidcut-loose`` document: the loose strips in a photo, and which cut each is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.cutting.cuts import Numbering
from plaidcut.cutting.which_cut import NamedStrip, NamedStrips
from plaidcut.documents.measurement import colour_part, scale_part
from plaidcut.documents.measurement_model import ColourPart, PhotoPart, ScalePart, WarningPart
from plaidcut.documents.parts import MadeBy, NotNegative, Part, Point, Positive, Share
from plaidcut.documents.text import JsonObject, validated
from plaidcut.loose.strips import Odd

NAME: Final = "plaidcut-loose"
VERSION: Final = 1

Count = Annotated[int, Field(ge=1)]


class StripPart(Part):
    """One strip."""

    number: Count = Field(description="From the top of the photo down.")
    width_mm: Positive = Field(description="Median along its length.")
    width_std_mm: Positive
    width_own_std_mm: NotNegative = Field(
        description="The part of the uncertainty that the photo's other strips don't share."
    )
    spread_mm: NotNegative = Field(
        description="Robust standard deviation of the width along the strip."
    )
    length_mm: Positive = Field(description="How much of it is seen, along its middle.")
    ends_seen: Annotated[int, Field(ge=0, le=2)]
    cut: str | None = Field(description="The cut that it surely is; null where none is sure.")
    nearest: str = Field(description="The cut of the nearest width.")
    certainty: Share = Field(description="How likely it is the nearest cut.")
    between: tuple[str, str] | None = Field(
        description="The two cuts that it may be, the narrower first, where neither is sure."
    )
    counted: bool = Field(description="Whether it counts for its cut: sure, and not odd.")
    odd: list[Odd]
    reads: ColourPart = Field(description="From far off, the yarns that cross it mixed in.")
    flecked: bool = Field(description="Whether its colour changes along it.")
    outlines_px: list[list[Point]] = Field(description="Where it was measured.")


class CountPart(Part):
    """How many strips of a cut there surely are."""

    cut: str
    width_mm: Positive
    count: Count


class LooseDocument(Part):
    """Loose strips in a photo. Lengths in mm."""

    document: Literal["plaidcut-loose"]
    version: Count
    made_by: MadeBy
    photo: PhotoPart
    scale: ScalePart
    numbering: Numbering
    strips: list[StripPart]
    counts: list[CountPart]
    uncounted: Annotated[int, Field(ge=0)]
    warnings: list[WarningPart]


def to_document(named: NamedStrips, *, settings: Mapping[str, object] | None = None) -> JsonObject:
    """The document of a photo's strips; settings as for the measurement's."""
    loose = named.loose
    model = LooseDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        photo=PhotoPart(
            name=loose.photo.name,
            width_px=loose.photo.width_px,
            height_px=loose.photo.height_px,
            sha256=loose.photo.sha256,
        ),
        scale=scale_part(loose.scale),
        numbering=named.table.numbering,
        strips=[_strip_part(each) for each in named.strips],
        counts=[
            CountPart(cut=cut.name, width_mm=cut.width_mm, count=count)
            for cut, count in named.counts
        ],
        uncounted=named.uncounted,
        warnings=[WarningPart(code=each.code, message=each.message) for each in loose.cautions],
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> LooseDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(LooseDocument, NAME, document)


def _strip_part(each: NamedStrip) -> StripPart:
    strip, named = each.strip, each.named
    between = None
    if named.cut is None and named.other is not None:
        low, high = sorted((named.nearest, named.other), key=lambda cut: cut.width_mm)
        between = (low.name, high.name)
    return StripPart(
        number=strip.number,
        width_mm=strip.width_mm,
        width_std_mm=strip.width_std_mm,
        width_own_std_mm=strip.width_own_std_mm,
        spread_mm=strip.spread_mm,
        length_mm=strip.length_mm,
        ends_seen=strip.ends_seen,
        cut=None if named.cut is None else named.cut.name,
        nearest=named.nearest.name,
        certainty=named.certainty,
        between=between,
        counted=each.counted is not None,
        odd=list(strip.odd),
        reads=colour_part(strip.reads),
        flecked=strip.flecked,
        outlines_px=[
            [(round(x, 1), round(y, 1)) for x, y in outline.tolist()]
            for outline in strip.outlines_px
        ],
    )
