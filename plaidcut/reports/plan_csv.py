"""The strips of a plan as CSV, one line each, for a spreadsheet."""

from __future__ import annotations

import csv
import io
from typing import Final

from plaidcut.cutting.both_ways import Plan
from plaidcut.shown import cell

COLUMNS: Final = (
    "direction",
    "run",
    "pass",
    "edge",
    "start_mm",
    "end_mm",
    "cut",
    "holds",
    "bands",
    "share",
    "margin_mm",
    "reads",
    "reads_hex",
    "value",
    "pile",
)


def plan_csv(plan: Plan) -> str:
    """The strips of a plan, with a heading; lengths have all their digits."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for way in plan.ways:
        for run_number, run in enumerate(way.runs, 1):
            for pass_number, strips in enumerate(run.passes, 1):
                for strip in strips:
                    table.writerow(
                        (
                            way.direction.value,
                            run_number,
                            pass_number,
                            run.edge.value,
                            strip.start_mm,
                            strip.end_mm,
                            strip.cut.name,
                            strip.holds.value,
                            " ".join(strip.bands),
                            strip.share,
                            "" if strip.margin_mm is None else strip.margin_mm,
                            cell(strip.reads.name),
                            strip.reads.hex,
                            strip.reads.value,
                            strip.pile,
                        )
                    )
    return text.getvalue()
