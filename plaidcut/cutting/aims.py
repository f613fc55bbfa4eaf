"""What a cutting plan is good for, and which of two plans is the better."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from plaidcut.errors import UsageError


class Aim(StrEnum):
    """What a plan is good for."""

    WHOLE = "whole"
    """The most strips that hold a wanted stripe whole."""
    ONE_COLOUR = "one-colour"
    """The most strips of nothing but a wanted band."""
    HEADS = "heads"
    """The fewest changes of the cutter's head."""
    TEARS = "tears"
    """The fewest tears and trims."""
    WASTE = "waste"
    """The least cloth that goes into no strip."""


ORDER: Final = tuple(Aim)
"""The order in which aims are held, unless she chooses another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How far a plan reaches each aim."""

    whole: int
    one_colour: int
    heads: int
    """Changes of the head."""
    tears: int
    """Tears and trims."""
    waste_mm: float

    def ranked(self, order: Sequence[Aim]) -> tuple[float, ...]:
        """The same as numbers of which larger are better, in an order of aims."""
        worth = {
            Aim.WHOLE: self.whole,
            Aim.ONE_COLOUR: self.one_colour,
            Aim.HEADS: -self.heads,
            Aim.TEARS: -self.tears,
            Aim.WASTE: -round(self.waste_mm * 1000),
        }
        return tuple(worth[aim] for aim in order)


def parse_order(text: str) -> tuple[Aim, ...]:
    """Read an order of aims; those that aren't named follow in the usual order.

    Raises
    ------
    UsageError
        If a word is no aim, or comes twice.

    Examples
    --------
    >>> [aim.value for aim in parse_order("waste, whole")]
    ['waste', 'whole', 'one-colour', 'heads', 'tears']
    """
    words = [word.strip().lower().replace("color", "colour") for word in text.split(",")]
    known = [aim.value for aim in ORDER]
    for word in words:
        if word not in known or words.count(word) > 1:
            fault = "comes twice" if word in known else "is no aim"
            msg = f'In the order "{text}", "{word}" {fault}.'
            raise UsageError(msg, hint=f"Write some of {', '.join(known)}, with commas between.")
    first = tuple(Aim(word) for word in words)
    return first + tuple(aim for aim in ORDER if aim not in first)
