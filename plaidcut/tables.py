"""Files in TOML that people write by hand: read field by field, faults told with their line."""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, Final, TypeVar

from plaidcut.errors import BadLength, FileTrouble, UsageError
from plaidcut.shown import is_shown_whole
from plaidcut.units import parse_length

T = TypeVar("T")
Choice = TypeVar("Choice", bound=StrEnum)

MOST_COUNTED: Final = 10_000
"""Largest number that is taken for a count; beyond it a finger slipped (chosen here)."""

LONGEST_WORDS: Final = 1000
"""Characters of a name or a place (chosen here)."""

MOST_CHARACTERS: Final = 200_000
LONGEST_LINE: Final = 4000
"""Characters of a file, and of a line of it, that people write by hand: dotted names longer than
that would keep the reader busy for hours (chosen here)."""

_HEADER: Final = re.compile(r"\s*\[")


@dataclass(frozen=True, slots=True, kw_only=True)
class TomlTable:
    """One table of a file."""

    values: Mapping[str, Any]
    file_name: str
    """What errors call it; nothing for the fields of a form, which have no lines."""
    hint: str
    """What to do about a fault that has no way on of its own."""
    lines: Sequence[str] = field(repr=False)
    first: int = 0
    """Index of the line at which the table begins."""
    prefix: str = ""
    """Its name in the file, with a point at the end."""

    def check_names(self, *known: str) -> None:
        """Refuse fields of other names."""
        for name in self.values:
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                hint = f'Did you mean "{near[0]}"?' if near else f"It knows {', '.join(known)}."
                where = self._in_file(self._line_of(name), ", ")
                msg = f'{where}sets "{self.prefix}{name}", which does not exist.'
                raise FileTrouble(msg, hint=hint)

    def field(self, name: str, parse: Callable[[Any], T], default: T) -> T:
        """The field's value, or its default; FileTrouble names the field and its line."""
        return self.required(name, parse) if name in self.values else default

    def required(self, name: str, parse: Callable[[Any], T]) -> T:
        """The field's value; FileTrouble where there is none."""
        if name not in self.values:
            where = self._in_file(self.first + 1, ": ")
            msg = f"{where}{self.prefix}{name} is missing."
            raise FileTrouble(msg, hint=self.hint)
        try:
            return parse(self.values[name])
        except UsageError as error:
            raise self.fault(name, error) from error
        except (TypeError, ValueError, OverflowError, RecursionError) as error:
            raise self.fault(name, UsageError("this can't be read.")) from error

    def fault(self, name: str, error: UsageError) -> FileTrouble:
        """An error about a field, with its place."""
        where = self._in_file(self._line_of(name), ", ")
        msg = f"{where}{self.prefix}{name}: {error.message}"
        has_own = isinstance(error, BadLength) or error.hint != type(error).way_on
        return FileTrouble(msg, hint=error.hint if has_own else self.hint)

    def table(self, name: str) -> TomlTable:
        """A table in this one; an empty one where there is none."""
        return replace(
            self,
            values=self.field(name, table_of, {}),
            first=self._header(f"[{self.prefix}{name}]", 0),
            prefix=f"{self.prefix}{name}.",
        )

    def tables(self, name: str) -> list[TomlTable]:
        """The tables of a list of them, ``[[name]]``; none where there is no such list."""
        found: list[Mapping[str, Any]] = self.field(name, tables_of, [])
        return [
            replace(
                self,
                values=values,
                first=self._header(f"[[{self.prefix}{name}]]", number),
                prefix=f"{self.prefix}{name} {number + 1}: ",
            )
            for number, values in enumerate(found)
        ]

    def _in_file(self, line: int, end: str) -> str:
        """The file and the line; nothing where the fields were typed into a form."""
        return f"{self.file_name}, line {line}{end}" if self.file_name else ""

    def _line_of(self, name: str) -> int:
        """Number of the line that sets a field, from 1 on; of its table where it isn't found."""
        key = re.compile(rf'\s*"?{re.escape(name)}"?\s*[=.]')
        for number in range(self.first, len(self.lines)):
            if key.match(self.lines[number]):
                return number + 1
            if number > self.first and _HEADER.match(self.lines[number]):
                break
        return self._header(f"[{self.prefix}{name}]", 0) + 1

    def _header(self, header: str, number: int) -> int:
        """Index of the line of the n-th header of that name; that of this table without one."""
        found = [k for k, line in enumerate(self.lines) if line.strip().startswith(header)]
        return found[number] if number < len(found) else self.first


def read_toml(text: str, *, file_name: str, hint: str) -> TomlTable:
    """Read the text of a file.

    Parameters
    ----------
    text
        The whole file.
    file_name
        What errors call it.
    hint
        What to do about a fault that has no way on of its own.

    Raises
    ------
    FileTrouble
        If it isn't TOML.
    """
    try:
        if len(text) > MOST_CHARACTERS or len(max(text.splitlines(), key=len, default="")) > (
            LONGEST_LINE
        ):
            msg = f"{file_name} is too long for a file that is written by hand."
            raise FileTrouble(msg, hint=hint)
        values = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # TOMLDecodeError is a ValueError
        msg = f"{file_name} is not valid TOML: {error}."
        raise FileTrouble(msg, hint=hint) from error
    return TomlTable(values=values, file_name=file_name, hint=hint, lines=text.splitlines())


def form_table(values: Mapping[str, Any], *, hint: str) -> TomlTable:
    """The fields of a form, read as those of a file are; errors name no line."""
    return TomlTable(values=values, file_name="", hint=hint, lines=())


def one_of(choices: type[Choice]) -> Callable[[Any], Choice]:
    """A reader for one of a few words."""

    def read(value: object) -> Choice:
        if not isinstance(value, str) or value not in list(choices):
            words = " or ".join(f'"{choice.value}"' for choice in choices)
            msg = f"it must be {words}, not {value!r}."
            raise UsageError(msg)
        return choices(value)

    return read


def length_of(value: object, *, zero: bool = False) -> float:
    """Read a length, which TOML holds as text; a bare number has no unit."""
    return parse_length(str(value), zero=zero)


def length_or_zero_of(value: object) -> float:
    """Read a length that may be nought."""
    return length_of(value, zero=True)


def count_of(value: object) -> int:
    """Read a whole number above zero."""
    if isinstance(value, bool) or not isinstance(value, int) or not 0 < value <= MOST_COUNTED:
        msg = f"it must be a whole number from 1 to {MOST_COUNTED}."
        raise UsageError(msg)
    return value


def above_zero(value: object) -> float:
    """Read a number above zero."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < math.inf:
        msg = f"it must be a number above 0, not {value!r}."
        raise UsageError(msg)
    return float(value)


def truth_of(value: object) -> bool:
    """Read yes or no."""
    if not isinstance(value, bool):
        msg = f"it must be true or false, not {value!r}."
        raise UsageError(msg)
    return value


def text_of(value: object) -> str:
    """Read words."""
    if not isinstance(value, str):
        msg = f"it must be words in quotes, not {value!r}."
        raise UsageError(msg)
    if len(value) > LONGEST_WORDS or not is_shown_whole(value):
        msg = f"it must be words on one line, up to {LONGEST_WORDS} characters of them."
        raise UsageError(msg)
    return value


def table_of(value: object) -> Mapping[str, Any]:
    """Read a table of TOML."""
    if not isinstance(value, dict):
        msg = f"it must be a table, not {value!r}."
        raise UsageError(msg)
    return value


def tables_of(value: object) -> list[Mapping[str, Any]]:
    """Read a list of tables."""
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        msg = "it must be a list of tables, each under its own [[...]]."
        raise UsageError(msg)
    return value
