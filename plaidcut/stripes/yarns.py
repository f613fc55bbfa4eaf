"""The yarns' own colours, unmixed from the crossings.

The weave gives each system's share of the light up to one offset (what one system
has more the other has less). It is fixed by the yarns that both systems share, as
most plaids do; among the offsets that would make some pair of bands the same yarn
the one is taken that makes most of the cloth shared, no yarn being darker than
black or brighter than white, and best fits how strongly single yarns show where
two bands cross (not at all where both are of the same yarn).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.profile import Floats, lab_of

SAME_YARN = 6.0
"""CIE L*a*b* difference within which two bands may be of the same yarn."""
BRIGHTEST = 0.95
"""Linear reflectance that no wool exceeds."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Yarns:
    """Own colours of the bands of both systems, linear light."""

    up: Floats
    across: Floats
    sure: bool
    """False when nothing fixes how the light is shared between the systems."""


def unmix(
    up: Floats,
    across: Floats,
    up_width: Floats,
    across_width: Floats,
    grain: NDArray[np.float64] | None = None,
) -> Yarns:
    """Own colours from shares ``up`` (B, 3) and ``across`` (C, 3), linear light.

    ``up_width`` and ``across_width`` weigh the bands; ``grain`` (C, B) tells how
    strongly yarns show at each crossing, nan where unknown.
    """
    offsets = ((across[None] - up[:, None]) / 2).reshape(-1, 3)
    up_share, across_share = up_width / up_width.sum(), across_width / across_width.sum()
    scores = np.array([_score(o, (up, across), (up_share, across_share), grain) for o in offsets])
    best = offsets[int(scores.argmax())]
    own_up, own_across = np.clip(2 * (up + best), 0, 1), np.clip(2 * (across - best), 0, 1)
    same = _same(own_up, own_across)
    distinct = _distinct(own_up[same.any(axis=1)])
    return Yarns(up=own_up, across=own_across, sure=distinct >= 2)


def _same(own_up: Floats, own_across: Floats) -> NDArray[np.bool_]:
    apart = np.linalg.norm(lab_of(own_up)[:, None] - lab_of(own_across)[None], axis=2)
    return np.asarray(apart < SAME_YARN)


def _distinct(colours: Floats) -> int:
    """How many clearly different colours there are in (N, 3) linear light."""
    kept: list[Floats] = []
    for lab in lab_of(colours) if len(colours) else ():
        if all(np.linalg.norm(lab - other) > 2 * SAME_YARN for other in kept):
            kept.append(lab)
    return len(kept)


def _score(
    offset: Floats,
    systems: tuple[Floats, Floats],
    shares: tuple[Floats, Floats],
    grain: NDArray[np.float64] | None,
) -> float:
    """How well an offset agrees with what is known of yarns; the higher the better."""
    (up, across), (up_share, across_share) = systems, shares
    own_up, own_across = 2 * (up + offset), 2 * (across - offset)
    impossible = sum(
        float(np.clip(-own - 0.01, 0, None).sum() + np.clip(own - BRIGHTEST, 0, None).sum())
        for own in (own_up, own_across)
    )
    own_up, own_across = np.clip(own_up, 0, 1), np.clip(own_across, 0, 1)
    apart = np.linalg.norm(lab_of(own_up)[:, None] - lab_of(own_across)[None], axis=2)
    near = np.exp(-0.5 * (apart / (SAME_YARN / 2)) ** 2)
    shared = float(up_share @ near.max(axis=1) + across_share @ near.max(axis=0))
    distinct = _distinct(own_up[(apart < SAME_YARN).any(axis=1)])
    agreement = 0.0
    if grain is not None:
        known = np.isfinite(grain)
        if known.sum() > 2:
            contrast = np.abs(own_up[None] - own_across[:, None]).sum(axis=2)
            agreement = float(np.corrcoef(contrast[known], grain[known])[0, 1])
    return shared + 0.3 * distinct + (0 if np.isnan(agreement) else agreement) - 20 * impossible
