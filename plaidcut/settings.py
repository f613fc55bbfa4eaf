"""The user's settings: one small TOML file, never required.

Nothing here reads the file: the command line does, and hands its text over.
No stage knows of settings either; what they need is passed to them.
"""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Any, Final, TypeVar

from plaidcut.cutting.cuts import Cut, CutTable, Numbering, check_cut_width, cut_table, parse_cut
from plaidcut.cutting.yields import WANDER_TORN_MM
from plaidcut.errors import BadLength, FileTrouble, UsageError
from plaidcut.photo import MAX_MEGAPIXELS
from plaidcut.stripes.measure import NARROWEST_MM
from plaidcut.units import Units, parse_length

_HINT: Final = "Mend the file, or take it away: plaidcut works without one."

T = TypeVar("T")
Choice = TypeVar("Choice", bound=StrEnum)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a user would otherwise type again and again."""

    units: Units = Units.IN
    """The unit that lengths are shown in."""
    cut: Cut | None = None
    """Her cut: answers begin with it."""
    narrowest_mm: float = NARROWEST_MM
    """Bands narrower than this aren't looked for."""
    wander_mm: float = WANDER_TORN_MM
    """How far an edge may stray from where it was aimed."""
    max_megapixels: float = MAX_MEGAPIXELS
    """Larger pictures are refused."""
    cuts: CutTable = field(default_factory=cut_table)
    """The cuts that there are."""


def settings_path() -> Path:
    """Where the settings file is, if there is one: the platform's usual place."""
    import platformdirs

    return platformdirs.user_config_path("plaidcut", appauthor=False) / "settings.toml"


def parse_settings(text: str, *, file_name: str) -> Settings:
    """Read settings from the text of their file; what it leaves out stays as always.

    Parameters
    ----------
    text
        TOML, as ``docs/reference/settings.md`` describes it.
    file_name
        What errors call the file.

    Raises
    ------
    FileTrouble
        If it isn't TOML, or a field is unknown or can't be what it is set to.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        msg = f"{file_name} is not valid TOML: {error}."
        raise FileTrouble(msg, hint=_HINT) from error
    read = _Reader(table, file_name)
    read.check_names("units", "cut", "narrowest", "wander", "max_megapixels", "cuts")
    own = _Reader(read.field("cuts", _table, {}), file_name, prefix="cuts.")
    own.check_names("numbering", "widths")
    widths = _Reader(own.field("widths", _table, {}), file_name, prefix="cuts.widths.")
    own_mm = {name: widths.field(name, _cut_width, 0.0) for name in widths.table}
    cuts = cut_table(own.field("numbering", _one_of(Numbering), Numbering.STEPPED), own_mm)
    return Settings(
        units=read.field("units", _one_of(Units), Units.IN),
        cut=read.field("cut", lambda value: parse_cut(str(value), cuts), None),
        narrowest_mm=read.field("narrowest", _length, NARROWEST_MM),
        wander_mm=read.field("wander", lambda value: _length(value, zero=True), WANDER_TORN_MM),
        max_megapixels=read.field("max_megapixels", _above_zero, MAX_MEGAPIXELS),
        cuts=cuts,
    )


@dataclass(frozen=True, slots=True)
class _Reader:
    """One table of the file."""

    table: Mapping[str, Any]
    file_name: str
    prefix: str = ""

    def check_names(self, *known: str) -> None:
        """Refuse fields of other names."""
        for name in self.table:
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                hint = f'Did you mean "{near[0]}"?' if near else f"It knows {', '.join(known)}."
                msg = f'{self.file_name} sets "{self.prefix}{name}", which does not exist.'
                raise FileTrouble(msg, hint=hint)

    def field(self, name: str, parse: Callable[[Any], T], default: T) -> T:
        """The field's value, or its default; FileTrouble names the field."""
        if name not in self.table:
            return default
        try:
            return parse(self.table[name])
        except UsageError as error:
            msg = f"{self.file_name}, {self.prefix}{name}: {error.message}"
            hint = error.hint if isinstance(error, BadLength) else _HINT
            raise FileTrouble(msg, hint=hint) from error


def _one_of(choices: type[Choice]) -> Callable[[Any], Choice]:
    """A reader for one of a few words."""

    def read(value: object) -> Choice:
        if not isinstance(value, str) or value not in list(choices):
            words = " or ".join(f'"{choice.value}"' for choice in choices)
            msg = f"it must be {words}, not {value!r}."
            raise UsageError(msg)
        return choices(value)

    return read


def _length(value: object, *, zero: bool = False) -> float:
    """Read a length, which TOML holds as text; a bare number has no unit."""
    return parse_length(str(value), zero=zero)


def _cut_width(value: object) -> float:
    """Read the width of a cut."""
    width_mm = _length(value)
    check_cut_width(width_mm, str(value))
    return width_mm


def _above_zero(value: object) -> float:
    """Read a number above zero."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < math.inf:
        msg = f"it must be a number above 0, not {value!r}."
        raise UsageError(msg)
    return float(value)


def _table(value: object) -> Mapping[str, Any]:
    """Read a table of TOML."""
    if not isinstance(value, dict):
        msg = f"it must be a table, not {value!r}."
        raise UsageError(msg)
    return value
