"""The ``plaidcut-rug`` document: whether the wool covers a rug."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.documents.parts import MadeBy, NotNegative, Part, Positive, Share
from plaidcut.documents.text import JsonObject, validated
from plaidcut.rug.answer import AreaAnswer, Mend, MendKind, RugAnswer, Verdict

NAME: Final = "plaidcut-rug"
VERSION: Final = 1

Three = tuple[NotNegative, NotNegative, NotNegative]
"""Low, typical, high."""


class GotPart(Part):
    """What an area gets from one kind of strips, with typical hooking."""

    supply: str
    strips: str
    length_mm: NotNegative


class AreaPart(Part):
    """One area, the most important first."""

    name: str
    cut: str
    area_mm2: NotNegative
    multiplier: Three = Field(description="Wool over hooked area: low, typical, high.")
    source: str = Field(description="Where the multiplier comes from.")
    takes_mm: Three = Field(description="Length of strip.")
    gets: list[GotPart]
    covered: tuple[Share, Share, Share] = Field(description="If hooking is low, typical, high.")
    short_mm: NotNegative = Field(description="Missing length of strip with typical hooking.")


class LeftPart(Part):
    """What is left of a supply with typical hooking, its reserve included."""

    supply: str
    share: Share
    reserve: Share
    said: str = Field(description="What was taken for granted, such as the size of a yard.")


class MendPart(Part):
    """What would cover an area that is short."""

    kind: MendKind
    area: str
    cut: str | None
    rows: int | None
    supply: str | None
    share: Share | None


class RugDocument(Part):
    """Whether the wool covers a rug. Lengths in mm."""

    document: Literal["plaidcut-rug"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    rug: str
    hooked: Share = Field(description="Share that was hooked already.")
    verdict: Verdict
    strip_mm: Positive = Field(description="Length of a strip where strips are spoken of.")
    areas: list[AreaPart]
    left: list[LeftPart]
    mends: list[MendPart]


def to_document(answer: RugAnswer, *, settings: Mapping[str, object] | None = None) -> JsonObject:
    """The document of an answer; settings as for the measurement's."""
    from plaidcut.cutting.lengths import LIKED_MM

    said = {supply.name: supply.said for supply in answer.rug.supplies}
    model = RugDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        rug=answer.rug.name,
        hooked=answer.rug.hooked,
        verdict=answer.verdict,
        strip_mm=LIKED_MM,
        areas=[_area_part(area) for area in answer.areas],
        left=[
            LeftPart(
                supply=each.supply,
                share=min(1.0, max(0.0, each.share)),
                reserve=each.reserve,
                said=said[each.supply],
            )
            for each in answer.left
        ],
        mends=[_mend_part(mend) for mend in answer.mends],
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> RugDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(RugDocument, NAME, document)


def _area_part(area: AreaAnswer) -> AreaPart:
    need, takes = area.need, area.need.multiplier
    return AreaPart(
        name=need.name,
        cut=need.cut.name,
        area_mm2=need.extent.area_mm2,
        multiplier=(takes.low, takes.typical, takes.high),
        source=takes.source,
        takes_mm=area.takes_mm,
        gets=[
            GotPart(supply=got.supply, strips=got.label, length_mm=got.length_mm)
            for got in area.gets
        ],
        covered=area.covered,
        short_mm=area.short_mm,
    )


def _mend_part(mend: Mend) -> MendPart:
    return MendPart(
        kind=mend.kind,
        area=mend.need,
        cut=None if mend.cut is None else mend.cut.name,
        rows=mend.rows,
        supply=mend.supply,
        share=mend.share,
    )
