"""Planning a piece: its tears, cuts and passes for strips of one thread direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from plaidcut.cutting.aims import Score
from plaidcut.cutting.piece import Head, Piece, Run, Windows
from plaidcut.cutting.plan import (
    Compared,
    Counted,
    EdgeKind,
    OverPlaces,
    PieceOfCloth,
    PlannedRun,
    Planning,
    WayPlan,
)
from plaidcut.cutting.search import best_runs, most_singly
from plaidcut.cutting.settle import is_torn, settled
from plaidcut.cutting.stretch import Stretch, beginning_of, place_of, seen_mm, stretch_of
from plaidcut.cutting.strip import Strip, on_piles, strips_of
from plaidcut.cutting.wanted import heads_of
from plaidcut.cutting.wishes import Rest, Wishes
from plaidcut.errors import NothingFits
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import told

MOST_WIDE_MM: Final = 4000.0
"""Widest piece that is planned: beyond it nobody holds the cloth still, and the search is slow."""

MOST_CUTS: Final = 4
"""Cuts in one plan: more changes of the head than anybody makes for a piece, and the search looks
at every set of them (chosen here)."""

PLACES: Final = 48
"""Places of the repeat that are tried where its place isn't known, on a piece no wider than a
repeat; fewer on wider ones, where the place matters less."""

LEAST_PLACES: Final = 8


def plan_of(
    measurement: Measurement,
    wishes: Wishes,
    piece: PieceOfCloth,
    direction: Direction,
    planning: Planning,
) -> WayPlan:
    """Plan the tears, trims and passes of a piece for strips of one thread direction.

    Parameters
    ----------
    measurement
        The cloth.
    wishes
        What is wanted of these strips.
    piece
        The piece. Where the repeat's place isn't known, the plan is that of the best place: she
        can tear the piece out there.
    direction
        The threads that the strips run with.
    planning
        How cloth is handled, and what is aimed at first.

    Raises
    ------
    NothingFits
        If not one strip fits, the piece is too wide to plan, or the cloth has no repeat and the
        piece is wider than what was seen.
    """
    _check_size(piece, wishes)
    system = measurement.system(direction)
    bench = _Bench(
        system=system,
        wishes=wishes,
        width_mm=piece.width_mm,
        planning=planning,
        wander_mm=planning.handling.wander_over(piece.length_mm),
        relative_std=measurement.scale.relative_std if measurement.scale else 0.0,
    )
    over_places, phase_mm = None, piece.phase_mm
    if phase_mm is None:
        phase_mm, over_places = _best_place(bench)
    stretch = bench.stretch(phase_mm)
    piece_cut, heads = bench.piece, bench.heads(stretch)
    found, score = best_runs(piece_cut, heads, order=planning.order)
    if not found:
        msg = f"Of a piece {told(piece.width_mm)} wide these wishes use no strip at all."
        raise NothingFits(msg, hint="Choose a larger piece, or keep the rest as mixed strips.")
    runs = settled(found, piece_cut, heads, seen_mm=stretch.edges_mm(), step_mm=planning.step_mm)
    strips = strips_of(
        runs,
        heads,
        stretch,
        system=system,
        wishes=wishes,
        wander_mm=bench.wander_mm,
        relative_std=bench.relative_std,
    )
    lettered, piles = on_piles(strips, system)
    return WayPlan(
        direction=direction,
        wishes=wishes,
        width_mm=piece.width_mm,
        length_mm=piece.length_mm,
        wander_mm=bench.wander_mm,
        phase_mm=phase_mm,
        known_place=piece.phase_mm is not None,
        begins=beginning_of(stretch),
        stretch=stretch,
        runs=_planned(runs, lettered, stretch, piece_cut, heads),
        end_mm=lettered[-1][-1].end_mm,
        piles=piles,
        score=score,
        compared=bench.compared(stretch) if planning.compare else None,
        over_places=over_places,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """All that is the same wherever the repeat stands."""

    system: ThreadSystem
    wishes: Wishes
    width_mm: float
    planning: Planning
    wander_mm: float
    relative_std: float

    @property
    def piece(self) -> Piece:
        handling = self.planning.handling
        return Piece(
            width_mm=self.width_mm,
            least_trim_mm=handling.least_trim_mm,
            least_tear_mm=handling.least_tear_mm,
            rest_wanted=self.wishes.rest is Rest.MIXED,
        )

    def stretch(self, phase_mm: float) -> Stretch:
        return stretch_of(self.system, self.width_mm, phase_mm=phase_mm)

    def heads(self, stretch: Stretch, *, wander_mm: float | None = None) -> tuple[Head, ...]:
        return heads_of(
            stretch,
            self.system,
            self.wishes,
            wander_mm=self.wander_mm if wander_mm is None else wander_mm,
            relative_std=self.relative_std,
        )

    def found(self, places_mm: ArrayLike, room_mm: float) -> list[float]:
        """Places moved to whole graduations away from a band's edge, so that she finds them.

        Those that would leave the room are not moved.
        """
        wanted_mm = np.asarray(places_mm, float)
        starts_mm = np.array([band.start_mm for band in self.system.bands])
        nearest_mm = starts_mm[np.abs(wanted_mm[:, None] - starts_mm).argmin(axis=1)]
        step_mm = self.planning.step_mm
        found_mm = nearest_mm + step_mm * np.round((wanted_mm - nearest_mm) / step_mm)
        outside = (found_mm < 0.0) | (found_mm > room_mm)
        return [float(each) for each in np.where(outside, wanted_mm, found_mm)]

    def score(self, phase_mm: float) -> Score:
        return best_runs(self.piece, self.heads(self.stretch(phase_mm)), order=self.planning.order)[
            1
        ]

    def compared(self, stretch: Stretch) -> Compared:
        """What else the piece could give."""
        return Compared(by_hand=self.by_hand(stretch), unaligned=self.unaligned(stretch))

    def by_hand(self, stretch: Stretch) -> Counted:
        """Strips cut singly: each is the first of its run, and nothing is lost between them."""
        singly = [
            Head(width_mm=head.width_mm, whole=head.whole[:1], one_colour=head.one_colour[:1])
            for head in self.heads(stretch)
        ]
        free = Piece(width_mm=self.width_mm, least_trim_mm=0.0, least_tear_mm=0.0)
        return _counted(most_singly(free, singly))

    def unaligned(self, stretch: Stretch) -> Counted:
        """The head that gives most by chance: its windows' share of all places of a strip."""
        reached = [
            tuple(
                self._by_chance(windows[0], head.width_mm) if windows else 0.0
                for windows in (head.whole, head.one_colour)
            )
            for head in self.heads(stretch, wander_mm=0.0)
        ]
        whole, one_colour = max(reached)
        return Counted(whole=whole, one_colour=one_colour)

    def _by_chance(self, windows: Windows, cut_mm: float) -> float:
        inside = np.clip(windows, 0.0, max(0.0, self.width_mm - cut_mm))
        return float(np.diff(inside, axis=1).sum() / cut_mm)


def _check_size(piece: PieceOfCloth, wishes: Wishes) -> None:
    """Refuse pieces that give no strip, or that are too wide to plan."""
    narrowest = wishes.cuts[0]
    if len(wishes.cuts) > MOST_CUTS:
        msg = f"These wishes use {len(wishes.cuts)} cuts, and a plan changes the head for each."
        hint = f"Use {MOST_CUTS} cuts at most in one piece; plan another piece for the others."
        raise NothingFits(msg, hint=hint)
    if piece.width_mm < narrowest.width_mm - TOLERANCE_MM:
        msg = f"A piece {told(piece.width_mm)} wide is narrower than a {narrowest.label} strip."
        raise NothingFits(msg)
    if piece.width_mm > MOST_WIDE_MM:
        msg = f"A piece {piece.width_mm / 1000:.1f} m wide is too wide to be planned as one."
        hint = f"Plan the pieces that you tear off it, each {MOST_WIDE_MM / 1000:.0f} m at most."
        raise NothingFits(msg, hint=hint)


def _best_place(bench: _Bench) -> tuple[float, OverPlaces | None]:
    """The best place for the piece to begin, and what all places reach."""
    system = bench.system
    if not system.striped:
        return 0.0, None
    around_mm = system.repeat_mm or seen_mm(system)
    room_mm = around_mm if system.repeat_mm else max(0.0, around_mm - bench.width_mm)
    share = around_mm / max(bench.width_mm, around_mm) / len(bench.wishes.cuts) ** 2
    count = max(LEAST_PLACES, round(PLACES * share))
    all_mm = np.linspace(0.0, room_mm, count, endpoint=system.repeat_mm is None)
    even_mm = bench.found(all_mm, room_mm)
    good_mm = bench.found(_good_places(bench, around_mm, room_mm)[:count], room_mm)
    scores = {phase_mm: bench.score(phase_mm) for phase_mm in (*good_mm, *even_mm)}
    reached = [scores[phase_mm] for phase_mm in even_mm]
    whole = [each.whole for each in reached]
    one_colour = [each.one_colour for each in reached]
    order = bench.planning.order
    best_mm = max(scores, key=lambda phase_mm: scores[phase_mm].ranked(order))
    return best_mm, OverPlaces(
        places=len(even_mm),
        least=Counted(whole=min(whole), one_colour=min(one_colour)),
        mean=Counted(whole=float(np.mean(whole)), one_colour=float(np.mean(one_colour))),
        best=_counted(scores[best_mm]),
    )


def _good_places(bench: _Bench, around_mm: float, room_mm: float) -> list[float]:
    """Beginnings from which a strip of the first pass holds what is wanted, in its middle.

    Those that leave most room for error come first.
    """
    widest_mm = bench.wishes.cuts[-1].width_mm
    ring_mm = around_mm + (widest_mm if bench.system.repeat_mm else 0.0)
    ring = stretch_of(bench.system, ring_mm)
    found: list[tuple[float, float]] = []
    for head, cut in zip(bench.heads(ring), bench.wishes.cuts, strict=True):
        for windows in (head.whole, head.one_colour):
            for k, window in enumerate(windows[: cut.strips_per_pass]):
                for low_mm, high_mm in window:
                    phase_mm = (low_mm + high_mm) / 2 - k * cut.width_mm
                    if bench.system.repeat_mm:
                        phase_mm %= around_mm
                    found.append((low_mm - high_mm, phase_mm))
    return [phase_mm for _, phase_mm in sorted(found) if 0.0 <= phase_mm <= room_mm]


def _planned(
    runs: Sequence[Run],
    strips: Sequence[Sequence[Strip]],
    stretch: Stretch,
    piece: Piece,
    heads: Sequence[Head],
) -> tuple[PlannedRun, ...]:
    """Runs as instructions."""
    planned: list[PlannedRun] = []
    end_mm = 0.0
    for number, (run, its) in enumerate(zip(runs, strips, strict=True)):
        before = runs[number - 1] if number else None
        cut = its[0].cut
        edge = EdgeKind.TRIMMED
        if before is None and run.start_mm <= TOLERANCE_MM:
            edge = EdgeKind.AS_IT_IS
        elif is_torn(run, before, piece, heads):
            edge = EdgeKind.TORN
        planned.append(
            PlannedRun(
                place=place_of(stretch, run.start_mm),
                edge=edge,
                blank_mm=max(0.0, run.start_mm - end_mm),
                cut=cut,
                passes=tuple(
                    tuple(its[k : k + cut.strips_per_pass])
                    for k in range(0, len(its), cut.strips_per_pass)
                ),
            )
        )
        end_mm = its[-1].end_mm
    return tuple(planned)


def _counted(score: Score) -> Counted:
    return Counted(whole=score.whole, one_colour=score.one_colour)
