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
from plaidcut.loose.neighbours import (
    WIDTH_RANGE_MM,
    is_wool,
    to_grooves,
    touches,
)
from plaidcut.loose.thickness import Eye
from plaidcut.loose.unrolled import Floats, LaidStraight, lay_straight, normals_of
from plaidcut.loose.widths import Edges, edges_along
from plaidcut.scale.plane import Points, Scale

STEP_MM: Final = 0.1
BESIDE_MM: Final = 3.0
MOST_GAP_ROWS: Final = 10
LINE_STD_MM: Final = 0.06
MOST_OFF: Final = 0.3
"""A row whose width is off the piece's by more than this share shows something else."""


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
    """Whether another lane lies against it: both may be of one strip, parted by a yarn's colour."""

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
            if is_wool(lane, lanes, straight, lying)
            and abs(float(np.median(lane.low_mm + lane.high_mm))) / 2 <= half_mm + 0.5
        ]
        for lane in wool:
            wider = to_grooves(lane, lanes, wool)
            touching = touches(wider, wool, above=False), touches(wider, wool, above=True)
            for run in _runs(lane.rows):
                piece = _measured(sampled, straight, wider, run, touching=touching)
                if piece is not None:
                    pieces.append(piece)
    return _without_twins(pieces)


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
    if odd.all():
        return None
    inner = np.abs(edges.straight.across_mm) <= usual / 4
    rgb = edges.straight.rgb[:, inner].mean(axis=1)
    return Piece(
        line_mm=line,
        low_mm=np.where(odd, np.nan, edges.low_mm),
        high_mm=np.where(odd, np.nan, edges.high_mm),
        rgb=rgb.astype(float),
        doubt_mm=edges.doubt_mm,
        doubled=any(touching),
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
