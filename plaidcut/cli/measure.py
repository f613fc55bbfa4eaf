"""``plaidcut measure``: the stripes of a cloth."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from plaidcut.cli.options import AnswerOptions, FileOptions, MeasureOptions


def measure(
    photo: Annotated[
        Path | None, typer.Argument(metavar="PHOTO", help="JPEG, PNG, HEIC, WebP or TIFF.")
    ] = None,
    *,
    check: Annotated[
        str | None,
        typer.Option(
            metavar="BAND=WIDTH",
            help='Hold a width taken by ruler against the measured one: "U4 = 1/2 in".',
        ),
    ] = None,
    how: MeasureOptions,
    files: FileOptions,
    answer: AnswerOptions,
) -> str:
    """Measure the stripes of a plaid, in both thread directions.

    Lay the cloth out flat, washed and dried, with the printed card on it, and
    photograph both from straight above.

    Example: plaidcut measure skirt.jpg --out skirt.json --picture marked.jpg
    """
    from plaidcut.cli.asked import settings_of, source_of
    from plaidcut.cli.show import check_files, contents_of, respond
    from plaidcut.tasks import check_by_ruler

    settings = settings_of(answer)
    check_files(files, picture=files.picture)
    source = source_of(photo, how, settings)
    # loaded meanwhile, in the background
    from plaidcut.documents.measurement import to_document
    from plaidcut.reports.check_words import check_sentences
    from plaidcut.reports.content import report_content
    from plaidcut.reports.terminal import print_report

    checked, remarks = None, []
    if check is not None:
        checked = check_by_ruler(source.measurement, check)
        remarks = [check_sentences(checked, source.measurement, settings.units)]
    document = to_document(source.measurement, settings=source.unusual, check=checked)
    content = report_content(source.measurement, units=settings.units)
    return respond(
        document=document,
        report=partial(print_report, content),
        contents=contents_of(
            files, document=document, content=content, source=source, units=settings.units
        ),
        force=files.force,
        as_json=answer.as_json,
        remarks=remarks,
    )
