"""Edges that run along a line, and the lanes between them: strips that lie side by side."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.loose.middle import LINE_STEP_MM
from plaidcut.loose.unrolled import Floats, LaidStraight
from plaidcut.srgb import LUMINANCE
from plaidcut.stripes.colour import lab_of_linear_rgb

ALONG_MM: Final = 1.5
"""Blur along the line (standard deviation): an edge runs on, a yarn doesn't."""
ACROSS_MM: Final = 0.2
LEAST_SLOPE: Final = 9.0
"""Change of L*a*b* to the millimetre from which there is an edge: the grain of wood has up to 5,
a strip 20 off its ground 30 (rendered photos)."""
APART_MM: Final = 0.5
"""Edges closer than this are one."""
STEP_ASIDE_MM: Final = 0.65
"""How far aside an edge may go from one row to the next: a yarn that has come off is about as
wide."""
MOST_GAP_ROWS: Final = 6
"""Rows for which an edge may not be seen, and still go on."""
GROOVE_ALONG_MM: Final = 4.0
GROOVE_BESIDE_MM: Final = 0.6
"""A groove is darker than what lies so far to either side: about a yarn, so that the dark lines
between yarns, which come again at every yarn, don't count."""
GROOVE_DEPTH: Final = 0.06
"""By how much, as a share: strips of one colour that touch show 10 to 20 %, yarns under 4 %
(rendered photos)."""
LEAST_GROOVE_MM: Final = 15.0
LEAST_EDGE_MM: Final = 8.0
"""Edges shorter than this are of a pattern, or of something that crosses."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeLine:
    """One edge along a line."""

    rows: NDArray[np.int64]
    across_mm: Floats
    slope: Floats
    """Change of L*a*b* across it, to the millimetre."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lane:
    """What lies between two edges that run side by side."""

    rows: NDArray[np.int64]
    """Rows where both are seen (N,), ascending."""
    low_mm: Floats
    high_mm: Floats
    """Where its edges lie across the line (N,)."""
    lab: Floats
    """Its colour in each row, L*a*b* (N, 3)."""

    @property
    def width_mm(self) -> float:
        """Its usual width."""
        return float(np.median(self.high_mm - self.low_mm))

    @property
    def length_mm(self) -> float:
        """How much of the line it goes along."""
        return len(self.rows) * LINE_STEP_MM


def lanes_of(straight: LaidStraight) -> list[Lane]:
    """The lanes along a line, in order across it; ground and shadows are lanes as well."""
    lab = _calm(straight)
    edges = edge_lines(lab, straight.across_mm)
    edges += _new_ones(groove_lines(straight.rgb, straight.across_mm), edges)
    count = len(straight.line_mm)
    places = np.full((len(edges), count), np.nan)
    for number, edge in enumerate(edges):
        rows = np.arange(edge.rows[0], edge.rows[-1] + 1)
        places[number, rows] = np.interp(rows, edge.rows, edge.across_mm)
    beside: dict[tuple[int, int], list[int]] = {}
    for row in range(count):
        seen = np.flatnonzero(np.isfinite(places[:, row]))
        order = seen[np.argsort(places[seen, row])]
        for low, high in pairwise(order.tolist()):
            beside.setdefault((low, high), []).append(row)
    lanes = []
    for (low, high), held in beside.items():
        if len(held) * LINE_STEP_MM < LEAST_EDGE_MM:
            continue
        rows = np.array(held)
        lanes.append(_lane(rows, places[low, rows], places[high, rows], lab, straight.across_mm))
    return sorted(lanes, key=lambda lane: float(np.median(lane.low_mm)))


def _calm(straight: LaidStraight) -> NDArray[np.float32]:
    """L*a*b* (N, M, 3) with the yarns smoothed away along the line."""
    import cv2

    rgb = np.nan_to_num(straight.rgb)
    step = float(straight.across_mm[1] - straight.across_mm[0])
    soft = cv2.GaussianBlur(
        rgb,
        (0, 0),
        sigmaX=ACROSS_MM / step,
        sigmaY=ALONG_MM / LINE_STEP_MM,
        borderType=cv2.BORDER_REPLICATE,
    )
    return np.asarray(lab_of_linear_rgb(np.clip(soft, 0, 1)), np.float32)


def groove_lines(rgb: NDArray[np.float32], across_mm: Floats) -> list[EdgeLine]:
    """Dark lines of a laid-straight picture (N, M, 3) that run along it, as where strips touch.

    Parameters
    ----------
    rgb
        Linear light, rows along the line.
    across_mm
        Where its columns lie (M,).
    """
    import cv2

    step = float(across_mm[1] - across_mm[0])
    light = np.asarray(
        cv2.GaussianBlur(
            np.nan_to_num(rgb) @ LUMINANCE,
            (0, 0),
            sigmaX=1.0,
            sigmaY=GROOVE_ALONG_MM / LINE_STEP_MM,
            borderType=cv2.BORDER_REPLICATE,
        ),
        float,
    )
    away = round(GROOVE_BESIDE_MM / step)
    padded = np.pad(light, ((0, 0), (away, away)), mode="edge")
    beside = np.minimum(padded[:, : -2 * away], padded[:, 2 * away :])
    depth = 1 - light / np.maximum(beside, 1e-4)
    return _traced(depth, across_mm, least=GROOVE_DEPTH, least_mm=LEAST_GROOVE_MM)


def _new_ones(grooves: list[EdgeLine], edges: list[EdgeLine]) -> list[EdgeLine]:
    """Grooves that aren't seen as edges already."""
    return [
        groove
        for groove in grooves
        if not any(
            len(np.intersect1d(groove.rows, edge.rows)) > len(groove.rows) / 4
            and abs(float(np.median(groove.across_mm) - _at(edge, groove.rows))) < APART_MM
            for edge in edges
        )
    ]


def _at(edge: EdgeLine, rows: NDArray[np.int64]) -> float:
    """Where an edge usually lies over some rows."""
    return float(np.median(np.interp(rows, edge.rows, edge.across_mm)))


def edge_lines(lab: NDArray[np.float32], across_mm: Floats) -> list[EdgeLine]:
    """Edges of a laid-straight colour picture (N, M, 3) that run along it.

    Parameters
    ----------
    lab
        L*a*b*, rows along the line.
    across_mm
        Where its columns lie (M,).
    """
    step = float(across_mm[1] - across_mm[0])
    change = np.gradient(lab.astype(float), step, axis=1)
    slope = np.sqrt(np.sum(change**2, axis=-1))
    return _traced(slope, across_mm, least=LEAST_SLOPE, least_mm=LEAST_EDGE_MM)


def _traced(slope: Floats, across_mm: Floats, *, least: float, least_mm: float) -> list[EdgeLine]:
    """Ridges of a field (N, M) that run along it."""
    from scipy.ndimage import maximum_filter1d

    step = float(across_mm[1] - across_mm[0])
    reach = 2 * int(APART_MM / step / 2) + 1
    peak = (slope == maximum_filter1d(slope, reach, axis=1)) & (slope > least)
    peak[:, [0, -1]] = False
    grown: list[list[tuple[int, float, float]]] = []
    active: list[list[tuple[int, float, float]]] = []
    for row in range(len(slope)):
        columns = np.flatnonzero(peak[row]).tolist()
        found = [(row, *_summit(slope[row], column, across_mm, step)) for column in columns]
        active = [line for line in active if row - line[-1][0] <= MOST_GAP_ROWS]
        taken = _matched(active, found)
        for index, spot in enumerate(found):
            line = taken.get(index)
            if line is None:
                line = []
                grown.append(line)
                active.append(line)
            line.append(spot)
    return [
        EdgeLine(
            rows=np.array([spot[0] for spot in line]),
            across_mm=np.array([spot[1] for spot in line]),
            slope=np.array([spot[2] for spot in line]),
        )
        for line in grown
        if len(line) * LINE_STEP_MM >= least_mm
    ]


def _summit(slope: Floats, column: int, across_mm: Floats, step: float) -> tuple[float, float]:
    """Place and height of a peak, by the parabola through three columns."""
    before, here, after = slope[column - 1 : column + 2]
    bend = before - 2 * here + after
    off = 0.0 if bend >= 0 else float(np.clip((before - after) / (2 * bend), -0.5, 0.5))
    return float(across_mm[column]) + off * step, float(here)


def _matched(
    active: list[list[tuple[int, float, float]]], found: list[tuple[int, float, float]]
) -> dict[int, list[tuple[int, float, float]]]:
    """Which edge each new spot goes on with: the nearest pairs first."""
    pairs = sorted(
        (abs(spot[1] - line[-1][1]), index, number)
        for index, spot in enumerate(found)
        for number, line in enumerate(active)
        if abs(spot[1] - line[-1][1]) <= STEP_ASIDE_MM * (1 + (spot[0] - line[-1][0] - 1) / 2)
    )
    taken: dict[int, list[tuple[int, float, float]]] = {}
    used: set[int] = set()
    for _, index, number in pairs:
        if index not in taken and number not in used:
            taken[index] = active[number]
            used.add(number)
    return taken


def _lane(
    rows: NDArray[np.int64],
    low_mm: Floats,
    high_mm: Floats,
    lab: NDArray[np.float32],
    across_mm: Floats,
) -> Lane:
    """A lane with its colour in each row: the mean of its inner half."""
    quarter = (high_mm - low_mm) / 4
    inside = (across_mm >= (low_mm + quarter)[:, None]) & (
        across_mm <= (high_mm - quarter)[:, None]
    )
    inside[
        np.arange(len(rows)), np.abs(across_mm - ((low_mm + high_mm) / 2)[:, None]).argmin(1)
    ] = True
    weight = inside[..., None]
    mean = (lab[rows] * weight).sum(axis=1) / weight.sum(axis=1)
    return Lane(rows=rows, low_mm=low_mm, high_mm=high_mm, lab=mean.astype(float))
