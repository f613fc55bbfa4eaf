"""The strips of a garment as CSV, a line for each kind, cut and direction."""

from __future__ import annotations

import csv
import io
from typing import Final

from plaidcut.cutting.garment import GarmentStrips
from plaidcut.shown import cell

COLUMNS: Final = (
    "direction",
    "cut",
    "kind",
    "kind_cut",
    "reads",
    "reads_hex",
    "value",
    "strips_low",
    "strips_mean",
    "strips_high",
    "length_mm_low",
    "length_mm_mean",
    "length_mm_high",
)


def garment_csv(strips: GarmentStrips) -> str:
    """The kinds of strips of a garment, with a heading; bits have lines of their own."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for way in strips.ways:
        told = way.direction.value, way.cut.name
        for kind in way.kinds:
            reads = cell(kind.reads.name), kind.reads.hex, kind.reads.value
            count, length = kind.strips, kind.length_mm
            figures = count.low, count.mean, count.high, length.low, length.mean, length.high
            table.writerow((*told, cell(kind.spoken), kind.cut.name, *reads, *figures))
        count, length = way.bits, way.bits_mm
        figures = count.low, count.mean, count.high, length.low, length.mean, length.high
        table.writerow((*told, "bits", "", "", "", "", *figures))
    return text.getvalue()
