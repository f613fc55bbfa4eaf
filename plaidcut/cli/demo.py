"""``plaidcut demo``: the main job on a photo that comes with the package."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated, Final

import typer

from plaidcut.cli.options import FILES, AnswerOptions
from plaidcut.files import check_targets, make_folder

NAMES: Final = ("demo.jpg", "marked.jpg", "measurement.json", "yield.json", "strips.csv")
PHOTO, MARKED, MEASUREMENT, YIELD, TABLE = NAMES

ABOUT: Final = (
    "This is the Harbour skirt, from the back room of thrifted wool in Marrow Lane. Room and "
    "skirt are invented: a program drew the photo thread by thread."
)


def demo(
    *,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help="Write the photo, marked and unmarked, documents and table there.",
            rich_help_panel=FILES,
        ),
    ] = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Write over files that are there.", rich_help_panel=FILES),
    ] = False,
    answer: AnswerOptions,
) -> str:
    """Measure an invented skirt, whose photo comes along, and count its strips.

    With a photo of your own, `plaidcut yield PHOTO --cut 8` does the same.

    Example: plaidcut demo --out demo
    """
    from plaidcut import tasks
    from plaidcut.cli.asked import settings_of
    from plaidcut.cli.asked_cuts import cuts_of
    from plaidcut.cli.busy import busy
    from plaidcut.cli.show import marked_picture, respond
    from plaidcut.documents import measurement, yields
    from plaidcut.documents.text import to_text
    from plaidcut.reports.content import report_content
    from plaidcut.reports.table_csv import csv_text
    from plaidcut.reports.terminal import print_report
    from plaidcut.settings import USUAL_CUT
    from plaidcut.sources import Source
    from plaidcut.stripes.measurement import Washed

    settings = settings_of(answer)
    if out is not None:
        make_folder(out)
        check_targets([out / name for name in NAMES], force=force)
    photo = tasks.demo_photo()
    with busy("Measuring the Harbour skirt ..."):
        cloth = tasks.measure(photo, tasks.HowToMeasure(washed=Washed.YES))
    own, cuts = cuts_of(None if settings.cut else [USUAL_CUT], settings)
    counted = tasks.yields(cloth, cuts=cuts, wander_mm=settings.wander_mm)
    document = yields.to_document(counted)
    content = report_content(cloth, counted, units=settings.units, own=own)
    contents: dict[Path, str | bytes] = {}
    if out is not None:
        source = Source(measurement=cloth, photo=photo)
        contents = {
            out / PHOTO: tasks.demo_photo_bytes(),
            out / MARKED: marked_picture(source, MARKED, settings.units),
            out / MEASUREMENT: to_text(measurement.to_document(cloth)),
            out / YIELD: to_text(document),
            out / TABLE: csv_text(content),
        }
    return respond(
        document=document,
        report=partial(print_report, content),
        contents=contents,
        force=force,
        as_json=answer.as_json,
        remarks=[ABOUT],
    )
