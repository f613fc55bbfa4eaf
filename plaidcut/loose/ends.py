"""How a strip ends: on bare ground or not, and squarely, or stepped as two strips do together."""

from __future__ import annotations

from typing import Final

import numpy as np

from plaidcut.loose.ground import Foreground
from plaidcut.loose.middle import LINE_STEP_MM
from plaidcut.loose.pieces import Piece
from plaidcut.loose.unrolled import Floats

AHEAD_MM: Final = 6.0
"""How far, besides its own width, a strip may go on beyond what was measured of it."""
BARE_STEPS: Final = 4
"""Half millimetres of bare ground that make an end."""
BACK_MM: Final = 4.0
"""How far within a piece its end is looked at from: one side may have ended before the other."""
COLUMN_MM: Final = 0.25
LEAST_PART_MM: Final = 2.0
"""What goes on alone is a strip if it is so wide, and a yarn that has come off if not. Half of it
is left out at either edge, where a strip that touches may blur into this one."""
STEP_MM: Final = 2.5
"""How much farther it must go on: scissors may leave so much of a corner (chosen here) ..."""
STEEP_MM: Final = 0.75
"""... and within which width, so that an end cut askew is none."""


def ends_on_ground(piece: Piece, lying: Foreground, *, last: bool) -> bool:
    """Whether a strip ends on bare ground, not far beyond the end of a piece."""
    reach = _reach(piece, np.zeros(1), 0.0, lying, last=last)
    return bool(reach[0] < _farthest(piece, 0.0))


def is_stepped(chain: list[Piece], lying: Foreground) -> bool:
    """Whether an end of a strip is set back in part of its width: then it is two, side by side."""
    return any(_steps(chain[k], lying, last=last) for k, last in ((0, False), (-1, True)))


def _steps(piece: Piece, lying: Foreground, *, last: bool) -> bool:
    """Whether what is seen of one end jumps from one width to the next."""
    edge = slice(-_steps_of(BACK_MM), None) if last else slice(None, _steps_of(BACK_MM))
    if not np.isfinite(piece.widths_mm[edge]).any():
        return False
    low, high = np.nanmedian(piece.low_mm[edge]), np.nanmedian(piece.high_mm[edge])
    margin = LEAST_PART_MM / 2
    across = np.arange(low + margin, high - margin, COLUMN_MM)
    part, steep = (round(mm / COLUMN_MM) for mm in (LEAST_PART_MM / 2, STEEP_MM))
    if len(across) < 2 * part + steep:
        return False
    reach = _reach(piece, across, BACK_MM, lying, last=last)
    before = np.lib.stride_tricks.sliding_window_view(reach, part)
    gap = part + steep
    level = np.median(before, axis=1)
    return bool(np.any(np.abs(level[gap:] - level[:-gap]) > STEP_MM))


def _steps_of(mm: float) -> int:
    return round(mm / LINE_STEP_MM)


def _farthest(piece: Piece, back_mm: float) -> float:
    """How far an end is looked for."""
    return back_mm + AHEAD_MM + piece.width_mm


def _reach(
    piece: Piece, across_mm: Floats, back_mm: float, lying: Foreground, *, last: bool
) -> Floats:
    """How far the wool goes on (N,) at places across a piece, from within its end."""
    line = piece.line_mm[::-1] if last else piece.line_mm
    start = min(_steps_of(back_mm), len(line) - 1)
    inner = min(start + 8, len(line) - 1)
    ahead = line[start] - line[inner]
    ahead = ahead / (np.linalg.norm(ahead) + 1e-12)
    normal = np.array([-ahead[1], ahead[0]]) * (-1.0 if not last else 1.0)
    farthest = _farthest(piece, back_mm)
    along = np.arange(0.0, farthest, LINE_STEP_MM)
    points = line[start] + across_mm[:, None, None] * normal + along[:, None] * ahead
    bare = lying.bare_at(points.reshape(-1, 2)).reshape(len(across_mm), len(along))
    windows = np.lib.stride_tricks.sliding_window_view(bare, BARE_STEPS, axis=1)
    ended = np.all(windows, axis=-1)
    return np.where(np.any(ended, axis=1), along[np.argmax(ended, axis=1)], farthest)
