"""A hooked sample, from which her own use of wool is reckoned."""

from __future__ import annotations

from dataclasses import dataclass

from plaidcut.cutting.cuts import Cut
from plaidcut.rug.coverage import (
    Multiplier,
    multiplier_from_strips,
    multiplier_from_weight,
    multiplier_of,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A hooked square and the wool in it."""

    cut: Cut
    hooked_mm2: float
    wool_mm2: float

    @property
    def multiplier(self) -> float:
        """Wool over hooked area."""
        return self.wool_mm2 / self.hooked_mm2

    @property
    def published(self) -> Multiplier:
        """What pages say of that cut."""
        return multiplier_of(self.cut)


def sample_from_strips(cut: Cut, length_mm: float, *, hooked_mm2: float) -> Sample:
    """A sample hooked from strips of some length in all; UsageError as by the multiplier."""
    figure = multiplier_from_strips(length_mm, cut_mm=cut.width_mm, hooked_mm2=hooked_mm2)
    return Sample(cut=cut, hooked_mm2=hooked_mm2, wool_mm2=figure * hooked_mm2)


def sample_from_weight(
    cut: Cut, piece_mm2: float, *, before_g: float, after_g: float, hooked_mm2: float
) -> Sample:
    """A sample from a piece weighed before and after; UsageError as by the multiplier."""
    figure = multiplier_from_weight(
        piece_mm2, before_g=before_g, after_g=after_g, hooked_mm2=hooked_mm2
    )
    return Sample(cut=cut, hooked_mm2=hooked_mm2, wool_mm2=figure * hooked_mm2)
