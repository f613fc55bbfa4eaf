"""The strips of a whole garment: how many of each kind, and how long, piece after piece."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from plaidcut.cutting.both_ways import NotPlanned
from plaidcut.cutting.cuts import Cut, CutTable, cut_table
from plaidcut.cutting.lengths import LIKED_MM, SHORTEST_MM
from plaidcut.cutting.plan import Planning, WayPlan
from plaidcut.cutting.shapes import (
    GarmentPiece,
    Shrinkage,
)
from plaidcut.cutting.strip import Holds
from plaidcut.cutting.tally import Range, Tally
from plaidcut.cutting.wishes import Rest, Wishes
from plaidcut.errors import Caution
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.measurement import Direction

if TYPE_CHECKING:
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class Garment:
    """The pieces of a garment, and what strips of it are good for."""

    name: str
    pieces: tuple[GarmentPiece, ...]
    shortest_mm: float = SHORTEST_MM
    """Shorter strips are bits."""
    liked_mm: float = LIKED_MM
    """The length that longer ones are divided into, as nearly as can be."""
    shrinkage: Shrinkage | None = None
    """What washing will take, where sizes are of before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatToCut:
    """What is wanted of a garment."""

    cuts: tuple[Cut, ...]
    """Each is answered for."""
    table: CutTable = field(default_factory=cut_table)
    keep: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    rest: Rest = Rest.MIXED
    planning: Planning = field(default_factory=Planning)


@dataclass(frozen=True, slots=True, kw_only=True)
class KindTotal:
    """Strips of one kind, of all pieces together."""

    cut: Cut
    holds: Holds
    spoken: str
    """``yellow whole``, ``all red``, ``mixed, dark``."""
    reads: Colour
    bands: tuple[str, ...]
    """The stripe or band that was wanted; none of mixed strips."""
    strips: Range
    """How many, divided into lengths that she likes."""
    length_mm: Range
    """All of them end to end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceStrips:
    """What one piece gives."""

    piece: GarmentPiece
    parts: int
    """Into how many it is torn first."""
    lengths: int
    """Into how many it is torn across then, so that strips come out in the length she likes."""
    trimmed_mm: float
    """What is trimmed off its edge to make it true."""
    way: WayPlan
    """How its first part is cut; at one of the places that there may be, where it isn't known."""
    known_place: bool
    tallies: tuple[Tally, ...]
    """What it gives at each place that its repeat may have."""
    strips: Range
    length_mm: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class GarmentWay:
    """The strips of a garment, cut in one direction with one cut."""

    direction: Direction
    cut: Cut
    wishes: Wishes
    pieces: tuple[PieceStrips, ...]
    kinds: tuple[KindTotal, ...]
    strips: Range
    length_mm: Range
    bits: Range
    """Strips shorter than the shortest ..."""
    bits_mm: Range
    """... and how long they are, end to end."""
    cloth_mm2: float
    """What there is to cut."""
    waste: Range
    """Share of that which goes into no strip, or into bits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GarmentStrips:
    """The strips of a garment, in each direction and cut."""

    garment: Garment
    ways: tuple[GarmentWay, ...]
    not_planned: tuple[NotPlanned, ...]
    cautions: tuple[Caution, ...]
