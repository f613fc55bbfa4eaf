"""What a rug needs, and what there is for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.strip import Holds
from plaidcut.rug.areas import Extent
from plaidcut.rug.coverage import Multiplier
from plaidcut.stripes.colour import Colour, difference
from plaidcut.stripes.measurement import Direction

NEAR_COLOUR: Final = 10.0
"""CIEDE2000 within which a strip has the colour that is wanted, unless said otherwise: near
enough beside its neighbours in a rug (chosen here)."""


class Tightness(StrEnum):
    """How much wool hooking takes: figures disagree, and so do hands."""

    LOW = "low"
    TYPICAL = "typical"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wants:
    """What wool an area wants; all that is set must hold."""

    supply: str | None = None
    """Name of the cloth that it must be of."""
    stripe: tuple[str, ...] = ()
    """Strips that hold this stripe whole."""
    band: str | None = None
    """Strips of nothing but this band."""
    colour: Colour | None = None
    within: float = NEAR_COLOUR
    """CIEDE2000 from that colour, as strips read."""
    value: str | None = None
    """``light``, ``medium`` or ``dark``."""

    @property
    def loosened(self) -> Wants:
        """The same cloth, whatever its strips hold."""
        return Wants(supply=self.supply)


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One area of a rug."""

    name: str
    extent: Extent
    cut: Cut
    wants: Wants
    multiplier: Multiplier

    def length_mm(self, tightness: Tightness) -> float:
        """Length of strip that it takes."""
        return self.extent.area_mm2 * self.multiplier.of(tightness) / self.cut.width_mm

    def part(self, share: float) -> Need:
        """What is left to do of it."""
        area_mm2 = self.extent.area_mm2 * share
        return replace(self, extent=replace(self.extent, area_mm2=area_mm2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Strips:
    """Strips of one kind that a supply gives if all of it is cut in one way."""

    label: str
    """``yellow whole``, ``all red``, ``mixed, dark``, ``as it comes``."""
    length_mm: Mapping[Tightness, float]
    """How much there is, reckoned with care, as usual, or at best."""
    reads: Colour | None = None
    holds: Holds = Holds.PLAIN
    bands: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to cut a supply: all of it, or a share."""

    cut: Cut
    strips: tuple[Strips, ...]
    direction: Direction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """Wool at hand."""

    name: str
    ways: tuple[Way, ...]
    again: bool = False
    """Whether the same can be had again."""
    said: str = ""
    """What was taken for granted of it: how large its yard is."""

    def more(self, times: float) -> Supply:
        """So many times as much of it."""
        return replace(
            self,
            ways=tuple(
                replace(
                    way,
                    strips=tuple(
                        replace(
                            each,
                            length_mm={key: times * mm for key, mm in each.length_mm.items()},
                        )
                        for each in way.strips
                    ),
                )
                for way in self.ways
            ),
        )


def suits(supply: Supply, strips: Strips, wants: Wants) -> bool:
    """Whether strips of a supply are what is wanted."""
    reads = strips.reads
    return (
        (wants.supply is None or wants.supply == supply.name)
        and (not wants.stripe or _holds(strips, Holds.WHOLE, wants.stripe))
        and (wants.band is None or _holds(strips, Holds.ONE_COLOUR, (wants.band,)))
        and (wants.value is None or (reads is not None and reads.value == wants.value))
        and (wants.colour is None or (reads is not None and _near(reads, wants)))
    )


def _holds(strips: Strips, holds: Holds, bands: tuple[str, ...]) -> bool:
    return strips.holds is holds and strips.bands == bands


def _near(reads: Colour, wants: Wants) -> bool:
    wanted = wants.colour or reads
    return float(difference(reads.lab, wanted.lab)) <= wants.within
