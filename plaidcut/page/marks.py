"""Where things lie on the photo, as the page draws them over it: points of the upright photo."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from plaidcut.stripes.measurement import Measurement, ThreadSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch:
    """One band where it is seen once."""

    band: str
    points: str
    """Of an SVG polygon."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """What is drawn over the photo."""

    scale: str
    """Outline of the card or ruler that gave the scale; empty where there is none."""
    outline: str
    """Of the cloth."""
    left_out: tuple[str, ...]
    """Parts that were not measured."""
    patches: tuple[tuple[Patch, ...], tuple[Patch, ...]]
    """Every band of the up threads, then of the others."""


def found_marks(measurement: Measurement) -> Marks | None:
    """What of a measurement is drawn over its photo; None where it has none."""
    if measurement.photo is None or measurement.scale is None:
        return None
    mark = measurement.scale.mark_px
    up, across = (tuple(_patches(system)) for system in measurement.systems)
    return Marks(
        scale="" if mark is None else points_of(mark),
        outline=points_of(measurement.cloth.outline_px),
        left_out=tuple(points_of(each.outline_px) for each in measurement.cloth.left_out),
        patches=(up, across),
    )


def points_of(xy_px: Iterable[Iterable[float]]) -> str:
    """Points as SVG writes them."""
    return " ".join(",".join(f"{each:.1f}" for each in point) for point in xy_px)


def _patches(system: ThreadSystem) -> Iterable[Patch]:
    """Each band between two neighbouring edges that were seen."""
    edges = list(zip(system.edges_px, system.edge_bands, strict=True))
    for (line, (_, band)), (next_line, (same, _)) in pairwise(edges):
        if band is not None and band == same:
            yield Patch(band=band, points=points_of([*line, *reversed(next_line)]))
