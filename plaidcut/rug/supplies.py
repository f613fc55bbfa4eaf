"""Wool at hand: garments, plain cloth, ready-cut strips."""

from __future__ import annotations

from collections.abc import Sequence

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.garment import GarmentStrips
from plaidcut.cutting.strip import Holds
from plaidcut.rug.needs import Strips, Supply, Tightness, Way
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.measurement import Direction

AS_IT_COMES = "plain"


def strips_supply(
    name: str, length_mm: float, cut: Cut, *, reads: Colour | None, again: bool
) -> Supply:
    """Strips that are cut already."""
    return Supply(name=name, ways=(Way(cut=cut, strips=(_plain(length_mm, reads),)),), again=again)


def plain_supply(
    name: str,
    area_mm2: float,
    cuts: Sequence[Cut],
    *,
    reads: Colour | None,
    again: bool,
    said: str = "",
) -> Supply:
    """Plain wool of some area, in any cut."""
    return Supply(
        name=name,
        ways=tuple(Way(cut=cut, strips=(_plain(area_mm2 / cut.width_mm, reads),)) for cut in cuts),
        again=again,
        said=said,
    )


def garment_supply(
    name: str, strips: GarmentStrips, *, direction: Direction | None, again: bool
) -> Supply:
    """A garment, in every direction and cut that its strips were counted in."""
    return Supply(
        name=name,
        ways=tuple(
            Way(
                cut=way.cut,
                direction=way.direction,
                strips=tuple(
                    Strips(
                        label=kind.spoken,
                        length_mm={
                            Tightness.LOW: kind.length_mm.low,
                            Tightness.TYPICAL: kind.length_mm.mean,
                            Tightness.HIGH: kind.length_mm.high,
                        },
                        reads=kind.reads,
                        holds=kind.holds,
                        bands=kind.bands,
                    )
                    for kind in way.kinds
                    if kind.cut == way.cut
                ),
            )
            for way in strips.ways
            if direction in (None, way.direction)
        ),
        again=again,
    )


def _plain(length_mm: float, reads: Colour | None) -> Strips:
    return Strips(
        label=AS_IT_COMES,
        length_mm=dict.fromkeys(Tightness, length_mm),
        reads=reads,
        holds=Holds.PLAIN,
    )
