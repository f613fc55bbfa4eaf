"""The files of a report: page, paper, guide, documents, tables and pictures, to be written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from plaidcut import tasks
from plaidcut.cutting.both_ways import Plan
from plaidcut.reports.card_sheet import Paper
from plaidcut.settings import Settings
from plaidcut.stripes.measurement import Measurement
from plaidcut.units import Units

if TYPE_CHECKING:
    from plaidcut.photo import Photo

PAGE: Final = "report.html"
SHEETS: Final = "report.pdf"
GUIDE: Final = "guide.pdf"
DOCUMENTS: Final = ("measurement.json", "yield.json", "plan.json")
TABLES: Final = ("yield.csv", "plan.csv")


def report_files(
    measurement: Measurement,
    planned: Plan,
    *,
    photo: Photo | None,
    settings: Settings,
    paper: Paper | None = None,
    printed: tuple[float, float] = (1.0, 1.0),
    made: str = "",
    unusual: Mapping[str, object] | None = None,
) -> dict[str, str | bytes]:
    """All files of a report, by name.

    Parameters
    ----------
    measurement, planned
        The cloth, and the plan of a piece.
    photo
        Its photo; without it there are no pictures of the cloth itself.
    settings
        Hers: the cuts, and the units that lengths are shown in.
    paper
        The printer's; Letter with inches and A4 with mm unless given.
    printed
        How large the printer draws a page, across and down: the guide is made up for it.
    made
        When it was made, in words.
    unusual
        What was set otherwise than usual when the cloth was measured.
    """
    from plaidcut.documents import measurement as measurement_document
    from plaidcut.documents import plan as plan_document
    from plaidcut.documents import yields as yields_document
    from plaidcut.documents.text import to_text
    from plaidcut.pictures.encode import picture_bytes
    from plaidcut.reports.full_html import html_text
    from plaidcut.reports.full_pdf import report_pdf_bytes
    from plaidcut.reports.guide import guide_pdf_bytes
    from plaidcut.reports.plan_csv import plan_csv
    from plaidcut.reports.table_csv import csv_text

    cut, units = planned.ways[0].wishes.cut, settings.units
    cuts = tuple(dict.fromkeys((*settings.cuts.cuts, cut)))
    counted = tasks.yields(measurement, cuts=cuts, wander_mm=settings.wander_mm)
    full = tasks.report(measurement, counted, planned, photo=photo, own=cut, units=units, made=made)
    sheet = paper or (Paper.LETTER if units is Units.IN else Paper.A4)
    ways = [(way, measurement.system(way.direction)) for way in planned.ways]
    documents = (
        measurement_document.to_document(measurement, settings=unusual),
        yields_document.to_document(counted, settings=unusual),
        plan_document.to_document(planned, measurement, settings=unusual),
    )
    figures = {f"{figure.name}.png": figure.picture for figure in full.figures}
    return {
        PAGE: html_text(full),
        SHEETS: report_pdf_bytes(full, paper=sheet),
        GUIDE: guide_pdf_bytes(ways, paper=sheet, printed=printed, units=units),
        **dict(zip(DOCUMENTS, map(to_text, documents), strict=True)),
        **dict(zip(TABLES, (csv_text(full.content), plan_csv(planned)), strict=True)),
        **{name: picture_bytes(picture, name) for name, picture in figures.items()},
    }
