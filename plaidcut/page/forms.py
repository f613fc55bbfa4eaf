"""Forms whose parts come as often as she likes: their fields are called ``piece-0-width``.

What was typed is kept as it was typed, so that a step can be left and a fault mended.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from starlette.requests import Request

from plaidcut.errors import FileTrouble, PlaidcutError, UsageError

Typed = dict[str, str]
"""What was typed into each field."""

MOST_FIELDS: Final = 3000
"""Of a form (chosen here): some hundred pieces with holes."""

LONGEST_FIELD: Final = 100_000
"""Bytes of a field: an outline of some thousand corners (chosen here)."""

LARGEST_FILE: Final = 1_000_000
"""Bytes of a file that people write by hand (chosen here)."""

_TOML: Final = "Choose one that ends in .toml."


async def typed_in(request: Request) -> Typed:
    """What a form's fields hold; empty ones too."""
    form = await request.form(max_files=0, max_fields=MOST_FIELDS, max_part_size=LONGEST_FIELD)
    return {
        name: text.strip().replace("\r\n", "\n")
        for name, text in form.items()
        if isinstance(text, str)
    }


async def text_in(request: Request) -> str:
    """The text of the file that was chosen.

    Raises
    ------
    UsageError
        If none was.
    FileTrouble
        If it is too large, or no text.
    """
    async with request.form(max_files=1, max_fields=10, max_part_size=LONGEST_FIELD) as form:
        file = form.get("file")
        if file is None or isinstance(file, str) or not file.size:
            msg = "No file was chosen."
            raise UsageError(msg, hint=_TOML)
        if file.size > LARGEST_FILE:
            msg = "That file is too large to be written by hand."
            raise FileTrouble(msg, hint=_TOML)
        try:
            return (await file.read()).decode("utf-8-sig")
        except UnicodeDecodeError as error:
            msg = "That file is no text."
            raise FileTrouble(msg, hint=_TOML) from error


def numbers_of(typed: Mapping[str, str], kind: str) -> list[int]:
    """The numbers of a form's parts of one kind, in order."""
    pattern = re.compile(rf"{re.escape(kind)}-([0-9]{{1,6}})-.+", re.DOTALL)
    found = (pattern.fullmatch(name) for name in typed)
    return sorted({int(match[1]) for match in found if match})


def parts_of(typed: Mapping[str, str], kind: str, /, **usual: str) -> list[Typed]:
    """A form's parts of one kind, in order, each with its own fields and its ``number``.

    ``usual`` are fields that every part has, as the page itself sends them.
    """
    found = []
    for number in numbers_of(typed, kind):
        before = f"{kind}-{number}-"
        own = {
            name.removeprefix(before): text
            for name, text in typed.items()
            if name.startswith(before)
        }
        found.append({**usual, **own, "number": str(number)})
    return found


def filled(typed: Mapping[str, str], *names: str) -> dict[str, str]:
    """Those of some fields into which something was typed."""
    return {name: typed[name] for name in names if typed.get(name)}


def with_part(typed: Mapping[str, str], kind: str, fields: Mapping[str, str]) -> Typed:
    """The form with one part more."""
    number = max(numbers_of(typed, kind), default=-1) + 1
    return {**typed, **{f"{kind}-{number}-{name}": text for name, text in fields.items()}}


def without_part(typed: Mapping[str, str], part: str) -> Typed:
    """The form without a part: ``piece-3``."""
    return {name: text for name, text in typed.items() if not name.startswith(f"{part}-")}


def with_part_before(typed: Mapping[str, str], part: str) -> Typed:
    """The form with a part moved before the one that stands before it."""
    kind, _, number = part.rpartition("-")
    here = int(number) if number.isdecimal() else 0
    before = [each for each in numbers_of(typed, kind) if each < here]
    if not before:
        return dict(typed)
    other = f"{kind}-{before[-1]}"
    return {_exchanged(name, part, other): text for name, text in typed.items()}


def _exchanged(name: str, one: str, other: str) -> str:
    if name.startswith(f"{one}-"):
        return other + name.removeprefix(one)
    return one + name.removeprefix(other) if name.startswith(f"{other}-") else name


def in_form_words(error: PlaidcutError) -> PlaidcutError:
    """A fault of a form's field, as a sentence of its own."""
    words = error.message[:1].upper() + error.message[1:]
    return type(error)(words, hint=error.hint)
