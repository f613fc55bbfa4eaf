"""Strips counted by kind and length, at one place of the repeat and over all that there may be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from plaidcut.cutting.lengths import parts_of
from plaidcut.cutting.strip import Holds, Pile

Kind = tuple[Holds, str, str]
"""What a strip holds, in which cut, and in words."""


def kind_of(pile: Pile) -> Kind:
    """The kind that a pile's strips are of, in any piece."""
    return pile.holds, pile.cut.name, pile.spoken


@dataclass(slots=True)
class Tally:
    """What a piece gives."""

    strips: dict[Kind, int] = field(default_factory=dict)
    """How many of each kind, divided into the liked length."""
    length_mm: dict[Kind, float] = field(default_factory=dict)
    """All of a kind, end to end."""
    bits: int = 0
    bits_mm: float = 0.0
    used_mm2: float = 0.0
    """Cloth that went into strips, bits apart."""

    def strips_of(self, kind: Kind | None = None) -> int:
        """Strips of a kind, or of all."""
        return sum(self.strips.values()) if kind is None else self.strips.get(kind, 0)

    def length_of(self, kind: Kind | None = None) -> float:
        """Length of the strips of a kind, or of all, in mm."""
        return sum(self.length_mm.values()) if kind is None else self.length_mm.get(kind, 0.0)

    def add(self, pile: Pile, span_mm: float, *, liked_mm: float, shortest_mm: float) -> None:
        """Count a strip of some length."""
        parts = parts_of(span_mm, liked_mm=liked_mm, shortest_mm=shortest_mm)
        if not parts:
            self.bits += 1
            self.bits_mm += span_mm
            return
        kind = kind_of(pile)
        self.strips[kind] = self.strips.get(kind, 0) + parts
        self.length_mm[kind] = self.length_mm.get(kind, 0.0) + span_mm
        self.used_mm2 += span_mm * pile.cut.width_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A figure over the places that the repeat may have."""

    low: float
    mean: float
    high: float

    @property
    def known(self) -> bool:
        """Whether it is the same everywhere."""
        return self.high - self.low < 1e-6


@dataclass(frozen=True, slots=True)
class Tallied:
    """Pieces with what each gives at every place that its repeat may have, and their numbers."""

    pieces: Sequence[tuple[Sequence[Tally], int]]

    def over(self, figure: Callable[[Tally], float]) -> Range:
        """A figure of all pieces together: each at its worst place, at the mean, at its best."""
        values = [(count, [figure(tally) for tally in tallies]) for tallies, count in self.pieces]
        return Range(
            low=sum(count * min(each) for count, each in values),
            mean=sum(count * float(np.mean(each)) for count, each in values),
            high=sum(count * max(each) for count, each in values),
        )
