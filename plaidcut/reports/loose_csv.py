"""Loose strips as CSV, a line each, for a spreadsheet."""

from __future__ import annotations

import csv
import io
from typing import Final

from plaidcut.cutting.which_cut import NamedStrips

COLUMNS: Final = (
    "strip",
    "width_mm",
    "width_std_mm",
    "spread_mm",
    "length_mm",
    "cut",
    "nearest",
    "nearest_mm",
    "certainty",
    "other",
    "counted",
    "odd",
    "reads",
    "reads_hex",
    "value",
    "flecked",
)


def loose_csv(named: NamedStrips) -> str:
    """The strips of a photo, with a heading; lengths have all their digits."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for each in named.strips:
        strip, name = each.strip, each.named
        table.writerow(
            (
                strip.number,
                strip.width_mm,
                strip.width_std_mm,
                strip.spread_mm,
                strip.length_mm,
                "" if name.cut is None else name.cut.name,
                name.nearest.name,
                name.nearest.width_mm,
                name.certainty,
                "" if name.other is None else name.other.name,
                "no" if each.counted is None else "yes",
                " ".join(strip.odd),
                strip.reads.name,
                strip.reads.hex,
                strip.reads.value,
                "yes" if strip.flecked else "no",
            )
        )
    return text.getvalue()
