"""The ``plaidcut-plan`` document: where a piece is torn and cut, and what each strip holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import plaidcut
from plaidcut.cutting.both_ways import NotPlanned, Plan
from plaidcut.cutting.cuts import CutTable, parse_cut
from plaidcut.cutting.handling import Handling
from plaidcut.cutting.plan import (
    Counted,
    OverPlaces,
    PieceOfCloth,
    PlannedRun,
    Planning,
    WayPlan,
)
from plaidcut.cutting.planner import plan_of
from plaidcut.cutting.stretch import Place
from plaidcut.cutting.strip import Pile, Strip
from plaidcut.cutting.wishes import Keep, Only, Wishes
from plaidcut.documents.measurement import colour_part, hash_of
from plaidcut.documents.measurement_model import WarningPart
from plaidcut.documents.parts import MadeBy
from plaidcut.documents.plan_model import (
    CountedPart,
    HandlingPart,
    KeepPart,
    NotPlannedPart,
    OnlyPart,
    OverPlacesPart,
    PilePart,
    PlacePart,
    PlanDocument,
    RunPart,
    ScorePart,
    StripPart,
    WayPart,
)
from plaidcut.documents.text import JsonObject, validated
from plaidcut.errors import Caution, NothingFits, UsageError
from plaidcut.stripes.measurement import Measurement

NAME: Final = "plaidcut-plan"
VERSION: Final = 1


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
