"""What a plan's report says, whatever it is written on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plaidcut.cutting.both_ways import Plan
from plaidcut.cutting.plan import Counted, WayPlan
from plaidcut.cutting.strip import Holds, Pile, Strip
from plaidcut.cutting.wishes import Rest
from plaidcut.errors import Caution
from plaidcut.reports.plan_words import (
    holds_words,
    look_words,
    steps,
    waste_words,
    way_heading,
)
from plaidcut.reports.words import SAFETY, about_cloth, run_label
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem
from plaidcut.units import Units, on_ruler, ruler_inches


@dataclass(frozen=True, slots=True, kw_only=True)
class StripRow:
    """One strip, ready to be shown."""

    strip: Strip
    at: str
    """Where its left (upper) edge is."""
    holds: str
    share: str
    margin: str
    reads: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PileRow:
    """One pile, ready to be shown."""

    pile: Pile
    holds: str
    count: str
    reads: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WayPart:
    """The plan of one thread direction, ready to be shown."""

    heading: str
    direction: Direction
    wanted: str
    steps: tuple[str, ...]
    compared: tuple[str, ...]
    """Sentences on what else the piece could have given."""
    piles: tuple[PileRow, ...]
    strips: tuple[StripRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanContent:
    """All that a plan's report says."""

    title: str
    about: tuple[str, ...]
    choice: tuple[tuple[str, ...], ...]
    """Rows of a table of both directions, the first its heads."""
    ways: tuple[WayPart, ...]
    not_planned: tuple[str, ...]
    cautions: tuple[Caution, ...]
    safety: tuple[str, ...]


def plan_content(measurement: Measurement, plan: Plan, *, units: Units = Units.IN) -> PlanContent:
    """Put a plan into words."""
    name = "widths typed by hand" if measurement.photo is None else measurement.photo.name
    known = {"washing-unknown"}  # said at the head already
    return PlanContent(
        title=f"Cutting plan for {name}",
        about=about_cloth(measurement),
        choice=_choice(measurement, plan.ways, units),
        ways=tuple(_way_part(way, measurement.system(way.direction), units) for way in plan.ways),
        not_planned=tuple(
            f"Strips running {each.direction.spoken} aren't planned: {each.reason.message} "
            f"{each.reason.hint}"
            for each in plan.not_planned
        ),
        cautions=(*plan.cautions, *(c for c in measurement.cautions if c.code not in known)),
        safety=SAFETY,
    )


def _choice(
    measurement: Measurement, ways: Sequence[WayPlan], units: Units
) -> tuple[tuple[str, ...], ...]:
    """The directions side by side."""
    rows = {
        "": [f"Running {way.direction.spoken}" for way in ways],
        "Piece": [
            f"{on_ruler(way.width_mm, units)} x {on_ruler(way.length_mm, units)}" for way in ways
        ],
        "Strips": [_strips(way) for way in ways],
        "Stripe whole": [f"{way.score.whole}" for way in ways],
        "One band only": [f"{way.score.one_colour}" for way in ways],
        "Head changes": [f"{way.score.heads}" for way in ways],
        "Tears, trims": [f"{way.score.tears}" for way in ways],
        "In no strip": [waste_words(way, units) for way in ways],
        "Look": [look_words(way, measurement, units) for way in ways],
    }
    if not any(way.wishes.only for way in ways):
        del rows["One band only"]
    return tuple((label, *cells) for label, cells in rows.items())


def _strips(way: WayPlan) -> str:
    each = [
        f"{sum(strip.cut == cut for strip in way.strips)} of {cut.label}" for cut in way.wishes.cuts
    ]
    return ", ".join(each)


def _way_part(way: WayPlan, system: ThreadSystem, units: Units) -> WayPart:
    return WayPart(
        heading=way_heading(way),
        direction=way.direction,
        wanted=_wanted(way, system),
        steps=tuple(steps(way, system, units)),
        compared=tuple(_compared(way)),
        piles=tuple(
            PileRow(
                pile=pile,
                holds=pile.spoken,
                count=f"{pile.count} of {pile.cut.label}",
                reads="" if pile.holds is Holds.MIXED else pile.reads.spoken,
            )
            for pile in way.piles
        ),
        strips=tuple(
            StripRow(
                strip=strip,
                at=on_ruler(strip.start_mm, units),
                holds=holds_words(strip, system),
                share=f"{100 * strip.share:.0f} %",
                margin="" if strip.margin_mm is None else _margin(strip.margin_mm, units),
                reads=strip.reads.spoken,
            )
            for strip in way.strips
        ),
    )


def _margin(margin_mm: float, units: Units) -> str:
    if units is Units.IN:
        return f"{ruler_inches(max(0.0, margin_mm), denominator=64)} in"
    return f"{max(0.0, margin_mm):.1f} mm"


def _wanted(way: WayPlan, system: ThreadSystem) -> str:
    """What the plan aims at."""
    wishes = [
        *(f"{run_label(each.bands, system)} whole in {each.cut.label}" for each in way.wishes.keep),
        *(
            f"strips all {run_label([each.band], system)} in {each.cut.label}"
            for each in way.wishes.only
        ),
    ]
    if not system.striped:
        return "strips as they come; this way there are no stripes."
    if not wishes:
        label = way.wishes.cut.label
        return f"nothing in particular: no bold stripe this way fits a {label} strip."
    if way.wishes.rest is Rest.LEFT:
        return f"{'; '.join(wishes)}. Everything else is left uncut where that can be."
    rest = f"Everything else in {way.wishes.cut.label}"
    if len(way.wishes.cuts) > 1:
        rest += ", or in another of these cuts where that saves a change of the head"
    return f"{'; '.join(wishes)}. {rest}."


def _compared(way: WayPlan) -> list[str]:
    """What cutting singly, cutting with nothing lined up, and other places would give."""
    compared = way.compared
    if compared is None or (not way.wishes.keep and not way.wishes.only):
        return []
    what = _what(way)
    score = Counted(whole=way.score.whole, one_colour=way.score.one_colour)
    found = [f"This plan gives {_gives(way, score)} {what}."]
    singly, unaligned = compared.by_hand, compared.unaligned
    if singly.whole > score.whole or singly.one_colour > score.one_colour:
        found.append(f"Each strip cut singly by hand would give {_gives(way, singly)}.")
    else:
        found.append("Each strip cut singly by hand would give no more.")
    found.append(
        f"Cut edge to edge with nothing lined up it would be about {_gives(way, unaligned)}."
    )
    if way.over_places is not None:
        over = way.over_places
        found.append(
            f"Where the piece begins matters: over {over.places} places the best plan gives from "
            f"{_gives(way, over.least)} to {_gives(way, over.best)}, {_gives(way, over.mean)} on "
            "the average."
        )
    return found


def _what(way: WayPlan) -> str:
    if way.wishes.keep and way.wishes.only:
        return "strips with a wanted stripe whole, and all of a wanted band"
    return "strips with a wanted stripe whole" if way.wishes.keep else "strips all of a wanted band"


def _gives(way: WayPlan, count: Counted) -> str:
    numbers = []
    if way.wishes.keep:
        numbers.append(_number(count.whole))
    if way.wishes.only:
        numbers.append(_number(count.one_colour))
    return " and ".join(numbers)


def _number(count: float) -> str:
    return f"{count:.0f}" if abs(count - round(count)) < 0.05 else f"{count:.1f}"
