"""Pixel coordinates of a photo that somebody typed."""

from __future__ import annotations

import math

from plaidcut.errors import UsageError


def parse_numbers_px(text: str, count: int, *, example: str) -> tuple[float, ...]:
    """Read pixel coordinates separated by commas.

    Parameters
    ----------
    text
        What was typed: ``120,340``.
    count
        How many numbers there must be.
    example
        What it should look like, for the error.

    Raises
    ------
    UsageError
        If these aren't that many finite numbers.
    """
    try:
        numbers = tuple(float(part) for part in text.split(","))
    except ValueError:
        numbers = ()
    if len(numbers) != count or not all(map(math.isfinite, numbers)):
        msg = f'"{text}" is not {count} pixel coordinates separated by commas.'
        raise UsageError(msg, hint=f"Write them like {example}, without spaces.")
    return numbers


def parse_points_px(text: str, *, least: int, example: str) -> tuple[tuple[float, float], ...]:
    """Read points of a photo, separated by blanks.

    Parameters
    ----------
    text
        What was typed: ``120,340 980,355``.
    least
        How many there must be at least.
    example
        What it should look like, for the error.

    Raises
    ------
    UsageError
        If these aren't that many points.
    """
    typed = text.split()
    if len(typed) < least:
        msg = f'"{text}" is not {least} points or more, separated by blanks.'
        raise UsageError(msg, hint=f"Write them like {example}.")
    points = (parse_numbers_px(each, 2, example=example) for each in typed)
    return tuple((x, y) for x, y in points)
