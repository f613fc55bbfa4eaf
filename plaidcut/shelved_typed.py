"""What somebody types of a cloth on the shelf, read and checked: names, days, pieces, widths."""

from __future__ import annotations

import re
import unicodedata
from datetime import date
from typing import Final

from plaidcut.errors import UsageError
from plaidcut.shelved import Pieces, Reserved, Taken
from plaidcut.units import MM_PER_INCH, parse_length, parse_size

LONGEST_NAME: Final = 80
"""Characters of a cloth's name (chosen here: it fits a line)."""

LONGEST_NOTE: Final = 4000
"""Characters of a note, and of anything else typed about a cloth (chosen here)."""

MOST_LISTED: Final = 1000
"""Pieces, cuttings or reservations listed of one cloth, and the most of any count's thousands."""

_OTHER_THAN_WORDS: Final = re.compile(r"[^\w '’.,()+&#–-]")
"""What a name can't hold: marks that make paths, options or markup of it."""

_PIECES: Final = re.compile(r"\s*(?:(\d{1,6})\s+of\s+)?(.+)")

WIDTH_WITHIN_MM: Final = MM_PER_INCH / 16
"""How far off a stripe's width may be where one width is asked for (chosen here)."""


def checked_name(text: str) -> str:
    """A cloth's name as it is kept: blanks single, letters composed.

    Raises
    ------
    UsageError
        If it is empty, too long, or could be taken for a path, an option or markup.

    Examples
    --------
    >>> checked_name("  Harbour   skirt ")
    'Harbour skirt'
    """
    name = unicodedata.normalize("NFC", " ".join(text.split(" "))).strip()
    name = re.sub(" +", " ", name)
    stranger = _OTHER_THAN_WORDS.search(name)
    hint = 'Name it in plain words, such as "Harbour skirt".'
    if not re.search(r"\w", name) or name.startswith("-"):
        msg = f"{text!r} is no name for a cloth."
        raise UsageError(msg, hint=hint)
    if len(name) > LONGEST_NAME:
        msg = f"A cloth's name has up to {LONGEST_NAME} characters, not {len(name)}."
        raise UsageError(msg, hint=hint)
    if stranger is not None:
        msg = f"A cloth's name can't hold {stranger[0]!r}."
        raise UsageError(msg, hint=hint)
    return name


def name_of_file(stem: str) -> str:
    """A name from that of a file without its ending: ``harbour-skirt`` is "harbour skirt"."""
    words = _OTHER_THAN_WORDS.sub(" ", re.sub("[_-]", " ", stem))
    name = " ".join(words.split())[:LONGEST_NAME].strip(" -")
    return checked_name(name if re.search(r"\w", name) else "cloth")


def key_of(name: str) -> str:
    """By what a name is found: capitals, blanks at its ends and ways of encoding don't count."""
    return unicodedata.normalize("NFC", " ".join(name.split())).casefold()


def checked_words(text: str, *, what: str) -> str:
    """Words about a cloth as they are kept.

    Raises
    ------
    UsageError
        If there are too many, or characters that can't be shown.
    """
    words = unicodedata.normalize("NFC", text.replace("\r\n", "\n")).strip()
    if len(words) > LONGEST_NOTE:
        msg = f"The {what} has {len(words)} characters, more than {LONGEST_NOTE}."
        raise UsageError(msg, hint="Say it shorter.")
    if any(unicodedata.category(each) in ("Cc", "Cs", "Cf") for each in words if each != "\n"):
        msg = f"The {what} holds characters that can't be shown."
        raise UsageError(msg, hint="Type it anew.")
    return words


def checked_day(text: str) -> str:
    """A day, typed as ``2026-05-03``.

    Raises
    ------
    UsageError
        If it is none.
    """
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError as error:
        msg = f'"{text}" is not a day.'
        raise UsageError(msg, hint="Write year, month and day: 2026-05-03.") from error


def parse_pieces(text: str) -> Pieces:
    """Read pieces of one size: ``5 of 20 x 14 in``, side to side first.

    Raises
    ------
    UsageError, BadLength
        If they can't be read.

    Examples
    --------
    >>> parse_pieces("5 of 20 x 14 in")
    Pieces(count=5, width_mm=508.0, height_mm=355.6)
    """
    match = _PIECES.fullmatch(text)
    count = int(match[1] or 1) if match else 0
    if match is None or not 0 < count <= MOST_LISTED:
        msg = f'"{text}" is not a number of pieces and their size.'
        raise UsageError(msg, hint='Write "5 of 20 x 14 in".')
    width_mm, height_mm = parse_size(match[2])
    return Pieces(count=count, width_mm=width_mm, height_mm=height_mm)


def parse_reserved(text: str) -> Reserved:
    """Read what is kept for a rug: ``the hearth rug = 40 strips``; all of it without a number.

    Raises
    ------
    UsageError
        If it can't be read.

    Examples
    --------
    >>> parse_reserved("the hearth rug = 40 strips")
    Reserved(rug='the hearth rug', strips=40)
    """
    rug, equals, much = text.partition("=")
    match = re.fullmatch(r"\s*(\d{1,6})\s*(?:strips?)?\s*", much)
    if not rug.strip() or (equals and match is None):
        msg = f'"{text}" is not a rug and a number of strips.'
        raise UsageError(msg, hint='Write "the hearth rug = 40 strips", or the rug alone.')
    rug = checked_words(rug, what="rug's name")
    return Reserved(rug=rug, strips=int(match[1]) if match else None)


def parse_taken(text: str, *, today: str) -> Taken:
    """Read what was cut: ``the border = 12 strips of #8``, or with its day: ``2026-05-03 ...``.

    Raises
    ------
    UsageError
        If it can't be read.

    Examples
    --------
    >>> parse_taken("2026-05-03 the border = 12 strips", today="2026-06-01")
    Taken(on='2026-05-03', what='the border', how_much='12 strips')
    """
    dated = re.match(r"\s*(\d{4}-\d\d-\d\d)\s+", text)
    on = checked_day(dated[1]) if dated else today
    what, equals, much = text[dated.end() if dated else 0 :].partition("=")
    if not equals or not what.strip() or not much.strip():
        msg = f'"{text}" doesn\'t say what was cut and how much.'
        raise UsageError(msg, hint='Write "the border = 12 strips of #8".')
    words = (checked_words(part, what="line") for part in (what, much))
    what, much = words
    return Taken(on=on, what=what, how_much=much)


def parse_widths(text: str) -> tuple[float, float]:
    """Read the least and the greatest width of a stripe: ``1/2 in``, ``1/4 in to 1/2 in``.

    Raises
    ------
    UsageError, BadLength
        If they can't be read.

    Examples
    --------
    >>> parse_widths("1/4 in to 1/2 in")
    (6.35, 12.7)
    """
    low, to, high = (part.strip() for part in text.partition(" to "))
    if not to:
        width_mm = parse_length(low)
        return max(0.0, width_mm - WIDTH_WITHIN_MM), width_mm + WIDTH_WITHIN_MM
    least_mm, greatest_mm = parse_length(low), parse_length(high)
    if least_mm > greatest_mm:
        msg = f'"{text}" ends below where it begins.'
        raise UsageError(msg, hint=f'Write "{high} to {low}".')
    return least_mm, greatest_mm
