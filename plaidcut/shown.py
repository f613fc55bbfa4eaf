"""Text that comes from outside, as it may stand on a screen, in a page or in a spreadsheet."""

from __future__ import annotations

import re
from typing import Final

_NOT_SHOWN: Final = re.compile(
    "[\\x00-\\x1f\\x7f-\\x9f"  # controls: a terminal obeys them
    "\\u061c\\u200e\\u200f\\u202a-\\u202e\\u2066-\\u2069"  # these turn the order of letters round
    "\\u2028\\u2029\\ufeff\\ud800-\\udfff]"  # line ends, byte order, bytes that were no UTF-8
)

_FORMULA: Final = re.compile(r"[=+\-@\t\r]")
"""How a cell begins that spreadsheets reckon with instead of showing it."""

INSTEAD: Final = "\N{REPLACEMENT CHARACTER}"


def shown(text: str) -> str:
    r"""The text with whatever a screen would obey rather than show replaced, on one line.

    Examples
    --------
    >>> shown("skirt\x1b[2J.jpg")
    'skirt\ufffd[2J.jpg'
    """
    return _NOT_SHOWN.sub(INSTEAD, text)


def is_shown_whole(text: str) -> bool:
    """Whether all of a text can be shown as it is, on one line."""
    return _NOT_SHOWN.search(text) is None


def cell(text: str) -> str:
    """Words as a cell of a table that a spreadsheet shows and doesn't reckon with.

    Examples
    --------
    >>> cell("=1+1"), cell("red")
    ("'=1+1", 'red')
    """
    return f"'{text}" if _FORMULA.match(text) else text
