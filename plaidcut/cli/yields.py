"""``plaidcut yield``: the strips that a cloth gives."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from plaidcut.cli.options import AnswerOptions, FileOptions, MeasureOptions, ShelfOptions


def yields(
    source: Annotated[
        Path | None,
        typer.Argument(
            metavar="SOURCE",
            help="A photo, the document of one measured before, or a name on the shelf.",
        ),
    ] = None,
    *,
    cut: Annotated[
        list[str] | None,
        typer.Option(metavar="CUT", help='Your cut: a number, or a width "5 mm". May come again.'),
    ] = None,
    keep: Annotated[
        list[str] | None,
        typer.Option(
            metavar="BANDS",
            help="Keep this stripe whole: U4, or U3-U5 with its neighbours. May come again.",
        ),
    ] = None,
    first: Annotated[
        str | None,
        typer.Option("--from", metavar="BAND", help="Count strips in the part from this band ..."),
    ] = None,
    last: Annotated[
        str | None, typer.Option("--to", metavar="BAND", help="... to this one, both included.")
    ] = None,
    wander: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH", help='How far an edge may stray from where you aim; else "1/32 in".'
        ),
    ] = None,
    photo: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="The photo of a document, to draw --picture on."),
    ] = None,
    how: MeasureOptions,
    shelf: ShelfOptions,
    files: FileOptions,
    answer: AnswerOptions,
) -> str:
    """Count the strips of every cut, and say which cut keeps a stripe whole.

    SOURCE is measured first if it is a photo, with the options of `plaidcut measure`.

    Example: plaidcut yield skirt.jpg --cut 8 --keep U3-U5 --picture marked.jpg
    """
    from plaidcut.cli.asked import settings_of, source_of
    from plaidcut.cli.asked_cuts import cuts_of, section_of
    from plaidcut.cli.show import check_files, contents_of, respond
    from plaidcut.documents.yields import to_document
    from plaidcut.reports.content import report_content
    from plaidcut.reports.terminal import print_report
    from plaidcut.tasks import yields as count
    from plaidcut.units import parse_length

    settings = settings_of(answer)
    check_files(files, picture=files.picture)
    own, cuts = cuts_of(cut, settings)
    section = section_of(first, last)
    wander_mm = settings.wander_mm if wander is None else parse_length(wander, zero=True)
    opened = source_of(source, how, settings, photo_path=photo, shelf=shelf)
    counted = count(
        opened.measurement,
        cuts=cuts,
        keep=keep or (),
        section=section,
        wander_mm=wander_mm,
    )
    document = to_document(counted, settings=opened.unusual)
    content = report_content(opened.measurement, counted, units=settings.units, own=own)
    return respond(
        document=document,
        report=partial(print_report, content),
        contents=contents_of(
            files, document=document, content=content, source=opened, units=settings.units
        ),
        force=files.force,
        as_json=answer.as_json,
    )
