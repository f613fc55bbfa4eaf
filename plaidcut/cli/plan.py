"""``plaidcut plan``: where to tear and cut a piece."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import (
    FILES,
    AnswerOptions,
    MeasureOptions,
    ShelfOptions,
    TableFileOptions,
)
from plaidcut.cli.plan_options import HandlingOptions, OneCutOptions, PieceOptions, WishOptions


def plan(
    source: Annotated[
        Path | None,
        typer.Argument(
            metavar="SOURCE",
            help="A photo, the document of one measured before, or a name on the shelf.",
        ),
    ] = None,
    *,
    piece: PieceOptions,
    own: OneCutOptions,
    wishes: WishOptions,
    handling: HandlingOptions,
    picture: Annotated[
        Path | None,
        Option(
            "--picture",
            metavar="FILE",
            help="Draw the piece and its strips to scale, as JPEG or PNG.",
            rich_help_panel=FILES,
        ),
    ] = None,
    how: MeasureOptions,
    shelf: ShelfOptions,
    files: TableFileOptions,
    answer: AnswerOptions,
) -> str:
    """Say where to tear and cut a piece, pass by pass, in each direction.

    Without wishes it keeps the bold stripes whole that your cut can keep.

    Example: plaidcut plan skirt.jpg --cut 8 --keep U4 --at "U3 + 1/4 in" --picture plan.png
    """
    from plaidcut.cli.asked import settings_of, source_of
    from plaidcut.cli.asked_cuts import what_to_plan
    from plaidcut.cli.show import check_files, respond
    from plaidcut.documents.plan import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.pictures.encode import picture_bytes
    from plaidcut.pictures.plan_picture import plan_picture
    from plaidcut.reports.plan_content import plan_content
    from plaidcut.reports.plan_csv import plan_csv
    from plaidcut.reports.plan_terminal import print_plan
    from plaidcut.tasks import plan as make_plan

    settings = settings_of(answer)
    check_files(files, picture=picture)
    what = what_to_plan(own, piece, wishes, handling, settings)
    opened = source_of(source, how, settings, shelf=shelf)
    planned = make_plan(opened.measurement, what)
    document = to_document(planned, opened.measurement, settings=opened.unusual)
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    if files.csv is not None:
        contents[files.csv] = plan_csv(planned)
    if picture is not None:
        drawn = plan_picture(planned, units=settings.units)
        contents[picture] = picture_bytes(drawn, picture.name)
    content = plan_content(opened.measurement, planned, units=settings.units)
    return respond(
        document=document,
        report=partial(print_plan, content),
        contents=contents,
        force=files.force,
        as_json=answer.as_json,
    )
