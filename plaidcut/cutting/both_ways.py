"""A piece planned for strips of both thread directions, so that she can choose between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from plaidcut.cutting.cuts import Cut, CutTable, cut_table
from plaidcut.cutting.handling import TRUE_OVER_MM
from plaidcut.cutting.plan import PieceOfCloth, Planning, WayPlan
from plaidcut.cutting.planner import plan_of
from plaidcut.cutting.stretch import parse_place, seen_at_edge
from plaidcut.cutting.strips import least_wander_mm
from plaidcut.cutting.wishes import Rest, wishes_of
from plaidcut.errors import Caution, NothingFits, UsageError
from plaidcut.stripes.measurement import Direction, Kind, Measurement
from plaidcut.units import MM_PER_INCH

USUAL_PIECE_MM: Final = (4 * MM_PER_INCH, 16 * MM_PER_INCH)
"""Width across the strips and length along them of a piece that is easily handled (common
practice, no source: 3-4 x 12-18 in)."""

LOOSE_FROM_MM: Final = 5 / 32 * MM_PER_INCH
"""Textures and loose weaves want #5 or wider (common practice, no source)."""

SQUARE_DEG: Final = 1.0
"""Skew from which it is worth saying what a straight cut would do; chosen here."""

AS_SEEN: Final = "photo"
"""Typed for a place: the piece's edge is the edge of the cloth in the photo."""

_TEXTURED: Final = (
    Kind.TWEED,
    Kind.HERRINGBONE,
    Kind.HOUNDSTOOTH,
    Kind.SHEPHERDS_CHECK,
    Kind.GLEN_CHECK,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatToPlan:
    """What she says of the piece, and what she wants of it."""

    cut: Cut
    table: CutTable = field(default_factory=cut_table)
    keep: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    rest: Rest = Rest.MIXED
    piece_mm: tuple[float, float] | None = None
    """From side to side and up and down, as the cloth lies in the photo; None for a piece of
    the usual size, torn out for these strips."""
    at: tuple[str, ...] = ()
    """What stands at its left and at its upper edge: ``U3 + 1/4 in``, ``X1``, or ``photo``."""
    planning: Planning = field(default_factory=Planning)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotPlanned:
    """A thread direction for which there is no plan, and why."""

    direction: Direction
    reason: NothingFits


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The plans for both thread directions."""

    ways: tuple[WayPlan, ...]
    not_planned: tuple[NotPlanned, ...]
    planning: Planning
    cautions: tuple[Caution, ...]


def plan_both_ways(measurement: Measurement, what: WhatToPlan) -> Plan:
    """Plan a piece for strips of each thread direction.

    Raises
    ------
    UsageError, BadLength
        If a wish or a place can't be read.
    NothingFits
        If neither direction can be planned.
    """
    places = _places(what.at, measurement)
    ways, refused = [], []
    for direction in Direction:
        across_mm, along_mm = what.piece_mm or USUAL_PIECE_MM
        if what.piece_mm and direction is Direction.ACROSS:
            across_mm, along_mm = along_mm, across_mm
        piece = PieceOfCloth(width_mm=across_mm, length_mm=along_mm, phase_mm=places.get(direction))
        try:
            wishes = wishes_of(
                measurement,
                direction,
                cut=what.cut,
                table=what.table,
                keep=what.keep,
                only=what.only,
                rest=what.rest,
                wander_mm=least_wander_mm(
                    measurement, direction, what.planning.handling.wander_over(along_mm)
                ),
            )
            ways.append(plan_of(measurement, wishes, piece, direction, what.planning))
        except NothingFits as reason:
            if named_way(direction, (*what.keep, *what.only)):
                raise
            refused.append(NotPlanned(direction=direction, reason=reason))
    if not ways:
        raise refused[0].reason
    return Plan(
        ways=tuple(ways),
        not_planned=tuple(refused),
        planning=what.planning,
        cautions=way_cautions(measurement, ways),
    )


def named_way(direction: Direction, wishes: tuple[str, ...]) -> bool:
    """Whether a wish is about bands of a direction."""
    return any(text.strip().upper().startswith(direction.letter) for text in wishes)


def _places(typed: tuple[str, ...], measurement: Measurement) -> dict[Direction, float]:
    """What stands at the edge of the piece, for each direction of which it was said."""
    places: dict[Direction, float] = {}
    for text in typed:
        if text.strip().lower() == AS_SEEN:
            found = {system.direction: seen_at_edge(system) for system in measurement.systems}
        else:
            is_across = named_way(Direction.ACROSS, (text,))
            system = measurement.across if is_across else measurement.up
            found = {system.direction: parse_place(text, system)}
        if places.keys() & found.keys():
            msg = f'"{text}" says again what stands at an edge of the piece.'
            raise UsageError(msg, hint="Name one place for its left edge and one for its top.")
        places |= found
    return places


def way_cautions(measurement: Measurement, ways: Sequence[WayPlan]) -> tuple[Caution, ...]:
    """What to think of before choosing a direction (common practice, no source)."""
    found = []
    if measurement.warp is None:
        found.append(
            Caution(
                code="warp-unknown",
                message="It wasn't said which threads are the warp. Strips along the warp are "
                "stronger: it runs with the selvedge, and gives less when you tug it. In a kilt "
                "it usually runs round the body, so look before you choose.",
            )
        )
    else:
        weaker = Direction.UP if measurement.warp is Direction.ACROSS else Direction.ACROSS
        found.append(
            Caution(
                code="weaker-way",
                message=f"Strips running {weaker.spoken} go across the warp: they stretch more and "
                "break sooner than those along it.",
            )
        )
    skew_deg = abs(measurement.cloth.skew_deg or 0.0)
    if skew_deg >= SQUARE_DEG:
        drift_mm = TRUE_OVER_MM * math.tan(math.radians(skew_deg))
        found.append(
            Caution(
                code="drift",
                message=f"The two thread directions are {skew_deg:.1f}° from square: strips cut "
                f"square to one of them drift {drift_mm / MM_PER_INCH:.1f} in ({drift_mm:.0f} mm) "
                "off the other's stripes over 16 in. Tear along the threads; a strip cut off the "
                "grain breaks.",
            )
        )
    narrow = [cut for way in ways for cut in way.wishes.cuts if cut.width_mm < LOOSE_FROM_MM]
    if narrow:
        textured = measurement.cloth.kind in _TEXTURED
        which = "This cloth is textured" if textured else "If this cloth is textured or loose"
        found.append(
            Caution(
                code="narrow-for-texture",
                message=f"{which}: strips narrower than #5 ravel and break. Try one first.",
            )
        )
    return tuple(found)
