"""From options of the shelf as they were typed to its records."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from sqlite3 import Connection

from plaidcut.cli.asked import shelf_of
from plaidcut.cli.options import ShelfOptions
from plaidcut.cli.shelf_options import AboutOptions
from plaidcut.documents.corrections import to_document as corrections_document
from plaidcut.documents.measurement import from_document
from plaidcut.errors import UsageError
from plaidcut.photo import Photo, load_photo
from plaidcut.settings import Settings
from plaidcut.shelf import store
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelf.pictures import pictures_of_photo
from plaidcut.shelf.putting import cloth_measured
from plaidcut.shelf.said import NOTHING, about_said
from plaidcut.shelved import About, Cloth, Pictures
from plaidcut.sources import Source, corrections_made, open_corrections
from plaidcut.typed_px import parse_numbers_px


@contextmanager
def changing(shelf: ShelfOptions) -> Iterator[Connection]:
    """The shelf in one transaction: all of it, or nothing."""
    with open_shelf(shelf_of(shelf)) as connection, writing(connection):
        yield connection


def about_of(typed: AboutOptions, before: About = NOTHING) -> About:
    """What is said of a cloth, where it was said; else as before.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    return about_said(before, **asdict(typed))


def cloth_of_source(source: Source, name: str, about: About) -> tuple[Cloth, Pictures | None]:
    """A cloth for the shelf of what was measured, corrections apart from it, and its pictures."""
    pictures = None if source.photo is None else pictures_of_photo(source.photo.pixels)
    return cloth_measured(source.measurement, name, about, unusual=source.unusual), pictures


def spot_of(
    typed: tuple[Path, str] | None, colour: str | None, settings: Settings
) -> tuple[Photo, tuple[float, float]] | None:
    """A spot in a photo, for its colour.

    Raises
    ------
    UsageError
        If its place can't be read, or a colour is typed beside it.
    FileTrouble
        If there is no such photo, or it can't be read.
    """
    if typed is None:
        return None
    if colour is not None:
        msg = "The colour is typed, or that of a spot."
        raise UsageError(msg, hint="Give --colour or --spot.")
    x_px, y_px = parse_numbers_px(typed[1], 2, example="--spot photo.jpg 120,340")
    return load_photo(typed[0], max_megapixels=settings.max_megapixels), (x_px, y_px)


def put_right(connection: Connection, name: str, file: Path) -> None:
    """Keep the corrections of a file beside a cloth on the shelf; an empty list takes them away.

    Raises
    ------
    NotFound, FileTrouble
        If there is no such file or cloth, or the corrections can't be made in it.
    """
    corrections = open_corrections(file)
    measured = from_document(store.load(connection, name).document)
    corrections_made(corrections, measured, name=file.name)
    made = corrections.corrections
    store.correct(connection, name, corrections_document(made, measured) if made else None)
