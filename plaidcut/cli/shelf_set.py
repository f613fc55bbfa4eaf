"""``plaidcut shelf set`` and ``remove``: what is said of a cloth, and taking it off."""

from __future__ import annotations

import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import AnswerOptions, ShelfOptions
from plaidcut.cli.shelf_options import ABOUT, AboutOptions

USED = "What becomes of it"


def set_(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")],
    *,
    rename: Annotated[
        str | None,
        Option(metavar="NAME", help="Call it otherwise from now on.", rich_help_panel=ABOUT),
    ] = None,
    corrections: Annotated[
        Path | None,
        Option(
            metavar="FILE.json",
            help="Put right by hand what was measured, in place of what was put right before; an "
            "empty list leaves it as measured.",
            rich_help_panel=ABOUT,
        ),
    ] = None,
    was_cut: Annotated[
        list[str] | None,
        Option(
            metavar="WHAT=MUCH",
            help='What was cut from it, today unless a day stands before it: "the border = 12 '
            'strips of #8". May come again.',
            rich_help_panel=USED,
        ),
    ] = None,
    reserve: Annotated[
        list[str] | None,
        Option(
            metavar="RUG[=STRIPS]",
            help='Keep it for a rug: "hearth rug = 40 strips", or all of it. May come again.',
            rich_help_panel=USED,
        ),
    ] = None,
    release: Annotated[
        list[str] | None,
        Option(
            metavar="RUG",
            help="Keep nothing more of it for that rug. May come again.",
            rich_help_panel=USED,
        ),
    ] = None,
    about: AboutOptions,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Say more of a cloth: notes, where it lies, how much there is, what was cut of it.

    Example: plaidcut shelf set "Harbour skirt" --reserve "hearth rug = 40 strips"
    """
    from plaidcut.cli.asked import settings_of
    from plaidcut.cli.asked_shelf import about_of, changing, put_right
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import shelf_document
    from plaidcut.reports.shelf_terminal import print_entry
    from plaidcut.shelf import store
    from plaidcut.shelf.said import today, used
    from plaidcut.shelved_typed import checked_name

    units = settings_of(answer).units
    with changing(shelf) as connection:
        (before,) = store.entries(connection, [store.known_id(connection, name)])
        said = used(
            about_of(about, before.about),
            was_cut=was_cut or (),
            reserve=reserve or (),
            release=release or (),
            today=today(),
        )
        entry = store.with_words(before, said)
        if rename is not None:
            entry = replace(entry, name=checked_name(rename))
        if corrections is not None:
            put_right(connection, name, corrections)
        store.change(connection, name, entry)
    return respond(
        document=shelf_document([entry]),
        report=partial(print_entry, entry, units=units),
        contents={},
        force=False,
        as_json=answer.as_json,
    )


def remove(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")],
    *,
    yes: Annotated[bool, Option("--yes", help="Don't ask.")] = False,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Take a cloth off the shelf, with its photo and all that was said of it.

    Example: plaidcut shelf remove "Harbour skirt"
    """
    from plaidcut.cli.asked import settings_of, shelf_of
    from plaidcut.cli.asked_shelf import changing
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import shelf_document
    from plaidcut.reports.shelf_terminal import print_removed
    from plaidcut.shelf import store
    from plaidcut.shelf.opening import open_shelf

    settings_of(answer)
    with open_shelf(shelf_of(shelf)) as connection:
        (entry,) = store.entries(connection, [store.known_id(connection, name)])
    if not yes:
        _ask(entry.name)
    with changing(shelf) as connection:
        store.remove(connection, entry.name)
    return respond(
        document=shelf_document([entry]),
        report=partial(print_removed, entry),
        contents={},
        force=False,
        as_json=answer.as_json,
    )


def somebody_is_there() -> bool:
    """Whether somebody sits before a terminal."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def _ask(name: str) -> None:
    """Ask whether it is meant, if there is somebody to ask.

    Raises
    ------
    UsageError
        If there isn't, or it isn't meant.
    """
    from plaidcut.errors import UsageError

    if not somebody_is_there():
        msg = f'Nobody is there to say whether "{name}" is to be removed.'
        raise UsageError(msg, hint="Say --yes if it is.")
    if not typer.confirm(f'Remove "{name}", its photo and its notes for good?', err=True):
        msg = f'"{name}" stays on the shelf.'
        raise UsageError(msg, hint="Nothing was changed.")
