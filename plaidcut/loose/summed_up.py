"""From the pieces of each strip to its width, its colour, and what is odd about it."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from plaidcut.loose.ends import ends_on_ground
from plaidcut.loose.ground import Foreground
from plaidcut.loose.middle import LINE_STEP_MM
from plaidcut.loose.pieces import Piece
from plaidcut.loose.strips import LooseStrip, Odd
from plaidcut.loose.unrolled import Floats, normals_of
from plaidcut.scale.plane import Points, Scale
from plaidcut.stripes.colour import colour_of_linear_rgb, lab_of_linear_rgb
from plaidcut.stripes.records import LENS_REACH, WHITE_REFLECTANCE

LEAST_LENGTH_MM: Final = 40.0
"""Shorter bits aren't strips: nobody hooks with them, and flowers of a tablecloth or a board's edge
may look like one for so long (chosen here) ..."""
LEAST_LONG: Final = 2.5
"""... nor is what isn't so many times as long as it is wide."""
ALONGSIDE_MM: Final = 10.0
"""Strips that lie against each other for so long lie side by side."""
END_ROWS: Final = 4
"""Rows at the ends of a piece, 2 mm, that its corners may spoil."""
ALONE_MM: Final = 4.0
"""Widths this far apart along a strip err each on its own (yarns, fibres)."""
EDGE_STD_MM: Final = 0.04
EDGE_STD_PX: Final = 0.1
"""What both edges of a strip are off by together, all along: how wool rounds off and its fibres
reach out, and JPEG's halved colour (measured on rendered photos)."""
VARYING: Final = 0.05
VARYING_MM: Final = 0.3
"""Half of how far the widest and the narrowest tenth of a strip lie apart, over its width and
outright, from which its width counts as varying."""
NOTCH_MM: Final = 0.3
NOTCHED: Final = (0.06, 0.5)
"""An edge that falls back by a yarn over this share of its length has ravelled."""
STEEP_ROWS: Final = 5
"""It falls back within 2.5 mm; a strip that was fed askew swells and shrinks more slowly."""
SMOOTH_ROWS: Final = 121
LEAST_SEEN: Final = 0.5
FLECKED: Final = 7.0
"""Change of colour along a strip (mean L*a*b* distance from its median) that flecks make."""
BARE_BESIDE: Final = 0.5
OUT_MM: Final = 4.0
"""A strip that lies so much farther out than its neighbour was not cut in one with it."""


def summed_up(
    chains: list[list[Piece]],
    scale: Scale,
    lying: Foreground,
) -> tuple[LooseStrip, ...]:
    """The strips of a photo, numbered from its top down.

    Parameters
    ----------
    chains
        The pieces of each strip, in order.
    scale
        The photo's scale.
    lying
        What lies on the ground.
    """
    middles = [_middle(chain) for chain in chains]
    relative = _relative_std(scale, middles)
    order = sorted(range(len(chains)), key=lambda k: float(scale.to_px(middles[k])[1]))
    doubled = [
        any(piece.doubled for piece in chain) and not _sticks_out(chain, chains, lying)
        for chain in chains
    ]
    return tuple(
        _strip(number, chains[k], scale, lying, relative_std=relative[k], doubled=doubled[k])
        for number, k in enumerate(order, start=1)
    )


def is_strip(chain: list[Piece]) -> bool:
    """Whether enough of it was measured."""
    seen = sum(int(np.isfinite(piece.widths_mm).sum()) for piece in chain) * LINE_STEP_MM
    width = float(np.nanmedian(np.concatenate([piece.widths_mm for piece in chain])))
    return seen >= max(LEAST_LENGTH_MM, LEAST_LONG * width)


def _sticks_out(chain: list[Piece], chains: list[list[Piece]], lying: Foreground) -> bool:
    """Whether a strip, or the one beside it, goes on where the other has ended on bare ground."""
    from scipy.spatial import cKDTree

    mine = np.concatenate([piece.line_mm for piece in chain])
    width = float(np.nanmedian(np.concatenate([piece.widths_mm for piece in chain])))
    beside = []
    for other in chains:
        if other is chain:
            continue
        theirs = np.concatenate([piece.line_mm for piece in other])
        their_width = float(np.nanmedian(np.concatenate([piece.widths_mm for piece in other])))
        apart = (width + their_width) / 2
        away = np.asarray(cKDTree(theirs).query(mine)[0])
        if np.sum(away < apart + 1.0) * LINE_STEP_MM < ALONGSIDE_MM:
            continue
        back = np.asarray(cKDTree(mine).query(theirs)[0])
        beside.append(
            _goes_on(mine, theirs, away, apart, lying) or _goes_on(theirs, mine, back, apart, lying)
        )
    return bool(beside) and all(beside)


def _goes_on(line: Points, other: Points, away: Floats, apart: float, lying: Foreground) -> bool:
    """Whether a line goes on past its neighbour with bare ground where that would lie."""
    from scipy.spatial import cKDTree

    out = away > np.hypot(apart, OUT_MM)
    if out.sum() * LINE_STEP_MM < OUT_MM / 2:
        return False
    normals = normals_of(line)
    by = away < apart + 1.0
    if not by.any():
        return False
    _, nearest = cKDTree(other).query(line[by])
    side = np.sign(np.median(np.sum((other[nearest] - line[by]) * normals[by], axis=1)))
    return bool(lying.bare_at(line[out] + side * apart * normals[out]).mean() > BARE_BESIDE)


def _middle(chain: list[Piece]) -> Points:
    """The point (2,) half way along."""
    line = np.concatenate([piece.line_mm for piece in chain])
    return np.asarray(line[len(line) // 2])


def _relative_std(scale: Scale, middles: list[Points]) -> Floats:
    """Relative standard uncertainty of the scale at each strip."""
    if not middles:
        return np.empty(0)
    away = scale.anchors_relative_std_at(scale.to_px(np.array(middles)))
    return np.sqrt(scale.relative_std**2 + away**2 + (LENS_REACH * scale.lens_std) ** 2)


def _strip(
    number: int,
    chain: list[Piece],
    scale: Scale,
    lying: Foreground,
    *,
    relative_std: float,
    doubled: bool,
) -> LooseStrip:
    """One strip from its pieces."""
    widths, doubts = _true_widths(chain)
    usual = float(np.median(widths))
    low, high = np.quantile(widths, [0.1, 0.9])
    spread = float(1.4826 * np.median(np.abs(widths - usual)))
    alone = max(1.0, len(widths) * LINE_STEP_MM / ALONE_MM)
    edge = np.hypot(EDGE_STD_MM, EDGE_STD_PX / scale.px_per_mm)
    own = float(np.linalg.norm([1.2533 * spread / np.sqrt(alone), edge, np.median(doubts)]))
    rgb = np.concatenate([piece.rgb for piece in chain])
    rgb = rgb[np.isfinite(rgb).all(axis=1)]
    lab = lab_of_linear_rgb(np.clip(rgb, 0, 1))
    change = float(np.linalg.norm(lab - np.median(lab, axis=0), axis=1).mean())
    middle = scale.to_px(_middle(chain))
    odd = []
    if (high - low) / 2 > max(VARYING_MM, VARYING * usual):
        odd.append(Odd.VARYING)
    if any(_is_notched(piece) for piece in chain):
        odd.append(Odd.RAVELLED)
    if doubled:
        odd.append(Odd.SIDE_BY_SIDE)
    seen = np.concatenate([np.isfinite(piece.widths_mm) for piece in chain])
    ends = sum(ends_on_ground(chain[k], lying, last=last) for k, last in ((0, False), (-1, True)))
    if seen.mean() < LEAST_SEEN:
        odd.append(Odd.LITTLE_SEEN)
    return LooseStrip(
        number=number,
        width_mm=usual,
        spread_mm=spread,
        width_std_mm=float(np.hypot(own, relative_std * usual)),
        width_own_std_mm=own,
        length_mm=_length(chain),
        ends_seen=ends,
        reads=colour_of_linear_rgb(rgb.mean(axis=0) * _to_reflectance(scale)),
        flecked=change > FLECKED,
        odd=tuple(odd),
        outlines_px=tuple(scale.to_px(_outline(piece)) for piece in chain),
        middle_px=(float(middle[0]), float(middle[1])),
    )


def _true_widths(chain: list[Piece]) -> tuple[Floats, Floats]:
    """Widths (N,) along a strip, its very ends left out, and the doubt its thickness leaves."""
    widths, doubts = [], []
    for piece in chain:
        seen = piece.widths_mm.copy()
        if len(seen) > 4 * END_ROWS:
            seen[:END_ROWS] = seen[-END_ROWS:] = np.nan
        good = np.isfinite(seen)
        widths.append(seen[good])
        doubts.append(piece.doubt_mm[good])
    return np.concatenate(widths), np.concatenate(doubts)


def _is_notched(piece: Piece) -> bool:
    """Whether an edge falls back again and again by about a yarn."""
    from scipy.ndimage import median_filter

    for edge, outwards in ((piece.low_mm, -1.0), (piece.high_mm, 1.0)):
        good = np.isfinite(edge)
        if good.sum() < SMOOTH_ROWS / 2:
            continue
        place = outwards * edge[good]
        usual = median_filter(place, min(SMOOTH_ROWS, len(place)), mode="nearest")
        share = float(np.mean(usual - place > NOTCH_MM))
        steep = np.abs(place[STEEP_ROWS:] - place[:-STEEP_ROWS]).max() > NOTCH_MM
        if steep and NOTCHED[0] < share < NOTCHED[1]:
            return True
    return False


def _length(chain: list[Piece]) -> float:
    """Length of the pieces, and of the gaps between them."""
    gaps = sum(
        float(np.linalg.norm(after.line_mm[0] - before.line_mm[-1]))
        for before, after in pairwise(chain)
    )
    return sum(piece.length_mm for piece in chain) + gaps


def _outline(piece: Piece) -> Points:
    """Both edges of a piece as one polygon (N, 2) on the plane."""
    good = np.isfinite(piece.widths_mm)
    line, normals = piece.line_mm[good], normals_of(piece.line_mm)[good]
    low = line + piece.low_mm[good, None] * normals
    high = line + piece.high_mm[good, None] * normals
    return np.concatenate([low, high[::-1]])


def _to_reflectance(scale: Scale) -> Floats:
    """Factor (3,) from linear light to reflectance, by the card's white."""
    if scale.white is None:
        return np.ones(3)
    return WHITE_REFLECTANCE / np.asarray(scale.white)
