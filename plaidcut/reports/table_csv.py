"""The strips of every band in every cut as CSV, one line each, for a spreadsheet."""

from __future__ import annotations

import csv
import io
from typing import Final

from plaidcut.reports.content import ReportContent
from plaidcut.shown import cell

COLUMNS: Final = (
    "system",
    "band",
    "colour",
    "hex",
    "reads",
    "reads_hex",
    "value",
    "partial",
    "width_mm",
    "width_std_mm",
    "width_in",
    "cut",
    "cut_mm",
    "count",
    "low",
    "high",
    "sure",
    "spare_mm",
    "by_hand",
)


def csv_text(content: ReportContent) -> str:
    """The table of a report, with a heading; a band without counts has one line.

    Lengths have all their digits, so that nothing is lost on the way.
    """
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for system in content.systems:
        for row in system.rows:
            band = row.band
            told = (
                system.direction.value,
                band.id,
                cell(band.yarn.name),
                band.yarn.hex,
                cell(band.reads.name),
                band.reads.hex,
                band.reads.value,
                "yes" if band.partial else "no",
                band.width_mm,
                band.width_std_mm,
                row.inches,
            )
            by_hand = " ".join(band.by_hand)
            for strip in row.strips:
                table.writerow(
                    (
                        *told,
                        strip.cut.name,
                        strip.cut.width_mm,
                        strip.count,
                        strip.low,
                        strip.high,
                        strip.sure,
                        strip.spare_mm,
                        by_hand,
                    )
                )
            if not row.strips:
                table.writerow((*told, *[""] * (len(COLUMNS) - len(told) - 1), by_hand))
    return text.getvalue()
