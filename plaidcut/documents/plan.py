"""The ``plaidcut-plan`` document: where a piece is torn and cut, and what each strip holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.cutting.aims import Aim
from plaidcut.cutting.both_ways import NotPlanned, Plan
from plaidcut.cutting.cuts import CutTable, parse_cut
from plaidcut.cutting.handling import Handling
from plaidcut.cutting.plan import (
    Counted,
    EdgeKind,
    OverPlaces,
    PieceOfCloth,
    PlannedRun,
    Planning,
    WayPlan,
)
from plaidcut.cutting.planner import plan_of
from plaidcut.cutting.stretch import Place
from plaidcut.cutting.strip import Holds, Pile, Strip
from plaidcut.cutting.wishes import Keep, Only, Rest, Wishes
from plaidcut.documents.measurement import colour_part, hash_of
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
from plaidcut.documents.text import JsonObject, validated
from plaidcut.errors import Caution, NothingFits, UsageError
from plaidcut.stripes.measurement import Direction, Measurement

NAME: Final = "plaidcut-plan"
VERSION: Final = 1

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


def to_document(
    plan: Plan, measurement: Measurement, *, settings: Mapping[str, object] | None = None
) -> JsonObject:
    """The document of a plan; settings as for the measurement's."""
    handling = plan.planning.handling
    model = PlanDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        measurement_sha256=hash_of(measurement),
        order=list(plan.planning.order),
        ruler_step_mm=plan.planning.step_mm,
        handling=HandlingPart(
            wander_mm=handling.wander_mm,
            by_eye=handling.by_eye,
            least_trim_mm=handling.least_trim_mm,
            least_tear_mm=handling.least_tear_mm,
        ),
        ways=[_way_part(way) for way in plan.ways],
        not_planned=[not_planned_part(each) for each in plan.not_planned],
        warnings=[WarningPart(code=each.code, message=each.message) for each in plan.cautions],
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> PlanDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(PlanDocument, NAME, document)


def plan_again(document: Mapping[str, object], measurement: Measurement, table: CutTable) -> Plan:
    """The plan of a document, made anew from what was asked of its cloth: planning is exact.

    Parameters
    ----------
    document
        A plan's document.
    measurement
        The cloth that it is of.
    table
        Where cuts are looked up.

    Raises
    ------
    FileTrouble
        If it is no such document.
    UsageError
        If it is a plan of another cloth.
    """
    model = check_document(document)
    if model.measurement_sha256 != hash_of(measurement):
        msg = "This is a plan of another cloth, or of another measurement of it."
        raise UsageError(msg, hint="Give the measurement that was planned, or plan it anew.")
    planning = Planning(
        handling=Handling(**model.handling.model_dump()),
        order=tuple(model.order),
        step_mm=model.ruler_step_mm,
    )
    return Plan(
        ways=tuple(_way_again(way, measurement, table, planning) for way in model.ways),
        not_planned=tuple(
            NotPlanned(direction=each.direction, reason=NothingFits(each.message, hint=each.hint))
            for each in model.not_planned
        ),
        planning=planning,
        cautions=tuple(Caution(each.code, each.message) for each in model.warnings),
    )


def _way_again(
    part: WayPart, measurement: Measurement, table: CutTable, planning: Planning
) -> WayPlan:
    wishes = Wishes(
        cut=parse_cut(part.cut, table),
        keep=tuple(
            Keep(bands=tuple(each.bands), cut=parse_cut(each.cut, table)) for each in part.keep
        ),
        only=tuple(Only(band=each.band, cut=parse_cut(each.cut, table)) for each in part.only),
        rest=part.rest,
    )
    piece = PieceOfCloth(
        width_mm=part.width_mm,
        length_mm=part.length_mm,
        phase_mm=part.phase_mm if part.known_place else None,
    )
    return plan_of(measurement, wishes, piece, part.direction, planning)


def _way_part(way: WayPlan) -> WayPart:
    return WayPart(
        direction=way.direction,
        width_mm=way.width_mm,
        length_mm=way.length_mm,
        wander_mm=way.wander_mm,
        phase_mm=way.phase_mm,
        known_place=way.known_place,
        cut=way.wishes.cut.name,
        keep=[KeepPart(bands=list(each.bands), cut=each.cut.name) for each in way.wishes.keep],
        only=[OnlyPart(band=each.band, cut=each.cut.name) for each in way.wishes.only],
        rest=way.wishes.rest,
        runs=[_run_part(run) for run in way.runs],
        end_mm=way.end_mm,
        piles=[_pile_part(pile) for pile in way.piles],
        score=ScorePart(
            whole=way.score.whole,
            one_colour=way.score.one_colour,
            heads=way.score.heads,
            tears=way.score.tears,
            waste_mm=max(0.0, way.score.waste_mm),
        ),
        by_hand=_counted_part(way.compared.by_hand) if way.compared else None,
        unaligned=_counted_part(way.compared.unaligned) if way.compared else None,
        over_places=None if way.over_places is None else _over_places_part(way.over_places),
    )


def _run_part(run: PlannedRun) -> RunPart:
    return RunPart(
        edge=run.edge,
        place=_place_part(run.place),
        blank_mm=run.blank_mm,
        cut=run.cut.name,
        passes=[[_strip_part(strip) for strip in strips] for strips in run.passes],
    )


def _place_part(place: Place) -> PlacePart:
    return PlacePart(at_mm=place.at_mm, band=place.band, number=place.number, off_mm=place.off_mm)


def _strip_part(strip: Strip) -> StripPart:
    return StripPart(
        start_mm=strip.start_mm,
        end_mm=strip.end_mm,
        cut=strip.cut.name,
        holds=strip.holds,
        bands=list(strip.bands),
        share=min(1.0, strip.share),
        margin_mm=strip.margin_mm,
        under=list(strip.under),
        reads=colour_part(strip.reads),
        pile=strip.pile,
    )


def _pile_part(pile: Pile) -> PilePart:
    return PilePart(
        pile=pile.letter,
        cut=pile.cut.name,
        holds=pile.holds,
        bands=list(pile.bands),
        reads=colour_part(pile.reads),
        count=pile.count,
    )


def _counted_part(counted: Counted) -> CountedPart:
    return CountedPart(whole=counted.whole, one_colour=counted.one_colour)


def _over_places_part(over: OverPlaces) -> OverPlacesPart:
    return OverPlacesPart(
        places=over.places,
        least=_counted_part(over.least),
        mean=_counted_part(over.mean),
        best=_counted_part(over.best),
    )


def not_planned_part(each: NotPlanned) -> NotPlannedPart:
    """A direction without a plan as documents hold it."""
    reason = each.reason
    return NotPlannedPart(
        direction=each.direction, code=reason.code, message=reason.message, hint=reason.hint
    )
