"""The shape of the ``plaidcut-corrections`` document, field by field."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import ConfigDict, Field, StringConstraints

from plaidcut.documents.parts import BandId, Length, MadeBy, Part, Sha256
from plaidcut.stripes.correct_system import LONGEST_NAME

MOST: Final = 200
"""Corrections in a document; far more than a cloth has bands (chosen here)."""


Hex = Annotated[str, StringConstraints(pattern=r"^#[0-9a-fA-F]{6}$")]
"""As people type it, in capitals too."""


class WholePart(Part):
    """A part that is understood whole or not at all: half a correction would be another one."""

    model_config = ConfigDict(extra="forbid")


class TwinnedPart(WholePart):
    """A correction that a mirrored order makes twice."""

    alone: bool = Field(
        default=False, description="True leaves the band's twin in a mirrored order as it is."
    )


class RenamePart(TwinnedPart):
    """Call a band what you call it."""

    kind: Literal["rename"]
    band: BandId
    name: Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_NAME)] = Field(
        description="Without control characters."
    )


class MergePart(TwinnedPart):
    """Make one band of neighbours."""

    kind: Literal["merge"]
    bands: Annotated[list[BandId], Field(min_length=2)] = Field(
        description="All of them in order; they may go round the repeat's start."
    )


class SplitPart(TwinnedPart):
    """Make several bands of one."""

    kind: Literal["split"]
    band: BandId
    at_mm: Annotated[list[Length], Field(min_length=1)] = Field(
        description="Where, from the band's left (upper) edge, rising."
    )
    hex: list[Hex | None] = Field(
        default=[],
        description="The yarn's colour of each part, one more than the places; null, or none for "
        "all, keeps the band's.",
    )


class WidthPart(TwinnedPart):
    """Give a band the width that a ruler shows."""

    kind: Literal["width"]
    band: BandId
    width_mm: Length


class ColourPart(TwinnedPart):
    """Give a band its yarn's colour, or the one that its strips read as, or both."""

    kind: Literal["colour"]
    band: BandId
    hex: Hex | None = Field(default=None, description="The yarn's colour.")
    reads_hex: Hex | None = Field(default=None, description="How a strip of it reads.")


class StartPart(WholePart):
    """Let the repeat start with another of its bands."""

    kind: Literal["start"]
    band: BandId


CorrectionPart = Annotated[
    RenamePart | MergePart | SplitPart | WidthPart | ColourPart | StartPart,
    Field(discriminator="kind"),
]


class CorrectionsDocument(WholePart):
    """What somebody puts right in one measurement, in order.

    Each correction names bands by the ids that they have once those before it are made.
    """

    document: Literal["plaidcut-corrections"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy | None = Field(default=None, description="Null if it was written by hand.")
    photo_sha256: Sha256 | None = Field(
        default=None,
        description="The photo that they are for; null for widths typed, or for any.",
    )
    corrections: Annotated[list[CorrectionPart], Field(max_length=MOST)]
