"""The cutting plan of a piece: where it is torn, what is cut in which pass, what strips hold.

One plan is made for each thread direction, from the same piece or from one of its own, by
`plaidcut.cutting.planner`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from plaidcut.cutting.aims import ORDER, Aim, Score
from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.handling import Handling
from plaidcut.cutting.stretch import Place, Stretch
from plaidcut.cutting.strip import Pile, Strip
from plaidcut.cutting.wishes import Wishes
from plaidcut.stripes.measurement import Direction


class EdgeKind(StrEnum):
    """How the edge comes about that a run is cut off."""

    AS_IT_IS = "as-it-is"
    """The piece's own edge."""
    TORN = "torn"
    TRIMMED = "trimmed"
    """Cut with ruler and rotary cutter after the run before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRun:
    """Strips that are cut side by side off one edge."""

    place: Place
    """Where the edge is."""
    edge: EdgeKind
    blank_mm: float
    """Cloth between the run before it (or the piece's edge) and this edge: in no strip."""
    cut: Cut
    passes: tuple[tuple[Strip, ...], ...]
    """What the head slits at once, pass after pass."""

    @property
    def strips(self) -> tuple[Strip, ...]:
        """All its strips, from left to right."""
        return tuple(strip for each in self.passes for strip in each)


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """Strips that hold what is wanted; not always whole numbers, as a mean isn't."""

    whole: float
    one_colour: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What else the piece could give."""

    by_hand: Counted
    """What strips cut singly would give, each set on its stripe."""
    unaligned: Counted
    """What strips cut edge to edge would give on the average, wherever they begin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OverPlaces:
    """What plans reach over all places of the repeat at the piece's edge."""

    places: int
    least: Counted
    mean: Counted
    best: Counted


@dataclass(frozen=True, slots=True, kw_only=True)
class WayPlan:
    """The plan for one thread direction."""

    direction: Direction
    """The strips run with the threads of this system."""
    wishes: Wishes
    width_mm: float
    """Of the piece, across the strips."""
    length_mm: float
    """Of the strips."""
    wander_mm: float
    """How far an edge strays on strips of that length."""
    phase_mm: float
    """What stands at the piece's left (upper) edge, from the start of the repeat."""
    known_place: bool
    """False where the best place is shown, at which the piece is to be torn out."""
    begins: Place
    """What stands there, in bands."""
    stretch: Stretch
    runs: tuple[PlannedRun, ...]
    end_mm: float
    """Where the last strip ends; what lies beyond is in no strip."""
    piles: tuple[Pile, ...]
    score: Score
    compared: Compared | None
    """None where that wasn't asked for."""
    over_places: OverPlaces | None
    """None where the place is known."""

    @property
    def strips(self) -> tuple[Strip, ...]:
        """All strips, from left to right."""
        return tuple(strip for run in self.runs for strip in run.strips)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOfCloth:
    """A piece as strips of one direction are cut from it."""

    width_mm: float
    """Across the strips."""
    length_mm: float
    """Along them."""
    phase_mm: float | None = None
    """What stands at its left (upper) edge, from the start of the repeat; None if not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planning:
    """How plans are looked for."""

    handling: Handling = field(default_factory=Handling)
    order: tuple[Aim, ...] = ORDER
    step_mm: float = 1.0
    """Graduation of the ruler that edges are set with."""
    compare: bool = True
    """Whether to work out what else the piece could give."""
