"""``plaidcut shelf export``, ``import`` and ``check``: the shelf carried away, and looked over."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from typer import Option

from plaidcut.cli.options import FILES, AnswerOptions, ShelfOptions

if TYPE_CHECKING:
    from rich.console import Console


def export(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The archive to write.")],
    *,
    copy: Annotated[
        bool,
        Option(
            "--copy",
            help="Write a copy of the shelf's own file instead, to be used with --shelf.",
            rich_help_panel=FILES,
        ),
    ] = False,
    force: Annotated[
        bool,
        Option("--force", help="Write over a file that is there.", rich_help_panel=FILES),
    ] = False,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Write the whole shelf into one archive of JSON documents and pictures.

    Example: plaidcut shelf export wool-room.zip
    """
    from plaidcut.cli.asked import settings_of, shelf_of
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import shelf_document
    from plaidcut.files import check_targets
    from plaidcut.reports.shelf_words import cloths_words
    from plaidcut.shelf.archive import write_archive, write_copy
    from plaidcut.shelf.opening import open_shelf
    from plaidcut.shelf.store import entries

    settings_of(answer)
    check_targets([file], force=force)
    with open_shelf(shelf_of(shelf)) as connection:
        (write_copy if copy else write_archive)(connection, file)
        kept = list(entries(connection))
    return respond(
        document=shelf_document(kept),
        report=partial(_print, f"Wrote {cloths_words(len(kept))} into {file}."),
        contents={},
        force=force,
        as_json=answer.as_json,
    )


def import_(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="An archive that shelf export has written.")
    ],
    *,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Put the cloths of an archive on the shelf, all of them or none.

    Cloths that are on the shelf stay as they are there; one whose name is taken gets a number.

    Example: plaidcut shelf import wool-room.zip
    """
    from plaidcut.cli.asked import settings_of, shelf_of
    from plaidcut.cli.busy import busy
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import added_document
    from plaidcut.reports.shelf_terminal import print_added
    from plaidcut.shelf.archive import look_through, take_in
    from plaidcut.shelf.opening import open_shelf, writing

    settings_of(answer)
    with busy(f"Looking through {file.name} ..."):
        look_through(file)
        with open_shelf(shelf_of(shelf), make=True) as connection, writing(connection):
            added, there = take_in(connection, file)
    return respond(
        document=added_document(added, there, []),
        report=partial(print_added, added, there, []),
        contents={},
        force=False,
        as_json=answer.as_json,
    )


def check(
    *,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Look the shelf over, mend what is missing, and say what can't be mended.

    Example: plaidcut shelf check
    """
    from plaidcut.cli.asked import settings_of
    from plaidcut.cli.asked_shelf import changing
    from plaidcut.cli.busy import busy
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import checked_document
    from plaidcut.reports.shelf_terminal import print_checked
    from plaidcut.shelf.check import check as look_over

    settings_of(answer)
    with busy("Looking the shelf over ..."), changing(shelf) as connection:
        found = look_over(connection)
    left = [each.told for each in found.left]
    return respond(
        document=checked_document(found.cloths, found.mended, left),
        report=partial(print_checked, found.cloths, found.mended, left),
        contents={},
        force=False,
        as_json=answer.as_json,
    )


def _print(sentence: str, console: Console) -> None:
    from rich.text import Text

    console.print(Text(sentence))
