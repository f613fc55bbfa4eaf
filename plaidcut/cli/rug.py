"""``plaidcut rug``: what a rug needs, and whether the wool covers it."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import AnswerOptions, DocumentFileOptions, ShelfOptions

ONE_AREA = "One area, without a file"
HALF_WAY = "Half-way"


def rug(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE.toml", help="The rug's areas, and the wool for them."),
    ] = None,
    *,
    area: Annotated[
        str | None,
        Option(
            metavar="AREA",
            help='How large it is: "24 x 36 in" or "120 sq in".',
            rich_help_panel=ONE_AREA,
        ),
    ] = None,
    cut: Annotated[
        str | None,
        Option(
            metavar="CUT",
            help="The cut; else that of your settings, or 8.",
            rich_help_panel=ONE_AREA,
        ),
    ] = None,
    wool: Annotated[
        str | None,
        Option(
            metavar="WOOL",
            help='What there is: "400 sq in", "1 1/2 yd", "40 of 16 in" (strips of that cut).',
            rich_help_panel=ONE_AREA,
        ),
    ] = None,
    hooked: Annotated[
        str | None,
        Option(
            metavar="PERCENT",
            help='Of every area so much is hooked: "40 %". The wool is what is left.',
            rich_help_panel=HALF_WAY,
        ),
    ] = None,
    left: Annotated[
        list[str] | None,
        Option(
            metavar="NAME=STRIPS",
            help='What is left of a supply: "the skirt=40 of 16 in". May come again.',
            rich_help_panel=HALF_WAY,
        ),
    ] = None,
    shelf: ShelfOptions,
    files: DocumentFileOptions,
    answer: AnswerOptions,
) -> str:
    """Say whether the wool at hand covers a rug, area by area.

    Example: plaidcut rug harbour.toml
    """
    from plaidcut import tasks
    from plaidcut.cli.asked import settings_of
    from plaidcut.cli.asked_rug import rug_of
    from plaidcut.cli.busy import busy
    from plaidcut.cli.quiet import quiet_output
    from plaidcut.cli.show import check_files, respond
    from plaidcut.documents.rug import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.reports.rug_content import rug_content
    from plaidcut.reports.rug_terminal import print_rug
    from plaidcut.rug.coverage import multiplier_of

    settings = settings_of(answer)
    check_files(files)
    planned = rug_of(
        file, (area, cut, wool), hooked=hooked, left=left or (), settings=settings, shelf=shelf
    )
    with busy(f"Matching wool and areas of {planned.name} ..."), quiet_output():
        found = tasks.rug(
            planned, settings.cuts.cuts, partial(multiplier_of, own=settings.coverage)
        )
    document = to_document(found)
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    return respond(
        document=document,
        report=partial(print_rug, rug_content(found, units=settings.units)),
        contents=contents,
        force=files.force,
        as_json=answer.as_json,
    )
