"""``plaidcut garment``: the strips of a whole garment."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import AnswerOptions, MeasureOptions, ShelfOptions, TableFileOptions
from plaidcut.cli.plan_options import PIECE, WISHES, HandlingOptions, WishOptions


def garment(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE.toml", help="The garment's pieces, with their holes."),
    ] = None,
    *,
    cloth: Annotated[
        Path | None,
        Option(
            metavar="SOURCE",
            help="Its cloth: a photo, the document of one measured before, or a name on the shelf.",
            rich_help_panel=PIECE,
        ),
    ] = None,
    piece: Annotated[
        list[str] | None,
        Option(
            metavar="PIECE",
            help='Without a file: "5 of 20 x 14 in", from side to side x up and down; "2 of '
            'sleeve" (skirt, kilt, trouser leg, blanket, scarf) of a rough size; or "photo", what '
            "the photo shows. May come again.",
            rich_help_panel=PIECE,
        ),
    ] = None,
    shortest: Annotated[
        str | None,
        Option(
            metavar="LENGTH",
            help='Shorter strips are bits; else "6 in".',
            rich_help_panel=PIECE,
        ),
    ] = None,
    length: Annotated[
        str | None,
        Option(
            metavar="LENGTH",
            help='The length you like strips to have; else "16 in".',
            rich_help_panel=PIECE,
        ),
    ] = None,
    cut: Annotated[
        list[str] | None,
        Option(
            metavar="CUT",
            help="Your cut, and others beside it: may come again. Else your own and those next to "
            "it.",
            rich_help_panel=WISHES,
        ),
    ] = None,
    wishes: WishOptions,
    handling: HandlingOptions,
    how: MeasureOptions,
    shelf: ShelfOptions,
    files: TableFileOptions,
    answer: AnswerOptions,
) -> str:
    """Count and measure the strips of a whole garment, in each direction.

    Example: plaidcut garment skirt.toml --cloth skirt.jpg --cut 8 --keep U4
    """
    from plaidcut import tasks
    from plaidcut.cli.asked import cloth_of, settings_of
    from plaidcut.cli.asked_cuts import cuts_beside, garment_of, planning_of
    from plaidcut.cli.busy import busy
    from plaidcut.cli.show import check_files, respond
    from plaidcut.cutting.garment import WhatToCut
    from plaidcut.documents.garment import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.reports.garment_content import garment_content
    from plaidcut.reports.garment_csv import garment_csv
    from plaidcut.reports.garment_terminal import print_garment

    settings = settings_of(answer)
    check_files(files)
    what = WhatToCut(
        cuts=cuts_beside(cut, settings),
        table=settings.cuts,
        keep=tuple(wishes.keep or ()),
        only=tuple(wishes.only or ()),
        rest=wishes.rest,
        planning=planning_of(wishes, handling, settings),
    )
    opened = cloth_of(cloth, how, settings, shelf)
    pieces = garment_of(file, piece or (), opened.measurement, shortest=shortest, length=length)
    with busy(f"Cutting {pieces.name} on paper ..."):
        strips = tasks.garment(opened.measurement, pieces, what)
    document = to_document(strips, opened.measurement, settings=opened.unusual)
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    if files.csv is not None:
        contents[files.csv] = garment_csv(strips)
    content = garment_content(opened.measurement, strips, units=settings.units)
    return respond(
        document=document,
        report=partial(print_garment, content),
        contents=contents,
        force=files.force,
        as_json=answer.as_json,
    )
