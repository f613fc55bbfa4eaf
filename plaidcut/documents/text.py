"""Documents as JSON text, and what is wrong with one in words."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Final, TypeVar

from plaidcut.errors import FileTrouble

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError

    ModelT = TypeVar("ModelT", bound=BaseModel)

JsonObject = dict[str, object]

_FLAT_LIST: Final = re.compile(r"\[\n(?:[^][{}\n]+\n)+ *\]")
"""A list without lists or objects in it, spread over lines: a point, a row, some ids. There is one
way only to match a line, so that a list with a bracket in its last word takes no longer."""

MOST_SHOWN: Final = 60
"""Characters of a wrong value that an error repeats."""


def to_text(document: Mapping[str, object]) -> str:
    """A document as JSON text, with floats at full precision and a newline at its end."""
    text = json.dumps(document, allow_nan=False, ensure_ascii=False, indent=1)
    text = _FLAT_LIST.sub(_on_one_line, text) + "\n"
    return text.encode(errors="backslashreplace").decode()  # as JSON escapes what is no UTF-8


def from_text(text: str) -> JsonObject:
    """Read the JSON text of a document.

    Raises
    ------
    FileTrouble
        If it isn't JSON, or not a document of plaidcut.
    """
    try:
        document = json.loads(text, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        msg = f"This is not JSON: {error}."
        raise FileTrouble(msg) from error
    if not isinstance(document, dict) or not isinstance(document.get("document"), str):
        msg = 'This is not a document of plaidcut: it has no "document" that names its kind.'
        raise FileTrouble(msg)
    return document


def place_in(where: Sequence[int | str]) -> str:
    """A place in a document, as programs write it: ``up.bands[3].width_mm``."""
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in where).lstrip(
        "."
    )


def validated(
    model: type[ModelT],
    name: str,
    document: Mapping[str, object],
    *,
    place: Callable[[Sequence[int | str]], str] = place_in,
) -> ModelT:
    """A document as a model of its kind.

    Fields that the model doesn't know are left out: later versions only add fields.
    ``place`` says where in it something is wrong.

    Raises
    ------
    FileTrouble
        If it is of another kind, or a field is missing or wrong: the first is named.
    """
    from pydantic import ValidationError

    kind = document.get("document")
    if kind != name:
        msg = f"This is a document of kind {kind!r}, not {name}."
        raise FileTrouble(msg)
    try:
        return model.model_validate_json(json.dumps(document, allow_nan=False))
    except ValidationError as error:
        raise FileTrouble(_in_words(name, error, place)) from error
    except (TypeError, ValueError) as error:
        msg = f"The {name} document holds what JSON can't: {error}."
        raise FileTrouble(msg) from error


def _in_words(
    name: str, error: ValidationError, place: Callable[[Sequence[int | str]], str]
) -> str:
    """The first thing that is wrong, and how many more there are."""
    problems = error.errors(include_url=False)
    first = problems[0]
    where = place(first["loc"])
    what = first["msg"].removeprefix("Value error, ")
    shown = first["input"]
    value = f" (it is {_short(shown)})" if isinstance(shown, str | int | float) else ""
    more = f", and {len(problems) - 1} more" if len(problems) > 1 else ""
    return f"The {name} document is wrong at {where or 'its top'}: {what}{value}{more}."


def _short(value: str | float) -> str:
    """A wrong value as an error repeats it."""
    text = repr(value if not isinstance(value, str) else value[:MOST_SHOWN])
    return text if len(text) <= MOST_SHOWN + 2 else f"{text[:MOST_SHOWN]}..."


def _on_one_line(spread: re.Match[str]) -> str:
    first, *middle, last = (line.strip() for line in spread[0].split("\n"))
    return first + " ".join(middle) + last


def _refuse_constant(constant: str) -> object:
    msg = f"{constant} is no number"
    raise ValueError(msg)
