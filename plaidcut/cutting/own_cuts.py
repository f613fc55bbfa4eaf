"""What her own cutter really cuts, as she types it."""

from __future__ import annotations

import re

from plaidcut.cutting.cuts import check_cut_width
from plaidcut.errors import UsageError
from plaidcut.units import parse_length


def parse_width(text: str) -> tuple[str, float]:
    """Read a cut and its width: ``8 = 6.1 mm``.

    Raises
    ------
    UsageError, BadLength
        If it can't be read, or no strip has that width.

    Examples
    --------
    >>> parse_width("#8 = 6.1 mm")
    ('8', 6.1)
    """
    name, width = _parted(text, '--set "8 = 6.1 mm"')
    width_mm = parse_length(width)
    check_cut_width(width_mm, width)
    return name, width_mm


def parse_laid(text: str) -> tuple[str, float]:
    """Read strips laid side by side, and how wide they are together: ``10 of 8 = 2 3/8 in``.

    Returns
    -------
    str, float
        The cut's name, and the width of one strip in mm.

    Raises
    ------
    UsageError, BadLength
        If it can't be read, or no strip has that width.

    Examples
    --------
    >>> parse_laid("10 of #8 = 61 mm")
    ('8', 6.1)
    """
    example = '--laid "10 of 8 = 61 mm"'
    strips, width = _parted(text, example)
    match = re.fullmatch(r"(\d+)\s+of\s+#?(.+)", strips)
    if match is None or int(match[1]) < LEAST_LAID:
        msg = f'"{text}" is not {LEAST_LAID} strips or more of a cut.'
        raise UsageError(msg, hint=f"Write {example}: more strips tell their width better.")
    width_mm = parse_length(width) / int(match[1])
    check_cut_width(width_mm, f"{width} over {match[1]}")
    return match[2].strip(), width_mm


def parse_photo(text: str) -> tuple[str, str]:
    """Read a cut and the file of a photo of its strips: ``8 = strips.jpg``.

    Raises
    ------
    UsageError
        If it can't be read.

    Examples
    --------
    >>> parse_photo("#8 = strips.jpg")
    ('8', 'strips.jpg')
    """
    return _parted(text, '--photo "8 = strips.jpg"')


LEAST_LAID = 5
"""Strips that must lie side by side: reading a ruler to 1/32 in then tells a width to 0.2 mm."""


def parse_per_pass(text: str) -> tuple[str, int]:
    """Read a cut and how many strips its head slits at once: ``8 = 3``.

    Raises
    ------
    UsageError
        If it can't be read.
    """
    name, count = _parted(text, '--per-pass "8 = 3"')
    if not count.isdecimal() or not 1 <= int(count) <= MOST_AT_ONCE:
        msg = f'"{text}" says no number of strips from 1 to {MOST_AT_ONCE}.'
        raise UsageError(msg, hint="Count the wheels of the head, less one.")
    return name, int(count)


MOST_AT_ONCE = 20
"""More strips no head slits at once (chosen here)."""


def _parted(text: str, example: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        msg = f'"{text}" is not a cut and what is set of it.'
        raise UsageError(msg, hint=f"Write {example}.")
    return name.strip().removeprefix("#"), value.strip()
