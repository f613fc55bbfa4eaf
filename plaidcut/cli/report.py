"""``plaidcut report``: pictures, page, paper and cutting guide in a folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import FILES, OUTPUT, AnswerOptions, MeasureOptions, ShelfOptions
from plaidcut.cli.plan_options import HandlingOptions, OneCutOptions, PieceOptions, WishOptions
from plaidcut.reports.card_sheet import Paper


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
    from plaidcut.documents.text import to_text
    from plaidcut.files import check_targets, make_folder, write_whole
    from plaidcut.report_files import DOCUMENTS, GUIDE, PAGE, SHEETS, TABLES, report_files

    settings = settings_of(answer)
    make_folder(out)
    check_targets([out / name for name in (PAGE, SHEETS, GUIDE, *DOCUMENTS, *TABLES)], force=force)
    if cloth_of_plan is None:
        opened = source_of(source, how, settings, photo_path=photo, shelf=shelf)
        what = what_to_plan(own, piece, wishes, handling, settings)
        planned = tasks.plan(opened.measurement, what)
    else:
        opened = source_of(cloth_of_plan, how, settings, photo_path=photo, shelf=shelf)
        planned = plan_again(source, opened.measurement, settings)
    with busy("Drawing ..."):
        files = report_files(
            opened.measurement,
            planned,
            photo=opened.photo,
            settings=settings,
            paper=paper,
            printed=printed_of(how.printed),
            made=made,
            unusual=opened.unusual,
        )
    contents = {out / name: held for name, held in files.items()}
    check_targets(contents, force=force)
    for path, held in contents.items():
        write_whole(path, held, force=force)
    written = [str(path) for path in contents]
    if answer.as_json:
        return to_text({"document": "plaidcut-report", "version": 1, "files": written})
    names = "\n".join(f"  {path.name}" for path in contents)
    return f"Wrote into {out}:\n{names}\nOpen {PAGE} in a browser; print {GUIDE} at 100 %.\n"
