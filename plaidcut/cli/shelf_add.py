"""``plaidcut shelf add``: one cloth, or all photos of a folder."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from typer import Option

from plaidcut.cli.options import AnswerOptions, MeasureOptions, ShelfOptions
from plaidcut.cli.shelf_options import AboutOptions

if TYPE_CHECKING:
    from sqlite3 import Connection

    from plaidcut.many import Measured
    from plaidcut.shelved import About, Failed
    from plaidcut.sources import Source
    from plaidcut.tasks import HowToMeasure


def add(
    source: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="PHOTO|DOCUMENT|FOLDER",
            help="A photo, the document of one measured before, or a folder of photos; or several.",
        ),
    ] = None,
    *,
    name: Annotated[
        str | None, Option(metavar="NAME", help="What to call it; else as its file is called.")
    ] = None,
    again: Annotated[
        bool,
        Option("--again", help="Measured anew: it takes the place of what --name had before."),
    ] = False,
    photo: Annotated[
        Path | None, Option(metavar="FILE", help="The photo of a document, to keep it too.")
    ] = None,
    jobs: Annotated[
        int | None,
        Option(metavar="N", min=1, help="Photos measured at a time; else one a core."),
    ] = None,
    about: AboutOptions,
    how: MeasureOptions,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Measure cloths, and put them on the shelf.

    Of a folder every photo is measured that isn't on the shelf yet; one that can't be is told
    with its reason. Ctrl-C keeps what is done, and the same command goes on from there.

    Example: plaidcut shelf add skirt.jpg --name "Harbour skirt" --place "cedar chest"
    """
    from plaidcut.cli.asked import how_to_measure, settings_of, shelf_of, source_of
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import added_document
    from plaidcut.reports.shelf_terminal import print_added

    settings, where = settings_of(answer), shelf_of(shelf)
    paths = source or []
    if len(paths) > 1 or (paths and paths[0].is_dir()):
        _check_many(name, photo, how, again=again)
        measuring = how_to_measure(how, settings)
        added, there, failed = _add_many(paths, about, measuring, where, jobs=jobs)
    else:
        path = paths[0] if paths else None
        opening = partial(source_of, path, how, settings, photo_path=photo)
        name = _name(path, name, again=again)
        added, there, failed = [_add_one(path, name, about, opening, where, again=again)], [], []
    return respond(
        document=added_document(added, there, failed),
        report=partial(print_added, added, there, failed),
        contents={},
        force=False,
        as_json=answer.as_json,
    )


def _check_many(name: str | None, photo: Path | None, how: MeasureOptions, *, again: bool) -> None:
    from plaidcut.errors import UsageError

    if name is not None or photo is not None or how.corrections is not None or again:
        msg = "--name, --photo, --corrections and --again belong to one cloth."
        raise UsageError(msg, hint="Add that one by itself.")


def _name(path: Path | None, name: str | None, *, again: bool) -> str:
    """What the cloth is called: as typed, else as its file is."""
    from plaidcut.errors import UsageError
    from plaidcut.shelved_typed import name_of_file

    if name is not None:
        return name
    if path is None or again:
        msg = "It isn't said what the cloth is called."
        raise UsageError(msg, hint='Say --name "Harbour skirt".')
    return name_of_file(path.stem)


def _add_one(
    path: Path | None,
    name: str,
    about: AboutOptions,
    opening: Callable[[], Source],
    shelf: Path,
    *,
    again: bool,
) -> str:
    """Put one cloth on the shelf, and say what it is called there."""
    from plaidcut.cli.asked_shelf import about_of, cloth_of_source
    from plaidcut.shelf import store
    from plaidcut.shelf.opening import open_shelf, writing
    from plaidcut.shelf.putting import put_again

    said = about_of(about)
    with open_shelf(shelf, make=not again) as connection:
        if again:
            store.known_id(connection, name)  # refused before it is measured in vain
        elif path is not None:
            _refuse_known(connection, path)
        cloth, pictures = cloth_of_source(opening(), name, said)
        with writing(connection):
            if again:
                put_again(connection, cloth, pictures, partial(about_of, about))
            else:
                store.add(connection, cloth, pictures)
    return cloth.entry.name


def _refuse_known(connection: Connection, path: Path) -> None:
    """Refuse a photo that lies on the shelf before it is measured in vain."""
    from plaidcut.many import sha256_of
    from plaidcut.shelf.store import refuse_source

    if (sha256 := sha256_of(path)) is not None:
        refuse_source(connection, sha256)


def _add_many(
    paths: Sequence[Path],
    about: AboutOptions,
    how: HowToMeasure,
    shelf: Path,
    *,
    jobs: int | None,
) -> tuple[list[str], list[str], list[Failed]]:
    """Put photos on the shelf, each as soon as it is measured; names, known ones, faults."""
    from plaidcut.cli.asked_shelf import about_of
    from plaidcut.cli.busy import progress
    from plaidcut.many import cores, measure_many, photos_in
    from plaidcut.shelf.opening import open_shelf
    from plaidcut.shelved import Failed

    said = about_of(about)
    files = [file for path in paths for file in (photos_in(path) if path.is_dir() else [path])]
    added: list[str] = []
    there: list[str] = []
    failed: list[Failed] = []
    with (
        open_shelf(shelf, make=True) as connection,
        progress("Measuring", len(files)) as step,
    ):
        fresh = _fresh(files, connection, there, step)
        try:
            for outcome in measure_many(fresh, how, jobs=min(jobs or cores(), len(files))):
                if isinstance(outcome, Failed):
                    failed.append(outcome)
                elif (called := _put(connection, outcome, said)) is not None:
                    added.append(called)
                else:
                    there.append(str(outcome.path))
                step()
        except KeyboardInterrupt:
            sys.stderr.write(
                f"Stopped. {len(added)} of {len(files)} came onto the shelf and stay there; the "
                "same command goes on with the others.\n"
            )
            raise
    return added, there, failed


def _fresh(
    files: Sequence[Path], connection: Connection, there: list[str], step: Callable[[], None]
) -> Iterator[Path]:
    """The files whose photos aren't on the shelf, each photo once; the others are noted."""
    from plaidcut.many import sha256_of
    from plaidcut.shelf.store import name_of_source

    seen: set[str] = set()
    for file in files:
        sha256 = sha256_of(file) or str(file)  # what can't be read is told when it is measured
        if sha256 in seen or name_of_source(connection, sha256) is not None:
            there.append(str(file))
            step()
        else:
            seen.add(sha256)
            yield file


def _put(connection: Connection, measured: Measured, about: About) -> str | None:
    """Put a photo on the shelf and say what it is called; None where it has come there by now."""
    from plaidcut.shelf import store
    from plaidcut.shelf.opening import writing
    from plaidcut.shelf.putting import cloth_for
    from plaidcut.shelved_typed import name_of_file

    with writing(connection):
        if store.name_of_source(connection, measured.sha256) is not None:
            return None
        called = store.free_name(connection, name_of_file(measured.path.stem))
        cloth = cloth_for(measured.document, measured.sha256, measured.kind, called, about)
        store.add(connection, cloth, measured.pictures)
    return called
