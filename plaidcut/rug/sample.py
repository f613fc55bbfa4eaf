"""A hooked sample, from which her own use of wool is reckoned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plaidcut.cutting.cuts import Cut
from plaidcut.errors import UsageError
from plaidcut.rug.coverage import (
    Multiplier,
    multiplier_from_strips,
    multiplier_from_weight,
    multiplier_of,
)
from plaidcut.units import parse_length, parse_size, parse_weight

MOST_DIGITS = 6
"""Of a number of strips."""


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
        """What others take in that cut."""
        return multiplier_of(self.cut)


def sample_from_strips(cut: Cut, length_mm: float, *, hooked_mm: tuple[float, float]) -> Sample:
    """A sample of some size hooked from strips of a length in all; UsageError if it can't be."""
    hooked_mm2 = hooked_mm[0] * hooked_mm[1]
    figure = multiplier_from_strips(length_mm, cut_mm=cut.width_mm, hooked_mm2=hooked_mm2)
    return Sample(cut=cut, hooked_mm2=hooked_mm2, wool_mm2=figure * hooked_mm2)


def sample_from_weight(
    cut: Cut,
    piece_mm: tuple[float, float],
    *,
    before_g: float,
    after_g: float,
    hooked_mm: tuple[float, float],
) -> Sample:
    """A sample from a piece weighed before and after; UsageError if it can't be."""
    hooked_mm2 = hooked_mm[0] * hooked_mm[1]
    figure = multiplier_from_weight(
        piece_mm[0] * piece_mm[1], before_g=before_g, after_g=after_g, hooked_mm2=hooked_mm2
    )
    return Sample(cut=cut, hooked_mm2=hooked_mm2, wool_mm2=figure * hooked_mm2)


def parse_strips(texts: Sequence[str]) -> float:
    """Length of strips that were typed, all together: ``11 of 16 in``, ``81 in``.

    Raises
    ------
    UsageError, BadLength
        If one can't be read.
    """
    total_mm = 0.0
    for text in texts:
        count, of, length = text.partition(" of ")
        if of and not (count.strip().isdecimal() and len(count.strip()) <= MOST_DIGITS):
            msg = f'"{text}" is no number of strips.'
            raise UsageError(msg, hint='Write "11 of 16 in", or their length in all: "81 in".')
        total_mm += int(count) * parse_length(length) if of else parse_length(text)
    return total_mm


def sample_of(
    cut: Cut,
    hooked: str | None,
    *,
    strips: Sequence[str],
    weighed: tuple[str | None, str | None, str | None],
) -> Sample:
    """The hooked sample that was typed.

    Raises
    ------
    UsageError, BadLength
        If its area is missing, or its wool is given in no way or in two.
    """
    if hooked is None:
        msg = "The hooked area is missing."
        raise UsageError(msg, hint='Give its size: --hooked "3 in x 3 in".')
    size_mm = parse_size(hooked)
    piece, before, after = weighed
    if bool(strips) == any(weighed):
        msg = "The wool is known by the length of its strips, or by weight."
        hint = 'Give --strips "11 of 16 in"; or --piece, --before and --after.'
        raise UsageError(msg, hint=hint)
    if strips:
        return sample_from_strips(cut, parse_strips(strips), hooked_mm=size_mm)
    if piece is None or before is None or after is None:
        msg = "Wool by weight needs the piece's size and two weights."
        raise UsageError(msg, hint='Give --piece "8 x 10 in" --before "40 g" --after "22 g".')
    return sample_from_weight(
        cut,
        parse_size(piece),
        before_g=parse_weight(before),
        after_g=parse_weight(after),
        hooked_mm=size_mm,
    )
