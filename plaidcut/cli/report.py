"""``plaidcut report``: pictures, page, paper and cutting guide in a folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Final

import typer
from typer import Option

from plaidcut.cli.options import FILES, OUTPUT, AnswerOptions, MeasureOptions, ShelfOptions
from plaidcut.cli.plan_options import HandlingOptions, OneCutOptions, PieceOptions, WishOptions
from plaidcut.reports.card_sheet import Paper

PAGE: Final = "report.html"
SHEETS: Final = "report.pdf"
GUIDE: Final = "guide.pdf"
DOCUMENTS: Final = ("measurement.json", "yield.json", "plan.json")


def report(
    source: Annotated[
        Path | None,
        typer.Argument(
            metavar="SOURCE",
            help="A photo, a measurement document, a name on the shelf; or a plan's document.",
        ),
    ] = None,
    *,
    cloth_of_plan: Annotated[
        Path | None,
        Option(
            "--cloth",
            metavar="SOURCE",
            help="The cloth of a plan's document: its photo, document or name on the shelf.",
        ),
    ] = None,
    out: Annotated[
        Path, Option(metavar="FOLDER", help="Where everything is written.", rich_help_panel=FILES)
    ],
    paper: Annotated[
        Paper | None,
        Option(
            help="The printer's paper; else Letter with inches, A4 with mm.", rich_help_panel=FILES
        ),
    ] = None,
    made: Annotated[
        str,
        Option(
            metavar="WORDS",
            help='When it was made, as it shall stand there: "3 May, for the hearth rug".',
            rich_help_panel=OUTPUT,
        ),
    ] = "",
    photo: Annotated[
        Path | None,
        Option(metavar="FILE", help="The photo of a document, for pictures of the cloth."),
    ] = None,
    force: Annotated[
        bool,
        Option("--force", help="Write over files that are there.", rich_help_panel=FILES),
    ] = False,
    own: OneCutOptions,
    piece: PieceOptions,
    wishes: WishOptions,
    handling: HandlingOptions,
    how: MeasureOptions,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Write a report with pictures, for screen and paper, and the paper cutting guide.

    Example: plaidcut report skirt.jpg --cut 8 --out skirt-report
    """
    from plaidcut import tasks
    from plaidcut.cli.asked import printed_of, settings_of, source_of
    from plaidcut.cli.asked_cuts import plan_again, what_to_plan
    from plaidcut.cli.busy import busy
    from plaidcut.documents import measurement, plan, yields
    from plaidcut.documents.text import to_text
    from plaidcut.files import check_targets, make_folder, write_whole
    from plaidcut.pictures.encode import picture_bytes
    from plaidcut.reports.full_html import html_text
    from plaidcut.reports.full_pdf import report_pdf_bytes
    from plaidcut.reports.guide import guide_pdf_bytes
    from plaidcut.units import Units

    settings = settings_of(answer)
    make_folder(out)
    check_targets([out / name for name in (PAGE, SHEETS, GUIDE, *DOCUMENTS)], force=force)
    if cloth_of_plan is None:
        opened = source_of(source, how, settings, photo_path=photo, shelf=shelf)
        what = what_to_plan(own, piece, wishes, handling, settings)
        planned = tasks.plan(opened.measurement, what)
    else:
        opened = source_of(cloth_of_plan, how, settings, photo_path=photo, shelf=shelf)
        planned = plan_again(source, opened.measurement, settings)
    cloth = opened.measurement
    cut = planned.ways[0].wishes.cut
    cuts = tuple(dict.fromkeys((*settings.cuts.cuts, cut)))
    counted = tasks.yields(cloth, cuts=cuts, wander_mm=settings.wander_mm)
    with busy("Drawing ..."):
        full = tasks.report(
            cloth, counted, planned, photo=opened.photo, own=cut, units=settings.units, made=made
        )
        sheet = paper or (Paper.LETTER if settings.units is Units.IN else Paper.A4)
        contents: dict[Path, str | bytes] = {
            out / PAGE: html_text(full),
            out / SHEETS: report_pdf_bytes(full, paper=sheet),
            out / GUIDE: guide_pdf_bytes(
                [(way, cloth.system(way.direction)) for way in planned.ways],
                paper=sheet,
                printed=printed_of(how.printed),
                units=settings.units,
            ),
            out / "measurement.json": to_text(
                measurement.to_document(cloth, settings=opened.unusual)
            ),
            out / "yield.json": to_text(yields.to_document(counted, settings=opened.unusual)),
            out / "plan.json": to_text(plan.to_document(planned, cloth, settings=opened.unusual)),
        }
        for figure in full.figures:
            name = f"{figure.name}.png"
            contents[out / name] = picture_bytes(figure.picture, name)
    check_targets(contents, force=force)
    for path, held in contents.items():
        write_whole(path, held, force=force)
    written = [str(path) for path in contents]
    if answer.as_json:
        return to_text({"document": "plaidcut-report", "version": 1, "files": written})
    names = "\n".join(f"  {path.name}" for path in contents)
    return f"Wrote into {out}:\n{names}\nOpen {PAGE} in a browser; print {GUIDE} at 100 %.\n"
