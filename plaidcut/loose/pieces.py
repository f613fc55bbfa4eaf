"""Pieces of strips: the lanes that are wool, each measured along a middle line of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.light import WorkPicture
from plaidcut.loose.ground import Foreground
from plaidcut.loose.lanes import Lane, lanes_of
from plaidcut.loose.middle import LINE_STEP_MM, smooth_through
from plaidcut.loose.thickness import Eye
from plaidcut.loose.unrolled import Floats, LaidStraight, lay_straight, normals_of
from plaidcut.loose.widths import Edges, edges_along
from plaidcut.scale.plane import Points, Scale
from plaidcut.srgb import LUMINANCE
from plaidcut.stripes.colour import lab_of_linear_rgb, linear_rgb_of_lab

STEP_MM: Final = 0.1
BESIDE_MM: Final = 3.0
WIDTH_RANGE_MM: Final = (1.4, 28.0)
"""Widths that are looked for: a #2 has 1.6 mm, strips torn by hand run to about 25 mm."""
LEAST_LYING: Final = 0.7
"""Share of a lane's middle that must not be ground."""
SHADE_SHARE: Final = (0.25, 0.93)
"""Light that a shadow leaves to the ground."""
SHADE_APART: Final = 6.0
"""A lane whose colour is this near (L*a*b*) to the ground in shade may be a shadow."""
MOST_SHADE_MM: Final = 5.0
MOST_GAP_ROWS: Final = 10
LINE_STD_MM: Final = 0.06
MOST_OFF: Final = 0.3
"""A row whose width is off the piece's by more than this share shows something else."""
GROOVE_MM: Final = 1.0
"""What lies between two strips that touch: darker than both, and no wider than this."""


GROOVE_DARK: Final = 0.05
SHARPENED: Final = 0.12
"""A groove is darker by this share than the darker of two strips, and besides by this share of
their difference, which a phone's sharpening may make of a mere change of colour (chosen here)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """A stretch of one strip."""

    line_mm: Points
    """Its middle line (N, 2) on the plane, every half millimetre."""
    low_mm: Floats
    high_mm: Floats
    """Where its edges lie across that line (N,); nan where one isn't seen."""
    rgb: Floats
    """Linear light of its inner half, row by row (N, 3)."""
    doubt_mm: Floats
    """Standard uncertainty of the width that the strip's thickness leaves (N,)."""
    doubled: bool = False
    """Whether another lane lies beside it with no groove between: it may be part of a strip."""

    @property
    def widths_mm(self) -> Floats:
        """Widths (N,), nan where an edge isn't seen."""
        return self.high_mm - self.low_mm

    @property
    def width_mm(self) -> float:
        """Its usual width."""
        return float(np.nanmedian(self.widths_mm))

    @property
    def length_mm(self) -> float:
        """Along its middle."""
        return len(self.line_mm) * LINE_STEP_MM


def pieces_of(
    picture: WorkPicture,
    scale: Scale,
    lying: Foreground,
    lines: list[tuple[Points, float]],
    *,
    eye: Eye | None,
) -> list[Piece]:
    """Measure every lane of wool along some middle lines.

    Parameters
    ----------
    picture, scale
        The photo in linear light, and its scale.
    lying
        What lies on the ground.
    lines
        Middle lines on the plane, with the greatest half width along each, in mm.
    eye
        Where the camera stood; None for a scan.
    """
    sampled = partial(edges_along, picture, scale, eye)
    pieces = []
    for line_mm, half_mm in lines:
        straight = lay_straight(
            picture, scale, line_mm, half_mm=half_mm + BESIDE_MM, step_mm=STEP_MM
        )
        lanes = lanes_of(straight)
        wool = [
            lane
            for lane in lanes
            if _is_wool(lane, lanes, straight, lying)
            and abs(float(np.median(lane.low_mm + lane.high_mm))) / 2 <= half_mm + 0.5
        ]
        for lane in wool:
            doubled = any(
                _borders(lane, other) and not _groove_between(lane, other, straight)
                for other in wool
                if other is not lane
            )
            wider = _to_grooves(lane, lanes, wool)
            touching = _touches(wider, wool, above=False), _touches(wider, wool, above=True)
            for run in _runs(lane.rows):
                piece = _measured(sampled, straight, wider, run, touching=touching, doubled=doubled)
                if piece is not None:
                    pieces.append(piece)
    return _without_twins(pieces)


def _is_wool(lane: Lane, lanes: list[Lane], straight: LaidStraight, lying: Foreground) -> bool:
    """Whether a lane is neither ground nor a shadow on it, nor of a width that no strip has."""
    if not WIDTH_RANGE_MM[0] <= lane.width_mm <= WIDTH_RANGE_MM[1]:
        return False
    if not _is_lying(lane, straight, lying):
        return False
    ground = lying.ground_at(_middle(lane, straight))
    if np.median(_apart(lane.lab, ground)) < lying.limit:
        return False
    return lane.width_mm > MOST_SHADE_MM or not _is_shade(lane, lanes, straight, lying)


def _is_shade(lane: Lane, lanes: list[Lane], straight: LaidStraight, lying: Foreground) -> bool:
    """Whether a lane is of the ground's colour in shade, and beside something that throws it."""
    neighbours = [other for other in lanes if other is not lane and _borders(lane, other)]
    between = all(
        any(_borders(lane, other, above=above) for other in neighbours) for above in (True, False)
    )
    if between and all(_is_lying(other, straight, lying) for other in neighbours):
        return False
    if not any(other.width_mm > WIDTH_RANGE_MM[0] for other in neighbours):
        return False
    ground = lying.ground_at(_middle(lane, straight))
    shown, lit = linear_rgb_of_lab(lane.lab), linear_rgb_of_lab(ground)
    share = np.median(shown.sum(axis=1) / np.maximum(lit.sum(axis=1), 1e-6))
    shade = lab_of_linear_rgb(np.clip(lit * share, 0, 1))
    near = np.median(_apart(lane.lab, shade)) < SHADE_APART
    return bool(near and SHADE_SHARE[0] < share < SHADE_SHARE[1])


def _middle(lane: Lane, straight: LaidStraight) -> Points:
    """Points (N, 2) along a lane's middle."""
    return straight.at(lane.rows, (lane.low_mm + lane.high_mm) / 2)


def _is_lying(lane: Lane, straight: LaidStraight, lying: Foreground) -> bool:
    """Whether a lane's middle isn't ground."""
    return bool(np.mean(lying.lies_at(_middle(lane, straight))) >= LEAST_LYING)


def _apart(lab: Floats, other: Floats) -> Floats:
    """Plain CIE 1976 distance (N,) of colours (N, 3)."""
    return np.asarray(np.linalg.norm(lab - other, axis=1))


def _common(lane: Lane, other: Lane) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Where in each lane's rows those lie that both have."""
    _, mine, theirs = np.intersect1d(lane.rows, other.rows, return_indices=True)
    return mine, theirs


def _borders(lane: Lane, other: Lane, *, above: bool | None = None) -> bool:
    """Whether two lanes share an edge for a quarter of the first one's length, on that side."""
    mine, theirs = _common(lane, other)
    if len(mine) < len(lane.rows) / 4:
        return False
    high = np.median(np.abs(lane.high_mm[mine] - other.low_mm[theirs]))
    low = np.median(np.abs(lane.low_mm[mine] - other.high_mm[theirs]))
    gap = min(high, low) if above is None else high if above else low
    return bool(gap < 1e-6)


def _groove_between(lane: Lane, other: Lane, straight: LaidStraight) -> bool:
    """Whether a dark line parts two lanes that share an edge, darker than sharpening makes it."""
    mine, theirs = _common(lane, other)
    above = np.median(np.abs(lane.high_mm[mine] - other.low_mm[theirs])) < 1e-6
    edge = (lane.high_mm if above else lane.low_mm)[mine]
    off = straight.across_mm - edge[:, None]
    light = straight.rgb[lane.rows[mine]] @ LUMINANCE

    def mean(low: float, high: float) -> float:
        return float(np.nanmean(np.where((off > low) & (off < high), light, np.nan)))

    sides = mean(-1.1, -0.6), mean(0.6, 1.1)
    dark = min(mean(place - 0.06, place + 0.06) for place in (-0.2, -0.1, 0.0, 0.1, 0.2))
    return dark < (1 - GROOVE_DARK) * min(sides) - SHARPENED * abs(sides[1] - sides[0])


def _touches(lane: Lane, wool: list[Lane], *, above: bool) -> bool:
    """Whether another strip lies close against a lane on one side."""
    for other in wool:
        mine, theirs = _common(lane, other)
        if len(mine) < len(lane.rows) / 4 or np.array_equal(lane.lab, other.lab):
            continue
        if above:
            gap = other.low_mm[theirs] - lane.high_mm[mine]
        else:
            gap = lane.low_mm[mine] - other.high_mm[theirs]
        if abs(float(np.median(gap))) < GROOVE_MM:
            return True
    return False


def _to_grooves(lane: Lane, lanes: list[Lane], wool: list[Lane]) -> Lane:
    """The lane reaching to the middle of the groove that parts it from the next strip."""
    low, high = lane.low_mm.copy(), lane.high_mm.copy()
    for groove in lanes:
        if groove.width_mm > GROOVE_MM or not any(
            _borders(groove, other) for other in wool if other is not lane
        ):
            continue
        mine, theirs = _common(lane, groove)
        if len(mine) < len(lane.rows) / 4:
            continue
        middle = (groove.low_mm + groove.high_mm)[theirs] / 2
        on_high = np.abs(lane.high_mm[mine] - groove.low_mm[theirs]) < 1e-6
        on_low = np.abs(lane.low_mm[mine] - groove.high_mm[theirs]) < 1e-6
        high[mine[on_high]] = middle[on_high]
        low[mine[on_low]] = middle[on_low]
    return Lane(rows=lane.rows, low_mm=low, high_mm=high, lab=lane.lab)


def _runs(rows: NDArray[np.int64]) -> list[NDArray[np.int64]]:
    """Indices of rows that follow on each other, run by run."""
    breaks = np.flatnonzero(np.diff(rows) > MOST_GAP_ROWS) + 1
    return list(np.split(np.arange(len(rows)), breaks))


def _measured(
    find_edges: Callable[..., Edges],
    straight: LaidStraight,
    lane: Lane,
    run: NDArray[np.int64],
    *,
    touching: tuple[bool, bool],
    doubled: bool,
) -> Piece | None:
    """One run of a lane, its edges found anew along its own middle line."""
    if len(run) < 8:
        return None
    rows = lane.rows[run]
    low, high = lane.low_mm[run], lane.high_mm[run]
    middle = straight.at(rows, (low + high) / 2)
    along = np.concatenate(
        [[0.0], np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1) + 1e-6)]
    )
    line = smooth_through(along, middle, std_mm=LINE_STD_MM)
    if len(line) < 8:
        return None
    # what was seen of the edges, on the new line's own normals
    normals = normals_of(line)
    at = np.arange(len(line)) * LINE_STEP_MM
    guesses = []
    for side in (low, high):
        points = straight.at(rows, side)
        nearest = [np.interp(at, along, points[:, k]) for k in range(2)]
        guesses.append(np.sum((np.column_stack(nearest) - line) * normals, axis=1))
    edges = find_edges(line, (guesses[0], guesses[1]), touching=touching)
    widths = edges.high_mm - edges.low_mm
    if np.isfinite(widths).mean() < 0.4:
        return None
    usual = float(np.nanmedian(widths))
    if usual < WIDTH_RANGE_MM[0] / 2:
        return None
    odd = ~(np.abs(widths - usual) < MOST_OFF * usual)
    inner = np.abs(edges.straight.across_mm) <= usual / 4
    rgb = edges.straight.rgb[:, inner].mean(axis=1)
    return Piece(
        line_mm=line,
        low_mm=np.where(odd, np.nan, edges.low_mm),
        high_mm=np.where(odd, np.nan, edges.high_mm),
        rgb=rgb.astype(float),
        doubt_mm=edges.doubt_mm,
        doubled=doubled,
    )


def _without_twins(pieces: list[Piece]) -> list[Piece]:
    """Each stretch of wool once: of two pieces that lie on each other the longer one."""
    from scipy.spatial import cKDTree

    kept: list[Piece] = []
    for piece in sorted(pieces, key=lambda each: -each.length_mm):
        covered = np.zeros(len(piece.line_mm), bool)
        for other in kept:
            away, _ = cKDTree(other.line_mm).query(piece.line_mm)
            covered |= away < 0.35 * max(piece.width_mm, other.width_mm)
        if covered.mean() < 0.5:
            kept.append(piece)
    return kept
