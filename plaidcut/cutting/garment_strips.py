"""Counting and measuring the strips of a garment, piece after piece."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.both_ways import AS_SEEN, NotPlanned, named_way, way_cautions
from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.lengths import clear_spans, parts_of
from plaidcut.cutting.plan import PieceOfCloth, Planning, WayPlan
from plaidcut.cutting.planner import plan_of
from plaidcut.cutting.shapes import (
    GarmentPiece,
    shrunk_measurement,
    shrunk_piece,
    sideways,
)
from plaidcut.cutting.stretch import parse_place, seen_at_edge
from plaidcut.cutting.strip import Holds, Pile
from plaidcut.cutting.strips import least_wander_mm
from plaidcut.cutting.tally import Kind, Range, Tallied, Tally, kind_of
from plaidcut.cutting.wishes import Wishes, wishes_of
from plaidcut.errors import Caution, NothingFits, UsageError
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem, Washed
from plaidcut.units import MM_PER_INCH

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry
from plaidcut.cutting.garment import (
    Garment,
    GarmentStrips,
    GarmentWay,
    KindTotal,
    PieceStrips,
    WhatToCut,
)

PLACES: Final = 8
"""Places of the repeat that are tried on a piece where its place isn't known."""

PART_MM: Final = 36 * MM_PER_INCH
"""Pieces wider than this are torn into equal parts first; chosen here."""


def strips_of_garment(measurement: Measurement, garment: Garment, what: WhatToCut) -> GarmentStrips:
    """Count and measure the strips of a garment.

    Parameters
    ----------
    measurement
        Its cloth.
    garment
        Its pieces.
    what
        Cuts and wishes.

    Raises
    ------
    UsageError, BadLength
        If a wish or a place can't be read, or shrinkage is given and the warp isn't.
    NothingFits
        If no direction can be cut.
    """
    measurement, garment = _after_washing(measurement, garment)
    ways: list[GarmentWay] = []
    refused: list[NotPlanned] = []
    for direction in Direction:
        try:
            ways += [_garment_way(measurement, garment, what, direction, cut) for cut in what.cuts]
        except NothingFits as reason:
            if named_way(direction, (*what.keep, *what.only)):
                raise
            refused.append(NotPlanned(direction=direction, reason=reason))
    if not ways:
        raise refused[0].reason
    plans = [each.way for way in ways for each in way.pieces]
    return GarmentStrips(
        garment=garment,
        ways=tuple(ways),
        not_planned=tuple(refused),
        cautions=(*_cautions(garment), *way_cautions(measurement, plans)),
    )


def _after_washing(measurement: Measurement, garment: Garment) -> tuple[Measurement, Garment]:
    """Pieces, and the cloth if it was measured before washing, as they are after it."""
    by, warp = garment.shrinkage, measurement.warp
    if by is None:
        return measurement, garment
    if warp is None:
        msg = "Shrinkage differs lengthwise and crosswise, and it isn't said which is the warp."
        raise UsageError(msg, hint="Say --warp up or --warp across when you measure the cloth.")
    pieces = tuple(shrunk_piece(piece, by, warp) for piece in garment.pieces)
    if measurement.cloth.washed is not Washed.YES:
        measurement = shrunk_measurement(measurement, by, warp)
    return measurement, Garment(
        name=garment.name,
        pieces=pieces,
        shortest_mm=garment.shortest_mm,
        liked_mm=garment.liked_mm,
        shrinkage=by,
    )


def _garment_way(
    measurement: Measurement, garment: Garment, what: WhatToCut, direction: Direction, cut: Cut
) -> GarmentWay:
    wishes = wishes_of(
        measurement,
        direction,
        cut=cut,
        table=what.table,
        keep=what.keep,
        only=what.only,
        rest=what.rest,
        wander_mm=least_wander_mm(
            measurement, direction, what.planning.handling.wander_over(garment.liked_mm)
        ),
    )
    planning = replace(what.planning, compare=False)
    bench = _Bench(measurement, measurement.system(direction), wishes, garment, planning)
    found = [bench.strips_of(piece) for piece in garment.pieces]
    pairs = list(zip(found, garment.pieces, strict=True))
    all_of_it = Tallied([(each.tallies, piece.count) for each, piece in pairs])
    cloth_mm2 = sum(piece.cloth.area * piece.count for piece in garment.pieces)
    used_mm2 = all_of_it.over(lambda tally: tally.used_mm2)
    return GarmentWay(
        direction=direction,
        cut=cut,
        wishes=wishes,
        pieces=tuple(found),
        kinds=tuple(
            KindTotal(
                cut=pile.cut,
                holds=pile.holds,
                spoken=pile.spoken,
                reads=pile.reads,
                bands=pile.bands,
                strips=all_of_it.over(partial(Tally.strips_of, kind=kind)),
                length_mm=all_of_it.over(partial(Tally.length_of, kind=kind)),
            )
            for kind, pile in bench.kinds_in_order()
        ),
        strips=all_of_it.over(Tally.strips_of),
        length_mm=all_of_it.over(Tally.length_of),
        bits=all_of_it.over(lambda tally: tally.bits),
        bits_mm=all_of_it.over(lambda tally: tally.bits_mm),
        cloth_mm2=cloth_mm2,
        waste=Range(
            low=1 - used_mm2.high / cloth_mm2,
            mean=1 - used_mm2.mean / cloth_mm2,
            high=1 - used_mm2.low / cloth_mm2,
        ),
    )


@dataclass(slots=True)
class _Bench:
    """All that is the same for every piece, and what was found so far."""

    measurement: Measurement
    system: ThreadSystem
    wishes: Wishes
    garment: Garment
    planning: Planning
    known: dict[tuple[float, float, float], WayPlan] = field(default_factory=dict)
    kinds: dict[Kind, Pile] = field(default_factory=dict)

    def kinds_in_order(self) -> list[tuple[Kind, Pile]]:
        """Every kind of strip that was met, wanted ones first, mixed ones last."""
        values = ["light", "medium", "dark"]
        return sorted(
            self.kinds.items(),
            key=lambda item: (
                list(Holds).index(item[1].holds),
                item[1].cut.width_mm,
                values.index(item[1].reads.value) if item[1].holds is Holds.MIXED else 0,
                item[1].spoken,
            ),
        )

    def strips_of(self, piece: GarmentPiece) -> PieceStrips:
        """Cut one piece, at every place of the repeat that it may have."""
        cloth: BaseGeometry = piece.cloth
        sewn: BaseGeometry = piece.sewn
        if self.system.direction is Direction.ACROSS:
            cloth, sewn = sideways(cloth), sideways(sewn)
        left_mm, top_mm, right_mm, bottom_mm = cloth.bounds
        trimmed_mm = 0.0 if piece.true_edge else self.planning.handling.least_trim_mm
        first_mm = left_mm + trimmed_mm
        parts = max(1, math.ceil((right_mm - first_mm) / PART_MM))
        wide_mm = (right_mm - first_mm) / parts
        liked_mm, shortest_mm = self.garment.liked_mm, self.garment.shortest_mm
        whole_mm = bottom_mm - top_mm
        lengths = max(1, parts_of(whole_mm, liked_mm=liked_mm, shortest_mm=shortest_mm))
        length_mm = whole_mm / lengths
        place_mm = self._place(piece)
        tallies, plan = [], None
        for phase_mm in self._phases() if place_mm is None else [place_mm - sewn.bounds[0]]:
            tally = Tally()
            for part in range(parts):
                start_mm = first_mm + part * wide_mm
                plan_here = self._plan(phase_mm + start_mm, wide_mm, length_mm)
                plan = plan or plan_here
                self._count(tally, plan_here, cloth, start_mm)
            tallies.append(tally)
        if plan is None:
            msg = f"{piece.name}: no place was found for the repeat."
            raise NothingFits(msg)
        one = Tallied([(tallies, 1)])
        return PieceStrips(
            piece=piece,
            parts=parts,
            lengths=lengths,
            trimmed_mm=trimmed_mm,
            way=plan,
            known_place=place_mm is not None or not self.system.striped,
            tallies=tuple(tallies),
            strips=one.over(Tally.strips_of),
            length_mm=one.over(Tally.length_of),
        )

    def _place(self, piece: GarmentPiece) -> float | None:
        """What stands at the edge of a piece, if it was said."""
        for text in piece.at:
            if text.strip().lower() == AS_SEEN:
                return seen_at_edge(self.system)
            if named_way(self.system.direction, (text,)):
                return parse_place(text, self.system)
        return None

    def _phases(self) -> list[float]:
        """Places that the repeat may have at the edge of a piece."""
        if not self.system.striped or self.system.repeat_mm is None:
            return [0.0]
        return [float(k) * self.system.repeat_mm / PLACES for k in range(PLACES)]

    def _plan(self, phase_mm: float, width_mm: float, length_mm: float) -> WayPlan:
        """The plan of a part, made only once."""
        if self.system.repeat_mm is not None:
            phase_mm %= self.system.repeat_mm
        key = (round(phase_mm, 6), round(width_mm, 6), round(length_mm, 6))
        if key not in self.known:
            piece = PieceOfCloth(width_mm=width_mm, length_mm=length_mm, phase_mm=phase_mm)
            self.known[key] = plan_of(
                self.measurement, self.wishes, piece, self.system.direction, self.planning
            )
        return self.known[key]

    def _count(self, tally: Tally, plan: WayPlan, cloth: BaseGeometry, start_mm: float) -> None:
        """Count the strips of a part, clipped to the cloth that there is."""
        piles = {pile.letter: pile for pile in plan.piles}
        for strip in plan.strips:
            pile = piles[strip.pile]
            self.kinds.setdefault(kind_of(pile), pile)
            from_mm, to_mm = start_mm + strip.start_mm, start_mm + strip.end_mm
            for low_mm, high_mm in clear_spans(cloth, from_mm, to_mm):
                tally.add(
                    pile,
                    high_mm - low_mm,
                    liked_mm=self.garment.liked_mm,
                    shortest_mm=self.garment.shortest_mm,
                )


def _cautions(garment: Garment) -> tuple[Caution, ...]:
    """What is doubtful about the sizes."""
    found = []
    rough = [piece.name for piece in garment.pieces if piece.rough]
    if rough:
        found.append(
            Caution(
                code="rough-size",
                message=f"The size of {', '.join(dict.fromkeys(rough))} is a rough guess of what "
                "such pieces measure: lay a tape on yours, and type what it says.",
            )
        )
    if garment.shrinkage is not None:
        share = 100 * garment.shrinkage.of_area
        found.append(
            Caution(
                code="shrinkage-guessed",
                message=f"Washing was taken to shrink the cloth by {share:.0f} % of its area. How "
                "much it really does can't be told before: wash it, and measure it again.",
            )
        )
    return tuple(found)
