"""``plaidcut which-cut``: which cut each loose strip is."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import (
    FILES,
    AnswerOptions,
    PrintedOptions,
    ScaleOptions,
    TableFileOptions,
)


def which_cut(
    photo: Annotated[Path, typer.Argument(metavar="PHOTO", help="JPEG, PNG, HEIC, WebP or TIFF.")],
    *,
    picture: Annotated[
        Path | None,
        Option(
            "--picture",
            metavar="FILE",
            help="Write the photo with its strips outlined and named, as JPEG or PNG.",
            rich_help_panel=FILES,
        ),
    ] = None,
    scale: ScaleOptions,
    printed: PrintedOptions,
    files: TableFileOptions,
    answer: AnswerOptions,
) -> str:
    """Measure ready-cut strips in a photo, and say which cut each of them is.

    Lay them on a plain table of another colour, flat and apart, in the middle of the
    picture, the printed card beside them, and photograph all from straight above.

    Example: plaidcut which-cut strips.jpg --picture named.jpg
    """
    from plaidcut import tasks
    from plaidcut.cli.asked import scale_way, settings_of
    from plaidcut.cli.busy import busy
    from plaidcut.cli.show import check_files, respond
    from plaidcut.documents.loose import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.photo import load_photo
    from plaidcut.pictures.encode import picture_bytes
    from plaidcut.pictures.loose_picture import loose_picture
    from plaidcut.reports.loose_csv import loose_csv
    from plaidcut.reports.loose_terminal import print_loose

    settings = settings_of(answer)
    check_files(files, picture=picture)
    way = scale_way(scale, printed)
    with busy(f"Measuring {photo.name} ..."):
        shown = load_photo(photo, max_megapixels=settings.max_megapixels)
        named = tasks.which_cut(shown, settings.cuts, scale=way)
    document = to_document(named)
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    if files.csv is not None:
        contents[files.csv] = loose_csv(named)
    if picture is not None:
        marked = loose_picture(shown, named, units=settings.units)
        contents[picture] = picture_bytes(marked, picture.name)
    return respond(
        document=document,
        report=partial(print_loose, named, units=settings.units),
        contents=contents,
        force=files.force,
        as_json=answer.as_json,
    )
