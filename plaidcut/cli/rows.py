"""``plaidcut rows``: which cuts fill a gap in whole rows."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import AnswerOptions, DocumentFileOptions, PrintedOptions, ScaleOptions

PHOTO = "Gaps on a photo of the pattern"


def rows(
    width: Annotated[
        str | None,
        typer.Argument(metavar="WIDTH", help='The gap\'s width: "3/4 in".'),
    ] = None,
    *,
    cut: Annotated[
        list[str] | None,
        Option(metavar="CUT", help="A cut that you have. May come again; else all of the table."),
    ] = None,
    border: Annotated[
        str | None,
        Option(
            metavar="SIZE",
            help='The gap is the width of a border around this outside size: "24 in x 36 in".',
        ),
    ] = None,
    space: Annotated[
        str | None,
        Option(
            metavar="LENGTH",
            help="The gap is the stroke of letters, and this the space between and inside them.",
        ),
    ] = None,
    photo: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="A photo of the pattern with the printed card, or another scale, flat on it.",
            rich_help_panel=PHOTO,
        ),
    ] = None,
    gap: Annotated[
        list[str] | None,
        Option(
            metavar="X1,Y1,X2,Y2",
            help="Two points on either side of a gap, in pixels. May come again.",
            rich_help_panel=PHOTO,
        ),
    ] = None,
    scale: ScaleOptions,
    printed: PrintedOptions,
    files: DocumentFileOptions,
    answer: AnswerOptions,
) -> str:
    """Say which cuts fill a gap in whole rows, and what is to spare.

    Example: plaidcut rows "1 in" --border "24 in x 36 in"
    """
    from plaidcut import tasks
    from plaidcut.cli.asked import settings_of
    from plaidcut.cli.asked_rug import gaps_of
    from plaidcut.cli.show import check_files, respond
    from plaidcut.cutting.cuts import parse_cut
    from plaidcut.documents.rows import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.reports.rows_terminal import print_rows
    from plaidcut.rug.coverage import multiplier_of
    from plaidcut.rug.gaps import WhatToFill
    from plaidcut.rug.rows import RowWidths
    from plaidcut.units import parse_length, parse_size

    settings = settings_of(answer)
    check_files(files)
    cuts = tuple(parse_cut(text, settings.cuts) for text in cut or ()) or settings.cuts.cuts
    what = WhatToFill(
        cuts=cuts,
        widths=RowWidths(rows_per_inch=settings.rows_per_inch),
        border_mm=None if border is None else parse_size(border),
        space_mm=None if space is None else parse_length(space),
    )
    multipliers = [multiplier_of(each, settings.coverage) for each in cuts]
    gaps = gaps_of(width, photo, gap or (), scale, printed)
    filled = [tasks.rows(each, what, multipliers) for each in gaps]
    document = to_document(filled)
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    return respond(
        document=document,
        report=partial(print_rows, filled, units=settings.units),
        contents=contents,
        force=files.force,
        as_json=answer.as_json,
    )
