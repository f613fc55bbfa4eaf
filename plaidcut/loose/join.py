"""Pieces of one strip put together again, across what lies over it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.loose.ground import Foreground
from plaidcut.loose.middle import LINE_STEP_MM
from plaidcut.loose.pieces import Piece
from plaidcut.loose.unrolled import Floats
from plaidcut.scale.plane import Points
from plaidcut.stripes.colour import lab_of_linear_rgb

MOST_GAP_MM: Final = 40.0
"""Two pieces farther apart than this are two strips: #10 crossed askew hides 30 mm."""
TURN_DEG: Final = 32.0
"""A strip turns no further than this between the pieces of it that are seen."""
ASIDE: Final = 0.3
"""How far aside a piece may go on, as a share of the gap ..."""
ASIDE_MM: Final = 1.2
"""... and besides."""
WIDTH_MM: Final = 0.45
WIDTH_SHARE: Final = 0.06
"""How much the widths of pieces of one strip may differ, in all."""
COLOUR: Final = 16.0
"""How much their colours may differ, in L*a*b* ..."""
FLECKS: Final = 1.5
"""... and as many times their own change along them."""
SEAMLESS_MM: Final = 5.0
LOOSER: Final = 3.0
"""Pieces with no more than that between them may differ so much more: yarns have come off."""
COVERED: Final = 0.85
"""Share of the gap that mustn't be bare ground."""
TANGENT_MM: Final = 8.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _End:
    """One end of a piece."""

    piece: int
    last: bool
    point: Points
    outwards: Points
    """Unit vector (2,) along which the piece would go on."""


def joined(pieces: list[Piece], lying: Foreground) -> list[list[Piece]]:
    """Strips as lists of pieces in order, each turned so that they run one way."""
    ends = [end for number, piece in enumerate(pieces) for end in _ends(number, piece)]
    pairs = []
    for k, one in enumerate(ends):
        for other in ends[k + 1 :]:
            if one.piece == other.piece:
                continue
            cost = _cost(one, other, pieces, lying)
            if cost is not None:
                pairs.append((cost, one, other))
    partner: dict[tuple[int, bool], _End] = {}
    group = list(range(len(pieces)))
    for _, one, other in sorted(pairs, key=lambda pair: pair[0]):
        keys = (one.piece, one.last), (other.piece, other.last)
        if any(key in partner for key in keys) or group[one.piece] == group[other.piece]:
            continue
        partner[keys[0]], partner[keys[1]] = other, one
        old, new = group[other.piece], group[one.piece]
        group = [new if each == old else each for each in group]
    return _chains(pieces, partner)


def _ends(number: int, piece: Piece) -> list[_End]:
    reach = min(int(TANGENT_MM / LINE_STEP_MM), len(piece.line_mm) - 1)
    found = []
    for last in (False, True):
        tip, inner = (
            (piece.line_mm[-1], piece.line_mm[-1 - reach])
            if last
            else (
                piece.line_mm[0],
                piece.line_mm[reach],
            )
        )
        # half a reach back the line runs as the chord; it bends on as much again to the tip
        half = piece.line_mm[-1 - reach // 2] if last else piece.line_mm[reach // 2]
        outwards = (tip - half) * 2 - (half - inner)
        outwards /= np.linalg.norm(outwards) + 1e-12
        found.append(_End(piece=number, last=last, point=tip, outwards=outwards))
    return found


def _cost(one: _End, other: _End, pieces: list[Piece], lying: Foreground) -> float | None:
    """How badly two ends go on in each other; None where they don't."""
    gap = other.point - one.point
    length = float(np.linalg.norm(gap))
    if length > MOST_GAP_MM:
        return None
    turn = float(np.degrees(np.arccos(np.clip(-one.outwards @ other.outwards, -1, 1))))
    ahead = float(gap @ one.outwards), float(-gap @ other.outwards)
    aside = max(
        abs(float(one.outwards[0] * gap[1] - one.outwards[1] * gap[0])),
        abs(float(other.outwards[0] * gap[1] - other.outwards[1] * gap[0])),
    )
    if turn > TURN_DEG or aside > ASIDE * length + ASIDE_MM or min(ahead) < -6.0:
        return None
    mine, theirs = pieces[one.piece], pieces[other.piece]
    differ = abs(mine.width_mm - theirs.width_mm)
    loose = LOOSER if length < SEAMLESS_MM else 1.0
    if differ > loose * (WIDTH_MM + WIDTH_SHARE * mine.width_mm):
        return None
    shades = [lab_of_linear_rgb(np.clip(piece.rgb, 0, 1)) for piece in (mine, theirs)]
    apart = float(np.linalg.norm(np.median(shades[0], axis=0) - np.median(shades[1], axis=0)))
    if apart > COLOUR + FLECKS * max(_change(shade) for shade in shades):
        return None
    if length > 1.0 and not _is_covered(one.point, other.point, lying):
        return None
    return length + turn / 2 + 5 * aside + 10 * differ + apart / 2


def _change(lab: Floats) -> float:
    """How much a piece's colour changes along it, L*a*b*."""
    return float(np.linalg.norm(lab - np.median(lab, axis=0), axis=1).mean())


def _is_covered(start: Points, end: Points, lying: Foreground) -> bool:
    """Whether something lies all along from one end to the other."""
    points = start + np.linspace(0, 1, 40)[:, None] * (end - start)
    return bool(np.mean(lying.lies_at(points)) > COVERED)


def _chains(pieces: list[Piece], partner: dict[tuple[int, bool], _End]) -> list[list[Piece]]:
    """Follow the partners from one free end to the other."""
    left = set(range(len(pieces)))
    chains = []
    # a ring has no free end; it is entered anywhere, last
    starts = [(n, last) for n in left for last in (False, True) if (n, last) not in partner]
    starts += [(n, False) for n in left]
    for start, free_last in starts:
        if start not in left:
            continue
        number, entered_last = start, free_last
        chain = []
        while number in left:
            left.remove(number)
            chain.append(_turned(pieces[number]) if entered_last else pieces[number])
            following = partner.get((number, not entered_last))
            if following is None:
                break
            number, entered_last = following.piece, following.last
        chains.append(chain)
    return chains


def _turned(piece: Piece) -> Piece:
    """The same piece, running the other way."""
    return Piece(
        line_mm=piece.line_mm[::-1],
        low_mm=-piece.high_mm[::-1],
        high_mm=-piece.low_mm[::-1],
        rgb=piece.rgb[::-1],
        doubt_mm=piece.doubt_mm[::-1],
        doubled=piece.doubled,
    )
