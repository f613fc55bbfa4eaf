"""The fields of a ``plaidcut-plan`` document, and what each means."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from plaidcut.cutting.aims import Aim
from plaidcut.cutting.plan import EdgeKind
from plaidcut.cutting.strip import Holds
from plaidcut.cutting.wishes import Rest
from plaidcut.documents.measurement_model import ColourPart, WarningPart
from plaidcut.documents.parts import (
    BandId,
    Length,
    MadeBy,
    NotNegative,
    Number,
    Part,
    Share,
    Spread,
)
from plaidcut.stripes.measurement import Direction

Count = Annotated[int, Field(ge=0)]


class PlacePart(Part):
    """A place on the piece, also from the nearest edge that can be seen."""

    at_mm: float = Field(description="From the piece's left (upper) edge.")
    band: BandId | None = Field(
        description="The band whose left (upper) edge is nearest; null for the piece's own edge."
    )
    number: int = Field(description="Which of the bands of that id on the piece, from 1 on.")
    off_mm: float = Field(description="How far right of (below) that edge; negative before it.")


class StripPart(Part):
    """One strip."""

    start_mm: float
    end_mm: float
    cut: str
    holds: Holds
    bands: list[BandId] = Field(description="The stripe or band it is named for; all if mixed.")
    share: Share = Field(description="Part of the strip that is of those; mixed: of the broadest.")
    margin_mm: float | None = Field(description="How far an edge may stray; null if mixed.")
    under: list[tuple[BandId, float]] = Field(description="The bands in it, and mm of each.")
    reads: ColourPart
    pile: str


class RunPart(Part):
    """Strips cut side by side off one edge."""

    edge: EdgeKind
    place: PlacePart
    blank_mm: NotNegative = Field(description="Cloth before the edge that is in no strip.")
    cut: str
    passes: list[list[StripPart]]


class PilePart(Part):
    """Strips that are alike."""

    pile: str
    cut: str
    holds: Holds
    bands: list[BandId]
    reads: ColourPart
    count: Count


class KeepPart(Part):
    """A stripe to keep whole."""

    bands: list[BandId]
    cut: str


class OnlyPart(Part):
    """A band to get strips of nothing else of."""

    band: BandId
    cut: str


class CountedPart(Part):
    """Strips that hold what is wanted."""

    whole: NotNegative
    one_colour: NotNegative


class ScorePart(CountedPart):
    """How far the plan reaches each aim."""

    heads: Count = Field(description="Changes of the head.")
    tears: Count = Field(description="Tears and trims.")
    waste_mm: NotNegative = Field(
        description="Width that goes into no strip, or where the rest is left into none wanted."
    )


class OverPlacesPart(Part):
    """What plans reach over all places of the repeat at the piece's edge."""

    places: Count
    least: CountedPart
    mean: CountedPart
    best: CountedPart


class WayPart(Part):
    """The plan for strips of one thread direction. Widths and places run across the strips."""

    direction: Direction
    width_mm: Length
    length_mm: Length
    wander_mm: Spread
    phase_mm: Number = Field(
        description="What stands at the piece's edge, from the repeat's start."
    )
    known_place: bool = Field(description="False: the best place, to tear the piece out at.")
    cut: str
    keep: list[KeepPart]
    only: list[OnlyPart]
    rest: Rest
    runs: list[RunPart]
    end_mm: NotNegative = Field(description="Where the last strip ends.")
    piles: list[PilePart]
    score: ScorePart
    by_hand: CountedPart | None = Field(description="Each strip cut singly, set on its stripe.")
    unaligned: CountedPart | None = Field(
        description="Cut edge to edge wherever it begins: the mean."
    )
    over_places: OverPlacesPart | None


class NotPlannedPart(Part):
    """A direction without a plan."""

    direction: Direction
    code: str
    message: str
    hint: str


class HandlingPart(Part):
    """How cloth is handled."""

    wander_mm: Spread
    by_eye: bool
    least_trim_mm: Spread
    least_tear_mm: Spread


class PlanDocument(Part):
    """A piece planned for strips of both thread directions. Lengths in mm."""

    document: Literal["plaidcut-plan"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    measurement_sha256: str = Field(
        pattern="^[0-9a-f]{64}$", description="Of the measurement document, without made_by."
    )
    order: list[Aim] = Field(description="What was aimed at, first things first.")
    ruler_step_mm: Length = Field(default=1.0, description="Graduation that edges are set by.")
    handling: HandlingPart
    ways: Annotated[list[WayPart], Field(max_length=len(Direction))]
    not_planned: list[NotPlannedPart]
    warnings: list[WarningPart]
