"""What is said of a cloth, from words as they were typed to the records of the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Final

from plaidcut.errors import UsageError
from plaidcut.shelved import About, Weave
from plaidcut.shelved_typed import (
    checked_day,
    checked_words,
    key_of,
    parse_pieces,
    parse_reserved,
    parse_taken,
)
from plaidcut.units import parse_weight

NOTHING: Final = About()


def today() -> str:
    """The day, where she is."""
    return datetime.now(UTC).astimezone().date().isoformat()


def about_said(
    before: About = NOTHING,
    *,
    note: str | None = None,
    place: str | None = None,
    fibre: str | None = None,
    weave: Weave | None = None,
    washed_on: str | None = None,
    overdyed_on: str | None = None,
    pieces: Sequence[str] | None = None,
    garments: int | None = None,
    weight: str | None = None,
) -> About:
    """What is said of a cloth, where it was said; else as before.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    said: dict[str, object] = {}
    for field, words in (("note", note), ("place", place), ("fibre", fibre)):
        if words is not None:
            said[field] = checked_words(words, what=field)
    for field, day in (("washed_on", washed_on), ("overdyed_on", overdyed_on)):
        if day is not None:
            said[field] = checked_day(day)
    if weave is not None:
        said["weave"] = weave
    if garments is not None:
        said["garments"] = garments
    if pieces is not None:
        said["pieces"] = tuple(parse_pieces(text) for text in pieces)
    if weight is not None:
        said["weight_g"] = parse_weight(weight)
    return replace(before, **said)  # type: ignore[arg-type]


def used(
    about: About,
    *,
    today: str,
    was_cut: Sequence[str] = (),
    reserve: Sequence[str] = (),
    release: Sequence[str] = (),
) -> About:
    """What is said of a cloth, with what was cut of it and what is kept for rugs added.

    Raises
    ------
    UsageError
        If something can't be read, or nothing is kept for a rug to release.
    """
    kept = {key_of(each.rug): each for each in about.reserved}
    for rug in release:
        if kept.pop(key_of(rug), None) is None:
            msg = f'Nothing of it is kept for "{rug}".'
            known = ", ".join(each.rug for each in about.reserved) or "no rug"
            raise UsageError(msg, hint=f"It is kept for {known}.")
    for text in reserve:
        wanted = parse_reserved(text)
        kept[key_of(wanted.rug)] = wanted
    taken = (*about.taken, *(parse_taken(text, today=today) for text in was_cut))
    return replace(about, taken=taken, reserved=tuple(kept.values()))
