"""Lengths in and out: what people type and read, millimetres inside.

People write inches as a ruler shows them (``3 1/2 in``, ``7/32"``, ``3½″``) or
in decimals, and millimetres. A bare number is refused, because nobody can know
which of the two was meant.
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_EVEN, Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Final

from plaidcut.errors import BadLength, UsageError

MM_PER_INCH: Final = 25.4
"""Millimetres per inch, exact (international yard and pound agreement, 1959)."""

RULER_DENOMINATOR: Final = 32
"""Finest graduation that inches are shown in: the trade counts its cuts in 32nds (A01)."""

LONGEST_TEXT: Final = 60
"""Characters of a number with its unit; nobody types more."""

MOST_MM: Final = 100_000.0
"""Longest length that is taken for one: 100 m, more than any bolt of cloth."""

LEAST_STD_MM: Final = 1e-6
"""What is surer than a nanometre is exact."""

_MM_PER_UNIT: Final = {
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "yd": Fraction(9144, 10),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}

_SPELLINGS: Final = {
    "in": ("in", "inch", "inches", '"', "″", "”", "''", "′′", "’’"),
    "ft": ("ft", "foot", "feet", "'", "′", "’"),
    "yd": ("yd", "yds", "yard", "yards"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
}

_UNIT_OF: Final = {spelling: unit for unit, those in _SPELLINGS.items() for spelling in those}

_VULGAR: Final = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}

_NUMBER: Final = re.compile(
    r"""(?P<sign>[-+−])? \s*
        (?: (?: (?P<whole>\d+) (?: \s+ | \s*-\s* ) )? (?P<over>\d+) \s*/\s* (?P<under>\d+)
          | (?P<decimal> \d+ (?:[.,]\d*)? | [.,]\d+ ) )
        \s* (?P<unit>\D*)""",
    re.VERBOSE | re.ASCII,
)

_WEIGHT: Final = re.compile(
    r"(?P<number>\d+(?:\.\d+)?|(?:\d+ +)?\d+/[1-9]\d*)\s*(?P<unit>[A-Za-z]+)\.?"
)

_GRAMS: Final = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
"""Avoirdupois, exact by definition (from memory)."""

_TIMES: Final = re.compile(r"\s*(?:[x×*]|(?<![a-z])by(?![a-z]))\s*", re.IGNORECASE)


class Units(StrEnum):
    """The unit that lengths are shown in."""

    IN = "in"
    MM = "mm"


def parse_length(text: str, *, zero: bool = False) -> float:
    """Read a length that somebody typed, in millimetres.

    Parameters
    ----------
    text
        A number with its unit: inches (a fraction, a mixed number or a decimal), feet,
        yards, millimetres, centimetres or metres. A decimal comma is understood.
    zero
        Whether a length of nothing is sensible here.

    Raises
    ------
    BadLength
        If there is no unit, or no length can be read, or it is negative, nothing or
        longer than `MOST_MM`.

    Examples
    --------
    >>> parse_length("1/4 in")
    6.35
    >>> parse_length('3-1/2"')
    88.9
    """
    shown = text.strip()
    number, unit = _read(shown)
    if number < 0 or (number == 0 and not zero):
        msg = f'"{shown}" is not more than nothing.'
        raise BadLength(msg, hint="Give a length above zero.")
    length_mm = float(number * _MM_PER_UNIT[unit])
    if length_mm > MOST_MM:
        msg = f'"{shown}" is longer than {MOST_MM / 1000:g} m.'
        raise BadLength(msg, hint="Check the number and its unit.")
    return length_mm


def parse_weight(text: str) -> float:
    """Read a weight that somebody typed, in grams: ``120 g``, ``4 1/2 oz``, ``0.3 kg``, ``1 lb``.

    Raises
    ------
    UsageError
        If it is no weight above nought, or has no unit.
    """
    match = _WEIGHT.fullmatch(_plain(text.strip())) if len(text) <= LONGEST_TEXT else None
    if match is None or match["unit"].lower() not in _GRAMS:
        msg = f'"{text}" is not a weight.'
        raise UsageError(msg, hint='Write the unit: "120 g" or "4 1/2 oz".')
    number = sum(Fraction(part) for part in match["number"].split())
    if number <= 0:
        msg = f'"{text}" is not above nought.'
        raise UsageError(msg, hint='Write the unit: "120 g" or "4 1/2 oz".')
    return float(number) * _GRAMS[match["unit"].lower()]


def unit_of(text: str) -> str:
    """Name the unit that a length was typed in, ``in``, ``mm``, ...

    Raises
    ------
    BadLength
        If it is no length.
    """
    return _read(text.strip())[1]


def parse_size(text: str) -> tuple[float, float]:
    """Read the two sides of a rectangle, in millimetres, in the order they were typed.

    Raises
    ------
    BadLength
        If it isn't two lengths with an x between them.

    Examples
    --------
    >>> parse_size("6 in x 4 in")
    (152.4, 101.6)
    >>> parse_size("20 x 14 in")
    (508.0, 355.6)
    """
    sides = _TIMES.split(text.strip())
    if len(sides) != 2 or not all(sides):
        msg = f'"{text.strip()}" is not a size.'
        raise BadLength(msg, hint='Write both sides: "6 in x 4 in" or "20 x 14 in".')
    first, second = (_NUMBER.fullmatch(_plain(side)) for side in sides)
    if first and second and not first["unit"]:
        if not second["unit"]:
            msg = f'"{text.strip()}" has no unit: inches or millimetres?'
            raise BadLength(msg, hint=f'Write "{text.strip()} in" or "{text.strip()} mm".')
        sides[0] += second["unit"]
    return parse_length(sides[0]), parse_length(sides[1])


def format_length(length_mm: float, units: Units) -> str:
    """Write an exact length for people: ``1/4 in``, ``6.35 mm``.

    Inches that are a whole number of 32nds are written as a ruler shows them, others to
    the thousandth; millimetres to the hundredth, without needless noughts.
    """
    if units is Units.MM:
        return f"{_trimmed(length_mm, 2)} mm"
    inches = length_mm / MM_PER_INCH
    nearest = Fraction(round(inches * RULER_DENOMINATOR), RULER_DENOMINATOR)
    if nearest and abs(inches - nearest) < 0.5e-3:
        return f"{_mixed(nearest)} in"
    return f"{_trimmed(inches, 3)} in"


def ruler_inches(length_mm: float, *, denominator: int = RULER_DENOMINATOR) -> str:
    """Write the graduation of an inch ruler nearest to a length, without the unit: ``7/32``."""
    return _mixed(Fraction(round(length_mm / MM_PER_INCH * denominator), denominator))


def told(length_mm: float, *, at_least: bool = False) -> str:
    """A length in a sentence that doesn't know her units: ``1/4 in (6.3 mm)``.

    Rounded to the nearest graduation and tenth; up where it must be ``at_least`` so long.
    """
    if at_least:
        steps = math.ceil(length_mm / MM_PER_INCH * RULER_DENOMINATOR - 1e-6)
        inches = _mixed(Fraction(steps, RULER_DENOMINATOR))
        return f"{inches} in ({math.ceil(10 * length_mm - 1e-6) / 10:.1f} mm)"
    return f"{ruler_inches(length_mm)} in ({length_mm:.1f} mm)"


def ruler_step_mm(units: Units) -> float:
    """What can be read off a ruler by eye: 1/32 in, or half a millimetre."""
    return MM_PER_INCH / RULER_DENOMINATOR if units is Units.IN else 0.5


def on_ruler(length_mm: float, units: Units) -> str:
    """Write a length as it is read off a ruler, to :func:`ruler_step_mm`: ``3/8 in``, ``9.5 mm``.

    Examples
    --------
    >>> on_ruler(9.6, Units.IN), on_ruler(9.6, Units.MM)
    ('3/8 in', '9.5 mm')
    """
    if units is Units.IN:
        return f"{ruler_inches(length_mm)} in"
    step_mm = ruler_step_mm(units)
    return f"{round(length_mm / step_mm) * step_mm:g} mm"


def is_nought(length_mm: float, units: Units) -> bool:
    """Whether a length is less than a ruler shows."""
    return round(abs(length_mm) / ruler_step_mm(units)) == 0


def format_measured(length_mm: float, std_mm: float | None, units: Units) -> str:
    """Write a measured length with its standard uncertainty: ``12.70 ± 0.11 mm``.

    Notes
    -----
    Digits by the rule of the Particle Data Group's review: of the uncertainty's first
    three digits, 100-354 are rounded to two, 355-949 to one and 950-999 to 1000, of which
    two are kept; the value has as many decimals as its uncertainty.
    """
    per_unit = MM_PER_INCH if units is Units.IN else 1.0
    if not std_mm or std_mm < LEAST_STD_MM:
        return format_length(length_mm, units)
    std = Decimal(repr(float(std_mm / per_unit)))
    leading = int(std.scaleb(2 - std.adjusted()).to_integral_value(ROUND_HALF_EVEN))
    digits = 1 if 355 <= leading < 950 else 2
    last = std.adjusted() - digits + 1 + (leading >= 950)
    place = Decimal(1).scaleb(last)
    value = Decimal(repr(float(length_mm / per_unit))).quantize(place, ROUND_HALF_EVEN)
    return f"{value:f} ± {std.quantize(place, ROUND_HALF_EVEN):f} {units.value}"


def _plain(text: str) -> str:
    """Typed fractions in ASCII: ``3½`` becomes ``3 1/2``."""
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    return text.replace("⁄", "/").strip()


def _read(shown: str) -> tuple[Fraction, str]:
    """The number of a typed length, with its sign, and the name of its unit."""
    match = _NUMBER.fullmatch(_plain(shown)) if len(shown) <= LONGEST_TEXT else None
    if match is None:
        msg = f'"{shown}" is not a length.'
        raise BadLength(msg)
    number = _number(match, shown)
    unit = match["unit"].strip().removesuffix(".").lower()
    if not unit:
        msg = f'"{shown}" has no unit: inches or millimetres?'
        raise BadLength(msg, hint=f'Write "{shown} in" or "{shown} mm".')
    if unit not in _UNIT_OF:
        msg = f'"{unit}" in "{shown}" is not a unit of length.'
        raise BadLength(msg)
    return (-number if match["sign"] in ("-", "−") else number), _UNIT_OF[unit]


def _number(match: re.Match[str], shown: str) -> Fraction:
    """The number of a length, without its sign."""
    if match["decimal"] is not None:
        if re.search(r",\d{3}$", match["decimal"]):
            msg = f'The comma in "{shown}" may stand for thousands or for decimals.'
            raise BadLength(msg, hint="Write decimals with a point, and thousands with nothing.")
        return Fraction(match["decimal"].replace(",", ".").rstrip(".") or "0")
    over, under = int(match["over"]), int(match["under"])
    if under == 0 or (match["whole"] is not None and over >= under):
        msg = f'"{match["over"]}/{match["under"]}" in "{shown}" is not a fraction of a ruler.'
        raise BadLength(msg)
    return int(match["whole"] or 0) + Fraction(over, under)


def _mixed(number: Fraction) -> str:
    """Write a fraction as a ruler is read: ``3 1/2``."""
    whole, part = divmod(number, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def _trimmed(value: float, places: int) -> str:
    """Write a decimal without the noughts at its end."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
