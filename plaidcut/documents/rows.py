"""The ``plaidcut-rows`` document: the ways to fill gaps with whole rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.documents.parts import MadeBy, NotNegative, Part, Positive
from plaidcut.documents.text import JsonObject, validated
from plaidcut.rug.gaps import BorderRows, GapRows
from plaidcut.rug.rows import Filling, Lettering

NAME: Final = "plaidcut-rows"
VERSION: Final = 1

Count = Annotated[int, Field(ge=0)]


class RowsPart(Part):
    """Rows of one cut."""

    cut: str
    count: Count


class FillingPart(Part):
    """A way to fill the gap."""

    rows: list[RowsPart]
    spare_mm: NotNegative
    over_mm: float | None = Field(description="One more row is over by that; null for mixtures.")


class BorderPart(Part):
    """A border of whole rows, its corners counted once."""

    cut: str
    rows: Count
    rows_mm: NotNegative = Field(description="Length of all its rows.")
    area_mm2: NotNegative
    strips_mm: tuple[float, float, float] = Field(description="Strip it takes: low to high.")


class LetteringPart(Part):
    """Letters in one cut."""

    cut: str
    fits: bool
    stroke_rows: Count
    stroke_spare_mm: NotNegative
    space_rows: Count
    space_spare_mm: NotNegative
    holds_place: str | None = Field(description="The cut that holds the letters' place.")


class GapPart(Part):
    """One gap."""

    width_mm: Positive
    std_mm: NotNegative
    single: list[FillingPart] = Field(description="One for each cut, the least spare first.")
    mixed: list[FillingPart] = Field(description="Of two cuts, leaving less than any one.")
    borders: list[BorderPart]
    lettering: list[LetteringPart]


class RowsDocument(Part):
    """Gaps and what fills them. Lengths in mm."""

    document: Literal["plaidcut-rows"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    gaps: list[GapPart]


def to_document(
    gaps: Sequence[GapRows], *, settings: Mapping[str, object] | None = None
) -> JsonObject:
    """The document of the ways to fill gaps; settings as for the measurement's."""
    model = RowsDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        gaps=[
            GapPart(
                width_mm=each.gap.width_mm,
                std_mm=each.gap.std_mm,
                single=[_filling_part(filling) for filling in each.single],
                mixed=[_filling_part(filling) for filling in each.mixed],
                borders=[_border_part(border) for border in each.borders],
                lettering=[_lettering_part(letters) for letters in each.lettering],
            )
            for each in gaps
        ],
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> RowsDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(RowsDocument, NAME, document)


def _filling_part(filling: Filling) -> FillingPart:
    return FillingPart(
        rows=[RowsPart(cut=rows.cut.name, count=rows.count) for rows in filling.rows],
        spare_mm=filling.spare_mm,
        over_mm=filling.over_mm,
    )


def _border_part(border: BorderRows) -> BorderPart:
    return BorderPart(
        cut=border.cut.name,
        rows=border.rows,
        rows_mm=border.rows_mm,
        area_mm2=border.area_mm2,
        strips_mm=border.strips_mm,
    )


def _lettering_part(letters: Lettering) -> LetteringPart:
    return LetteringPart(
        cut=letters.cut.name,
        fits=letters.fits,
        stroke_rows=letters.stroke_rows,
        stroke_spare_mm=max(0.0, letters.stroke_spare_mm),
        space_rows=letters.space_rows,
        space_spare_mm=max(0.0, letters.space_spare_mm),
        holds_place=None if letters.holds_place is None else letters.holds_place.name,
    )
