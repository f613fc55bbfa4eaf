"""Can strips be sorted by colour? How much of the colour's variation lies between them.

The intraclass share of a one-way analysis of variance in CIE L*a*b*: the variance of the strips'
means over that and the variance within strips, pieces of a strip being as long as a loop uses.
High: a strip is one colour and the next another, they can be sorted. Low: they all read alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.pictures.strip_cuts import CutStrips
from plaidcut.stripes.colour import lab_of_linear_rgb

PIECE_MM: Final = 5.0
"""Length of a piece of strip that is looked at: about what one loop shows (chosen here)."""

SORTS_FROM: Final = 0.6
"""Share from which strips sort well ..."""

ALIKE_BELOW: Final = 0.25
"""... and below which they read alike (both chosen here, by looking at rendered cloths)."""


SEEN_APART: Final = 2.0
"""Strips that differ by less read alike, however little they vary within (chosen here: twice what
is just seen side by side, CIE 1976)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sortable:
    """How well strips of a cut and direction can be sorted."""

    share: float
    """Variation between strips over all variation, 0..1."""
    apart: float
    """Standard deviation between the strips' means, L*, a* and b* together."""

    @property
    def spoken(self) -> str:
        """In words."""
        if self.share < ALIKE_BELOW or self.apart < SEEN_APART:
            return "strips all read alike"
        if self.share >= SORTS_FROM:
            return "strips differ: sort them by colour"
        return "some sorting is possible"


def sortable(strips: CutStrips) -> Sortable | None:
    """How well strips can be sorted; None where there are fewer than three.

    Notes
    -----
    With k strips of n pieces, MSB and MSW the mean squares between and within strips, summed over
    L*, a* and b*, the intraclass share is (MSB - MSW) / (MSB + (n - 1) MSW), at least 0 (Shrout
    and Fleiss 1979, doi:10.1037/0033-2909.86.2.420, case 1; n as for unequal groups).
    """
    step = max(1, round(PIECE_MM / strips.step_mm))
    groups = []
    for along in strips.along():
        count = len(along) // step
        if count >= 2:
            pieces = along[: count * step].reshape(count, step, 3).mean(axis=1)
            groups.append(lab_of_linear_rgb(pieces))
    if len(groups) < 3:
        return None
    sizes = np.array([len(group) for group in groups])
    means = np.array([group.mean(axis=0) for group in groups])
    grand = np.average(means, axis=0, weights=sizes)
    between = float((sizes[:, None] * (means - grand) ** 2).sum()) / (len(groups) - 1)
    within = float(sum(((g - m) ** 2).sum() for g, m in zip(groups, means, strict=True)))
    within /= max(1, int((sizes - 1).sum()))
    n = (sizes.sum() - (sizes**2).sum() / sizes.sum()) / (len(groups) - 1)
    whole = between + (n - 1) * within
    return Sortable(
        share=max(0.0, (between - within) / whole) if whole > 0 else 0.0,
        apart=float(np.sqrt(((means - grand) ** 2).sum(axis=1).mean())),
    )
