"""Which stripes the eye picks out: single bands, and stripes with their guards.

A band is **bold** by three things, each 0..1, multiplied:

- *contrast*: ``1 - exp(-ΔE / 10)``, ΔE the smaller of its CIEDE2000 differences to the
  two neighbours, as they read on the cloth;
- *rarity*: ``sqrt(max(0, 1 - 2·share))``, share the part of the repeat that is of its colour:
  a ground, half of the cloth or more, is never bold;
- *width*: ``1 - exp(-width / 1 mm)``: a line one thread wide is seen less than a broad one.

Narrow bands that stand together between two broad ones are seen as one stripe: a line
with its guards, a pair of lines. Such a **group** is the same from either side, holds bands
each at most half as wide as either band beside the group, and is at most 1 in wide in all. It
is as bold as its boldest member (whose contrast to the bands beside the group counts if it is
the greater), with the width of the whole. Of its members only the boldest is named besides.

The figures 10, 2, 1 mm and a half were chosen here on drawn setts; they have no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.stripes.colour import Floats
from plaidcut.stripes.measurement import Band, Stripe
from plaidcut.stripes.runs import SAME_COLOUR, alike, differences, occurrences

CONTRAST_SCALE: Final = 10.0
"""CIEDE2000 at which contrast is at 63 %."""

WIDTH_SCALE_MM: Final = 1.0
"""Width at which a band is seen at 63 %: less than two threads of a flannel."""

GUARD_SHARE: Final = 0.5
"""A member of a group is at most this share of the bands beside the group."""

WIDEST_GROUP_MM: Final = 25.4
"""Wider than any strip, torn ones too: nobody can keep such a group whole."""

LEAST_BOLD: Final = 0.5
"""What is less bold isn't named."""

MOST_STRIPES: Final = 6
"""How many are named in one thread direction."""


@dataclass(frozen=True, slots=True)
class _Run:
    """A candidate: ``length`` bands from index ``first`` on."""

    first: int
    length: int
    bold: float


def bold_stripes(bands: Sequence[Band], *, circular: bool) -> tuple[Stripe, ...]:
    """The bold stripes of one thread direction, the boldest first.

    Parameters
    ----------
    bands
        One repeat, or all that is seen; partial bands are looked at, but never named.
    circular
        Whether the last band is followed by the first (the bands are one repeat).

    Returns
    -------
    tuple of Stripe
        Each stripe of the repeat once, its first occurrence; at most
        :data:`MOST_STRIPES`. See the module's text for the formula.
    """
    if len(bands) < 2:
        return ()
    apart = differences(bands, bands)
    width = np.array([band.width_mm for band in bands])
    alone = [k for k in range(len(bands)) if not bands[k].partial]
    rarity = _rarity(apart, width)
    singles = [_single(k, apart, width, rarity, circular=circular) for k in alone]
    groups = _groups(bands, apart, rarity, circular=circular)
    chosen = _each_once(groups, bands, circular=circular)
    members = {k: run for run in chosen for k in _everywhere(run, bands, circular=circular)}
    boldest = {
        run: max(
            (s for s in singles if members.get(s.first) == run),
            key=lambda single: single.bold,
            default=None,
        )
        for run in chosen
    }
    left = [s for s in singles if s.first not in members or s == boldest[members[s.first]]]
    chosen += _each_once(left, bands, circular=circular)
    chosen.sort(key=lambda run: (-run.bold, run.first, -run.length))
    return tuple(
        Stripe(bands=tuple(bands[k].id for k in _indices(run, len(bands))), bold=round(run.bold, 4))
        for run in chosen[:MOST_STRIPES]
        if run.bold >= LEAST_BOLD
    )


def _rarity(apart: Floats, width: Floats) -> Floats:
    """How rare each band's colour is in the repeat, (N,)."""
    share = (apart <= SAME_COLOUR) @ width / width.sum()
    return np.asarray(np.sqrt(np.maximum(0.0, 1 - 2 * share)))


def _seen_width(width_mm: float) -> float:
    return float(1 - np.exp(-width_mm / WIDTH_SCALE_MM))


def _contrast(k: int, beside: Sequence[int], apart: Floats) -> float:
    least = min(float(apart[k, other]) for other in beside)
    return float(1 - np.exp(-least / CONTRAST_SCALE))


def _beside(first: int, length: int, count: int, *, circular: bool) -> list[int]:
    """Indices of the bands before and after a run; one at an end of what is seen."""
    before, after = first - 1, first + length
    if circular:
        return [before % count, after % count]
    return [k for k in (before, after) if 0 <= k < count]


def _single(k: int, apart: Floats, width: Floats, rarity: Floats, *, circular: bool) -> _Run:
    beside = _beside(k, 1, len(width), circular=circular)
    bold = _contrast(k, beside, apart) * float(rarity[k]) * _seen_width(float(width[k]))
    return _Run(k, 1, bold)


def _groups(bands: Sequence[Band], apart: Floats, rarity: Floats, *, circular: bool) -> list[_Run]:
    """Every run of narrow bands between two broad ones."""
    count, same = len(bands), alike(bands, bands)
    width = np.array([band.width_mm for band in bands])
    found = []
    for first in range(count):
        for length in range(2, count):
            beside = _beside(first, length, count, circular=circular)
            inside = [(first + k) % count for k in range(length)]
            total = float(width[inside].sum())
            if (
                len(beside) < 2
                or total > WIDEST_GROUP_MM
                or width[inside].max() > GUARD_SHARE * width[beside].min()
                or not same[inside, inside[::-1]].all()
                or any(bands[k].partial for k in inside)
            ):
                continue
            standing = max(
                rarity[k]
                * max(
                    _contrast(k, beside, apart),
                    _contrast(k, _beside(k, 1, count, circular=circular), apart),
                )
                for k in inside
            )
            found.append(_Run(first, length, float(standing) * _seen_width(total)))
    return found


def _each_once(runs: Sequence[_Run], bands: Sequence[Band], *, circular: bool) -> list[_Run]:
    """The boldest runs, none sharing a band with a bolder one or with its other occurrences."""
    taken: set[int] = set()
    kept = []
    for run in sorted(runs, key=lambda run: (-run.bold, run.first, -run.length)):
        places = _everywhere(run, bands, circular=circular)
        if run.bold >= LEAST_BOLD and taken.isdisjoint(places):
            taken |= places
            kept.append(run)
    return kept


def _everywhere(run: _Run, bands: Sequence[Band], *, circular: bool) -> set[int]:
    """Indices of all bands of all occurrences of a run."""
    here = [bands[k] for k in _indices(run, len(bands))]
    starts = occurrences(bands, here, circular=circular)
    return {(start + k) % len(bands) for start in starts for k in range(run.length)}


def _indices(run: _Run, count: int) -> list[int]:
    return [(run.first + k) % count for k in range(run.length)]
