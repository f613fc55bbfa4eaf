"""The ``plaidcut-cuts`` document: the cuts that there are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.cutting.cuts import CutTable, Numbering
from plaidcut.documents.parts import MadeBy, Part, Positive
from plaidcut.documents.text import JsonObject, validated

NAME: Final = "plaidcut-cuts"
VERSION: Final = 1


class CutPart(Part):
    """One cut."""

    cut: str = Field(description="The trade's number, or a name of her own.")
    width_mm: Positive
    strips_per_pass: Annotated[int, Field(ge=1)]
    own: bool = Field(description="Whether the width is her own, not the table's.")


class CutsDocument(Part):
    """The cuts, narrowest first."""

    document: Literal["plaidcut-cuts"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    numbering: Numbering
    cuts: list[CutPart]


def to_document(table: CutTable, own: Mapping[str, float]) -> JsonObject:
    """The document of a cut table, and of the widths that are her own."""
    model = CutsDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings={}),
        numbering=table.numbering,
        cuts=[
            CutPart(
                cut=cut.name,
                width_mm=cut.width_mm,
                strips_per_pass=cut.strips_per_pass,
                own=cut.name in own,
            )
            for cut in table.cuts
        ],
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> CutsDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(CutsDocument, NAME, document)
