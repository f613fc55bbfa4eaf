"""What somebody may put right in a measurement: one record for each kind of correction.

Corrections are a list in order. Each names bands by the ids that they have once those before it
are made: what she reads in the report is what she names. To undo is to drop the last one.

In a mirrored order what is done to a band is done to its twin as well, which was measured as
one with it, unless the correction says ``alone``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class ByHand(StrEnum):
    """What of a band a correction has set, in place of the measurement."""

    NAME = "name"
    EXTENT = "extent"
    """Where it begins and ends: it was merged, or split off."""
    WIDTH = "width"
    COLOUR = "colour"
    """Its yarn's."""
    READS = "reads"
    """The colour that a strip of it reads as."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rename:
    """Call a band what she calls it; nothing else changes."""

    band: str
    name: str
    alone: bool = False

    @property
    def spoken(self) -> str:
        """What it does, in few words."""
        return f"rename {self.band}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """Make one band of neighbours, which may lie on both sides of the repeat's start."""

    bands: tuple[str, ...]
    """All of them, in order."""
    alone: bool = False

    @property
    def spoken(self) -> str:
        """What it does, in few words."""
        return f"merge {', '.join(self.bands)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """Make several bands of one."""

    band: str
    at_mm: tuple[float, ...]
    """Where it is split, rising, from its left (upper) edge."""
    hexes: tuple[str | None, ...] = ()
    """The yarn's colour of each part, one more than the places; None, or nothing for all, keeps
    the band's."""
    alone: bool = False

    @property
    def spoken(self) -> str:
        """What it does, in few words."""
        return f"split {self.band}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetWidth:
    """Give a band the width that a ruler shows."""

    band: str
    width_mm: float
    alone: bool = False

    @property
    def spoken(self) -> str:
        """What it does, in few words."""
        return f"width of {self.band}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetColour:
    """Give a band its yarn's colour, or the one that its strips read as, or both."""

    band: str
    hex: str | None = None
    reads_hex: str | None = None
    alone: bool = False

    @property
    def spoken(self) -> str:
        """What it does, in few words."""
        return f"colour of {self.band}"


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveStart:
    """Let the repeat start with another of its bands."""

    band: str

    @property
    def spoken(self) -> str:
        """What it does, in few words."""
        return f"start at {self.band}"


Correction = Rename | Merge | Split | SetWidth | SetColour | MoveStart
