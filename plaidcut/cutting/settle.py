"""Where the edges of a plan are best put, once it is known which strips hold what.

The search pushes every edge as far left as it goes: there a stripe lies in its strip with the
least margin on one side. As long as each strip stays in its window and runs keep apart, edges
can move without any change in what the plan is worth. So each is moved towards a place that
is easy to find and does a strip good: a band edge that can be seen, else a whole number of
graduations away from one, and of those the one that gives the most margin.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from plaidcut.cutting.piece import Head, Piece, Run, Windows, held
from plaidcut.stripes.runs import TOLERANCE_MM

SLACK_MM: Final = 5 * TOLERANCE_MM
"""What rounding of the search and of the solver may take from a distance."""


@dataclass(frozen=True, slots=True)
class _Span:
    """Where the edge of a run may lie, and where it had best."""

    low_mm: float
    high_mm: float
    target_mm: float


def settled(
    runs: Sequence[Run],
    piece: Piece,
    heads: Sequence[Head],
    *,
    seen_mm: Sequence[float],
    step_mm: float,
) -> tuple[Run, ...]:
    """Move the edges of a plan to places that are easy to find.

    Parameters
    ----------
    runs
        The plan as the search found it.
    piece, heads
        What is cut, and what with.
    seen_mm
        Where band edges are, from the piece's left edge.
    step_mm
        Graduation of the ruler that is at hand.

    Returns
    -------
    tuple of Run
        The same runs, of which no strip holds less; each torn edge can still be torn.
    """
    if not runs:
        return ()
    spans = [_span(run, piece, heads[run.head], seen_mm, step_mm) for run in runs]
    starts_mm = _nearest(runs, spans, piece, heads)
    moved = tuple(
        replace(run, start_mm=float(start_mm))
        for run, start_mm in zip(runs, starts_mm, strict=True)
    )
    kept = all(
        (now | ~before).all()
        for run, new in zip(runs, moved, strict=True)
        for now, before in zip(held(heads[new.head], new), held(heads[run.head], run), strict=True)
    )
    return moved if kept else tuple(runs)


def is_torn(run: Run, before: Run | None, piece: Piece, heads: Sequence[Head]) -> bool:
    """Whether a run's edge can be torn ahead of cutting the run before it."""
    since_mm = 0.0 if before is None else before.start_mm
    end_mm = (
        0.0 if before is None else before.start_mm + before.strips * heads[before.head].width_mm
    )
    least_mm = max(end_mm, since_mm + piece.least_tear_mm)
    return least_mm - SLACK_MM <= run.start_mm <= piece.last_tear_mm + SLACK_MM


def _span(run: Run, piece: Piece, head: Head, seen_mm: Sequence[float], step_mm: float) -> _Span:
    """Where a run's edge may lie without any strip losing what it holds."""
    low_mm, high_mm = 0.0, piece.width_mm - run.strips * head.width_mm
    flags = held(head, run)
    for flag, windows in zip(flags, (head.whole, head.one_colour), strict=True):
        for k in np.flatnonzero(flag):
            at_mm = run.start_mm + k * head.width_mm
            low, high = _window_at(windows[k], at_mm) - k * head.width_mm
            low_mm, high_mm = max(low_mm, low), min(high_mm, high)
    if run.start_mm <= TOLERANCE_MM or not np.any(flags):
        return _Span(run.start_mm, max(run.start_mm, high_mm), run.start_mm)
    return _Span(low_mm, high_mm, _target(low_mm, high_mm, seen_mm, step_mm))


def _window_at(windows: Windows, at_mm: float) -> Windows:
    """The window that a place lies in, (2,)."""
    inside = (windows[:, 0] <= at_mm + TOLERANCE_MM) & (at_mm <= windows[:, 1] + TOLERANCE_MM)
    return np.asarray(windows[int(np.argmax(inside))])


def _target(low_mm: float, high_mm: float, seen_mm: Sequence[float], step_mm: float) -> float:
    """The best place between two: a band edge, graduations from one, or else the middle.

    A band edge near either end would leave a strip hardly any margin.
    """
    middle_mm = (low_mm + high_mm) / 2
    edges_mm = np.array([0.0, *seen_mm])
    nearest_mm = edges_mm[np.argmin(np.abs(edges_mm - middle_mm))]
    graduated_mm = nearest_mm + step_mm * np.round([(middle_mm - nearest_mm) / step_mm])
    near_end_mm = (high_mm - low_mm) / 4
    for places_mm, inset_mm in ((np.array(seen_mm, float), near_end_mm), (graduated_mm, 0.0)):
        inside = places_mm[
            (places_mm >= low_mm + inset_mm - TOLERANCE_MM)
            & (places_mm <= high_mm - inset_mm + TOLERANCE_MM)
        ]
        if len(inside):
            return float(inside[np.argmin(np.abs(inside - middle_mm))])
    return middle_mm


def _nearest(
    runs: Sequence[Run], spans: Sequence[_Span], piece: Piece, heads: Sequence[Head]
) -> list[float]:
    """Edges as near to their targets as runs that keep apart allow: least sum of distances."""
    from scipy.optimize import linprog

    count = len(runs)
    target = np.array([span.target_mm for span in spans])
    rows, limits = [], []
    bounds = [(span.low_mm, max(span.low_mm, span.high_mm)) for span in spans]
    for k in range(count):
        before = runs[k - 1] if k else None
        if runs[k].start_mm <= TOLERANCE_MM:
            continue
        width_mm = 0.0 if before is None else before.strips * heads[before.head].width_mm
        torn = is_torn(runs[k], before, piece, heads)
        gap_mm = max(width_mm, piece.least_tear_mm) if torn else width_mm + piece.least_trim_mm
        if torn:
            low, high = bounds[k]
            bounds[k] = (low, min(high, piece.last_tear_mm))
        if before is None:
            low, high = bounds[k]
            bounds[k] = (max(low, gap_mm), high)
            continue
        row = np.zeros(2 * count)
        row[k - 1], row[k] = 1, -1
        rows.append(row)
        limits.append(TOLERANCE_MM - gap_mm)
    distance = np.eye(count)
    rows += [*np.hstack([distance, -distance]), *np.hstack([-distance, -distance])]
    limits += [*target, *-target]
    solved = linprog(
        np.concatenate([np.zeros(count), np.ones(count)]),
        A_ub=np.array(rows),
        b_ub=np.array(limits),
        bounds=[*bounds, *[(0, None)] * count],
    )
    if solved.x is None:
        return [run.start_mm for run in runs]
    return [float(each) for each in solved.x[:count]]
