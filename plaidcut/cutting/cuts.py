"""Cuts: the widths that strips are cut to, and the numbers that the trade gives them.

Up to #8 everybody agrees that #n is n/32 in (A01). Above it two systems of
numbering exist and disagree by up to 60 %, so a table always names its system.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from plaidcut.errors import BadLength, UsageError
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import MM_PER_INCH, parse_length

CUT_RANGE_MM: Final = (MM_PER_INCH / 32, 2 * MM_PER_INCH)
"""Widths taken for a strip's: the narrowest that any page claims is 1/32 in, and strips torn
by hand run to about 1 in (trade pages); beyond twice that it is a slip of the finger."""


PER_PASS: Final = {"3": 6, "4": 4, "5": 4, "6": 4, "7": 4, "8": 3, "8.5": 2}
"""Strips that the heads of one cutter slit at once (A06); cutters differ."""

PASS_WIDTH_MM: Final = 5 / 8 * MM_PER_INCH
"""What other heads are taken to slit in a pass: as #5 and #8.5 of A06 do; chosen here."""

MOST_PER_PASS: Final = 6
"""The most strips a pass of A06."""


class Numbering(StrEnum):
    """What the numbers above #8 mean."""

    STEPPED = "stepped"
    """Step numbers up to 1/2 in: 8.5, 9, 9.5, 10."""
    THIRTY_SECONDS = "thirty-seconds"
    """Still the number of 32nds of an inch: 9, 10, 11, 12."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One width of strip."""

    name: str
    """The trade's number, or the width as it was typed: ``8``, ``8.5``, ``5 mm``."""
    width_mm: float
    numbered: bool = True
    """False for a width given outright."""
    per_pass: int | None = None
    """Strips that her own cutter's head slits at once, where she has said so."""

    @property
    def strips_per_pass(self) -> int:
        """Strips that a head slits at once: as she said, as known of one cutter, or a guess."""
        if self.per_pass is not None:
            return self.per_pass
        if self.numbered and self.name in PER_PASS:
            return PER_PASS[self.name]
        fit = int((PASS_WIDTH_MM + TOLERANCE_MM) // self.width_mm)
        return min(max(1, fit), MOST_PER_PASS)

    @property
    def label(self) -> str:
        """How people write it: ``#8``, ``5 mm``."""
        return f"#{self.name}" if self.numbered else self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class CutTable:
    """The numbered cuts of one system, narrowest first."""

    numbering: Numbering
    cuts: tuple[Cut, ...]


_AGREED: Final = {str(n): f"{n}/32 in" for n in range(2, 9)}
"""A01."""

_ABOVE_8: Final[dict[Numbering, dict[str, str]]] = {
    Numbering.STEPPED: {
        "8.5": "5/16 in",  # A02
        "9": "3/8 in",  # A03
        "9.5": "7/16 in",  # from memory, no page found
        "10": "1/2 in",  # A04
    },
    Numbering.THIRTY_SECONDS: {str(n): f"{n}/32 in" for n in range(9, 13)},  # A03-A05
}


def cut_table(
    numbering: Numbering = Numbering.STEPPED,
    own_mm: Mapping[str, float] | None = None,
    per_pass: Mapping[str, int] | None = None,
) -> CutTable:
    """Lay out the cuts of a system, with somebody's own widths in place of its own.

    Parameters
    ----------
    numbering
        What the numbers above #8 mean.
    own_mm
        Width by name, for cutters that cut other than they say; new names are added.
    per_pass
        By name, how many strips a head slits at once.
    """
    typed = _AGREED | _ABOVE_8[numbering]
    widths_mm = {name: parse_length(width) for name, width in typed.items()}
    widths_mm |= own_mm or {}
    strips = per_pass or {}
    cuts = (
        Cut(name=name, width_mm=width, per_pass=strips.get(name))
        for name, width in widths_mm.items()
    )
    return CutTable(numbering=numbering, cuts=tuple(sorted(cuts, key=lambda cut: cut.width_mm)))


def parse_cut(text: str, table: CutTable) -> Cut:
    """Read a cut that somebody typed: its number in the table, or a width outright.

    Parameters
    ----------
    text
        ``8``, ``#8``, ``8.5`` or ``5 mm``.
    table
        The cuts that numbers are looked up in.

    Raises
    ------
    UsageError
        If it is neither a number of the table nor a width.
    BadLength
        If the width is none that a strip can have.
    """
    shown = text.strip()
    name = shown.removeprefix("#").strip()
    for cut in table.cuts:
        if cut.name == name:
            return cut
    try:
        width_mm = parse_length(shown)
    except BadLength as error:
        if not _is_number(name):
            raise
        numbers = ", ".join(cut.name for cut in table.cuts)
        msg = f"There is no cut #{name} in the {table.numbering.value} table."
        hint = f'Its cuts are {numbers}. Any width can be given outright: --cut "5/16 in".'
        raise UsageError(msg, hint=hint) from error
    check_cut_width(width_mm, shown)
    return Cut(name=shown, width_mm=width_mm, numbered=False)


def check_cut_width(width_mm: float, shown: str) -> None:
    """Refuse a width that no strip has; BadLength shows it as it was typed."""
    least_mm, most_mm = CUT_RANGE_MM
    if not least_mm <= width_mm <= most_mm:
        msg = f'"{shown}" is no width for a strip: they run from 1/32 in to 2 in.'
        raise BadLength(msg, hint="For the number of a cut write it alone: --cut 8.")


def _is_number(name: str) -> bool:
    """Whether a name looks like the number of a cut."""
    return name.replace(".", "", 1).isdecimal()
