"""``plaidcut shelf list`` and ``show``: what lies on the shelf."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from typer import Option

from plaidcut.cli.options import FILES, AnswerOptions, DocumentFileOptions, ShelfOptions

if TYPE_CHECKING:
    from rich.console import Console

    from plaidcut.reports.content import ReportContent
    from plaidcut.shelved import Entry
    from plaidcut.units import Units


def list_(
    *,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """List the cloths on the shelf.

    Example: plaidcut shelf list
    """
    from plaidcut.cli.asked import settings_of, shelf_of
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import shelf_document
    from plaidcut.reports.shelf_terminal import print_shelf
    from plaidcut.shelf.opening import open_shelf
    from plaidcut.shelf.store import entries

    units = settings_of(answer).units
    with open_shelf(shelf_of(shelf)) as connection:
        found = list(entries(connection))
    return respond(
        document=shelf_document(found),
        report=partial(print_shelf, found, units=units),
        contents={},
        force=False,
        as_json=answer.as_json,
    )


def show(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")],
    *,
    picture: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Write its photo with its bands marked, as JPEG or PNG.",
            rich_help_panel=FILES,
        ),
    ] = None,
    files: DocumentFileOptions,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Show a cloth: what is known of it, and its stripes.

    Example: plaidcut shelf show "Harbour skirt"
    """
    from plaidcut.cli.asked import settings_of, shelf_of
    from plaidcut.cli.show import check_files, marked_picture, respond
    from plaidcut.documents.shelf import cloth_document
    from plaidcut.documents.text import to_text
    from plaidcut.reports.content import report_content
    from plaidcut.shelf.derived import measurement_of
    from plaidcut.shelf.opening import open_shelf
    from plaidcut.shelf.store import load
    from plaidcut.sources import open_on_shelf

    units = settings_of(answer).units
    check_files(files, picture=picture)
    with open_shelf(shelf_of(shelf)) as connection:
        cloth = load(connection, name)
    document = cloth_document(cloth, whole=True)
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    if picture is not None:
        opened = open_on_shelf(name, shelf_of(shelf))
        contents[picture] = marked_picture(opened, picture.name, units)
    content = report_content(measurement_of(cloth), units=units)
    return respond(
        document=document,
        report=partial(_print, cloth.entry, content, units),
        contents=contents,
        force=files.force,
        as_json=answer.as_json,
    )


def _print(entry: Entry, content: ReportContent, units: Units, console: Console) -> None:
    from plaidcut.reports.shelf_terminal import print_entry
    from plaidcut.reports.terminal import print_report

    print_entry(entry, console, units=units)
    print_report(content, console)
