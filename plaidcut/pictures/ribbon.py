"""The ribbon: a line across the threads, cut into the bands that it meets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.measurement import Direction, ThreadSystem

Points = NDArray[np.float64]

TRIED: Final = 25
"""Places along the threads at which a ribbon is tried."""

GOOD_SHARE: Final = 0.85
"""Of the bands that the best ribbon meets, what another must meet to be as good."""

LEAST_INSET: Final = 0.04
"""A ribbon keeps this share of the threads' length away from their ends."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segment:
    """A band where the ribbon meets it."""

    band_id: str
    edge: int
    """Index of the traced edge before it; the one after it is the next."""
    start_px: Points
    end_px: Points
    """Where the ribbon meets these two edges, (2,) each."""

    @property
    def middle_px(self) -> Points:
        """Half way between, (2,)."""
        return (self.start_px + self.end_px) / 2

    def mapped(self, to: Callable[[Points], Points]) -> Segment:
        """The same segment with its points mapped to another picture's."""
        return replace(self, start_px=to(self.start_px), end_px=to(self.end_px))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ribbon:
    """The bands that a line across one system's threads meets, in order."""

    direction: Direction
    segments: tuple[Segment, ...]
    shown: tuple[Segment, ...]
    """One of each band, those of one repeat where that is seen whole; in order."""
    lines_px: tuple[Points, ...]
    """The edges of the shown bands, polylines (N, 2)."""

    def mapped(self, to: Callable[[Points], Points]) -> Ribbon:
        """The same ribbon with its points mapped to another picture's."""
        return replace(
            self,
            segments=tuple(each.mapped(to) for each in self.segments),
            shown=tuple(each.mapped(to) for each in self.shown),
            lines_px=tuple(to(line) for line in self.lines_px),
        )


def ribbon_of(
    system: ThreadSystem,
    *,
    size_px: tuple[int, int],
    hidden_px: Sequence[Points] = (),
    clear_px: float = 0.0,
) -> Ribbon | None:
    """The ribbon of a system: as near as can be to the picture's top, or its left.

    Parameters
    ----------
    system
        Its traced edges are what the ribbon is cut by.
    size_px
        Width and height of the picture.
    hidden_px
        Polygons (N, 2) where no cloth is seen: the card, holes.
    clear_px
        How far the ribbon stays away from them.

    Returns
    -------
    Ribbon or None
        None where no band is seen between two traced edges.
    """
    if system.angle_px_deg is None or not system.edge_bands:
        return None
    along, over = _axes(system)
    ends = np.concatenate([edge @ along for edge in system.edges_px])
    inset = LEAST_INSET * float(np.ptp(ends))
    ribbons = [
        [
            each
            for each in _segments(system, along, over, place)
            if _seen(each, size_px, hidden_px, clear_px)
        ]
        for place in np.linspace(ends.min() + inset, ends.max() - inset, TRIED)
    ]
    ribbons = [ribbon for ribbon in ribbons if ribbon]
    if not ribbons:
        return None
    axis = 1 if system.direction is Direction.UP else 0
    shown = [_one_of_each(ribbon, len(system.bands), axis) for ribbon in ribbons]
    seen = [len({each.band_id for each in kept}) for kept in shown]
    enough = GOOD_SHARE * max(len(r) for r, n in zip(ribbons, seen, strict=True) if n == max(seen))
    nearest = min(
        (k for k, ribbon in enumerate(ribbons) if seen[k] == max(seen) and len(ribbon) >= enough),
        key=lambda k: float(np.mean([each.middle_px[axis] for each in ribbons[k]])),
    )
    edges = sorted({k for each in shown[nearest] for k in (each.edge, each.edge + 1)})
    return Ribbon(
        direction=system.direction,
        segments=tuple(ribbons[nearest]),
        shown=shown[nearest],
        lines_px=tuple(system.edges_px[k] for k in edges),
    )


def _axes(system: ThreadSystem) -> tuple[Points, Points]:
    """Unit vectors along the threads and over them, the second in the order of the bands."""
    angle = np.deg2rad(system.angle_px_deg or 0.0)
    along, over = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    ahead = over[0] if system.direction is Direction.UP else over[1]
    return along, over if ahead >= 0 else -over


def _crossing(edge: Points, along: Points, place: float) -> Points | None:
    """Where an edge passes a place along the threads, (2,)."""
    at = edge @ along
    order = np.argsort(at)
    if not at[order[0]] <= place <= at[order[-1]]:
        return None
    return np.array([np.interp(place, at[order], edge[order, axis]) for axis in (0, 1)])


def _segments(system: ThreadSystem, along: Points, over: Points, place: float) -> list[Segment]:
    """The bands that the line at a place along the threads meets between two edges."""
    crossings = [_crossing(edge, along, place) for edge in system.edges_px]
    found = []
    for k in range(len(crossings) - 1):
        start, end = crossings[k], crossings[k + 1]
        band_id = system.edge_bands[k][1]
        if start is None or end is None or band_id is None:
            continue
        if band_id == system.edge_bands[k + 1][0] and (end - start) @ over > 0:
            found.append(Segment(band_id=band_id, edge=k, start_px=start, end_px=end))
    return found


def _seen(
    segment: Segment, size_px: tuple[int, int], hidden_px: Sequence[Points], clear_px: float
) -> bool:
    """Whether a segment lies in the picture, and away from what hides the cloth."""
    import cv2

    points = np.linspace(segment.start_px, segment.end_px, 5)
    if np.any(points < 0) or np.any(points > np.array(size_px) - 1):
        return False
    return all(
        cv2.pointPolygonTest(polygon.astype(np.float32), (float(x), float(y)), measureDist=True)
        < -clear_px
        for polygon in hidden_px
        for x, y in points
    )


def _one_of_each(segments: Sequence[Segment], count: int, axis: int) -> tuple[Segment, ...]:
    """One segment of each band: neighbours where a whole repeat is seen.

    The nearer to the picture's top (axis 1) or left (axis 0) the better, so that lines to
    the ids are short; else, as on a ribbon that runs level, in its middle.
    """
    middles = np.array([each.middle_px for each in segments])
    away = np.hypot(*(middles - middles.mean(axis=0)).T)
    off = away**2 / max(float(away.max()), 1.0) + middles[:, axis]
    repeats = [
        k
        for k in range(len(segments) - count + 1)
        if len({each.band_id for each in segments[k : k + count]}) == count
        and segments[k + count - 1].edge - segments[k].edge == count - 1
    ]
    if repeats:
        first = min(repeats, key=lambda k: float(off[k : k + count].sum()))
        return tuple(segments[first : first + count])
    nearest: dict[str, tuple[float, int]] = {}
    for k, each in enumerate(segments):
        place = (float(off[k]), k)
        nearest[each.band_id] = min(nearest.get(each.band_id, place), place)
    return tuple(segments[k] for _, k in sorted(nearest.values(), key=lambda item: item[1]))
