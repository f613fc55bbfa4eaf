"""From cuts to a sequence of bands: where the repeat starts, and whether it mirrors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plaidcut.stripes.fold import Folded
from plaidcut.stripes.profile import Floats, Profile, lab_of
from plaidcut.stripes.segment import Cuts

MIRROR_WIDTH_MM = 0.35
"""Two bands that mirror each other may differ by this much, plus
:data:`MIRROR_WIDTH_SHARE` of their width."""
MIRROR_WIDTH_SHARE = 0.06
MIRROR_COLOUR = 7.0
"""... and by this much in CIE L*a*b* over a dark crossing."""
EDGE_FLOOR_MM = 0.05
"""An edge seen once is no surer than a small part of a yarn."""
OCCURRENCE_REACH_MM = 1.2
"""Around an edge, what counts when it is placed anew in each repeat."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sequence:
    """The bands of one repeat in order, or of all that is seen."""

    edges_mm: Floats
    """Start of each band (B,) on the profile's phase; without a repeat the inner edges (B - 1,)."""
    widths_mm: Floats
    """(B,)."""
    width_std_mm: Floats
    """Edges' own standard uncertainty (B,)."""
    levels: Floats
    """Linear light (B, 3): the system's share of each band."""
    mirrored: bool


def pivots(widths_mm: Floats, lab: Floats) -> tuple[int, int] | None:
    """The two bands about which a circular sequence mirrors, the wider first; None if it doesn't.

    Two-band repeats mirror by nature and do not count.
    """
    count = len(widths_mm)
    if count < 4 or count % 2:
        return None
    best: tuple[float, int] | None = None
    for pivot in range(count // 2):
        offset = np.arange(1, count // 2)
        left, right = (pivot - offset) % count, (pivot + offset) % count
        width = np.abs(widths_mm[left] - widths_mm[right])
        limit = MIRROR_WIDTH_MM + MIRROR_WIDTH_SHARE * (widths_mm[left] + widths_mm[right]) / 2
        colour = np.linalg.norm(lab[left] - lab[right], axis=1)
        if (width <= limit).all() and (colour <= MIRROR_COLOUR).all():
            unlike = float((width / limit).sum() + (colour / MIRROR_COLOUR).sum())
            if best is None or unlike < best[0]:
                best = (unlike, pivot)
    if best is None:
        return None
    ends = (best[1], best[1] + count // 2)
    return ends if widths_mm[ends[0]] >= widths_mm[ends[1]] else (ends[1], ends[0])


def repeat_sequence(cuts: Cuts, folded: Folded, shifts: Floats) -> Sequence:
    """Order the bands of a repeat; ``shifts`` (E, repeats) from :func:`edge_shifts`.

    A mirrored repeat starts at its wider pivot, and bands that mirror each other
    share their mean width and colour; any other starts at its widest band.
    """
    edges = cuts.edges_mm
    widths = np.diff(edges, append=edges[0] + folded.repeat_mm)
    each = np.roll(shifts, -1, axis=0) - shifts
    seen = np.isfinite(each).sum(axis=1)
    mean = np.nansum(each, axis=1) / np.maximum(seen, 1)
    scatter = np.sqrt(np.nansum((each - mean[:, None]) ** 2, axis=1) / np.maximum(seen, 1))
    pooled = float(np.median(scatter[seen > 0])) if (seen > 1).any() else 0.05
    scatter = np.where(seen > 2, scatter, pooled)
    noise = np.hypot(cuts.edge_std_mm, np.roll(cuts.edge_std_mm, -1))
    # the fold's noise and the scatter from repeat to repeat tell of the same yarns
    std = np.maximum(noise, np.hypot(scatter, 0.5 * pooled) / np.sqrt(np.maximum(seen, 1)))
    levels = cuts.levels
    ends = pivots(widths, lab_of(levels + folded.crossing))
    if ends is None:
        order = (int(widths.argmax()) + np.arange(len(widths))) % len(widths)
    else:
        count = len(widths)
        offset = np.arange(count)
        order, partner = (ends[0] + offset) % count, (ends[0] - offset) % count
        paired = (widths[order] + widths[partner]) / 2
        widths, levels, std = widths.copy(), levels.copy(), std.copy()
        widths[order] = paired
        levels[order] = (cuts.levels[order] + cuts.levels[partner]) / 2
        both = np.sqrt(std[order] ** 2 + std[partner] ** 2) / 2
        std[order] = np.where(order == partner, std[order], both)
    return Sequence(
        edges_mm=edges[order],
        widths_mm=widths[order],
        width_std_mm=std[order],
        levels=levels[order],
        mirrored=ends is not None,
    )


def edge_shifts(profile: Profile, folded: Folded, edges_mm: Floats) -> Floats:
    """How far each occurrence of each edge lies from its place in the fold, (E, repeats) mm."""
    at = profile.position_mm
    phase = folded.phase_mm(at)
    lab = profile.lab
    first = int(np.floor(phase[0] / folded.repeat_mm))
    last = int(np.ceil(phase[-1] / folded.repeat_mm))
    shifts = np.full((len(edges_mm), last - first), np.nan)
    period = np.arange(len(folded.share) + 1) * folded.step_mm
    template = np.concatenate([folded.lab, folded.lab[:1]])
    slope = np.gradient(template, folded.step_mm, axis=0)
    for e, edge in enumerate(edges_mm):
        for r in range(first, last):
            target = edge + r * folded.repeat_mm
            near = (np.abs(phase - target) < OCCURRENCE_REACH_MM) & profile.seen
            if near.sum() < 0.9 * 2 * OCCURRENCE_REACH_MM / profile.step_mm - 1:
                continue
            within = phase[near] % folded.repeat_mm
            expected = np.stack([np.interp(within, period, c) for c in template.T], axis=1)
            steep = np.stack([np.interp(within, period, c) for c in slope.T], axis=1)
            left = lab[near] - expected
            left = left - left.mean(axis=0)
            steep = steep - steep.mean(axis=0)
            shifts[e, r - first] = np.clip(-(left * steep).sum() / (steep**2).sum(), -0.5, 0.5)
    return shifts


def plain_sequence(cuts: Cuts, profile: Profile) -> Sequence:
    """All bands that are seen, in order; the first and last run on beyond what is seen."""
    low, high = profile.position_mm[np.flatnonzero(profile.seen)[[0, -1]]]
    start = profile.position_mm[profile.surely_seen[0]]
    bounds = np.concatenate([[low], start + cuts.edges_mm, [high]])
    noise = np.concatenate([[0.0], cuts.edge_std_mm, [0.0]])
    return Sequence(
        edges_mm=bounds[1:-1],
        widths_mm=np.diff(bounds),
        width_std_mm=np.hypot(np.hypot(noise[:-1], noise[1:]), EDGE_FLOOR_MM),
        levels=cuts.levels,
        mirrored=False,
    )
