"""Setts: the order of bands that a cloth repeats."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


def unfold(half: Sequence[T]) -> tuple[T, ...]:
    """The whole repeat of a mirrored sett, of which the part from pivot to pivot is given.

    The two pivots stand once in a repeat, at their full width: n bands make 2n - 2.

    Examples
    --------
    >>> "".join(unfold("abc"))
    'abcb'
    """
    return (*half, *half[-2:0:-1])
