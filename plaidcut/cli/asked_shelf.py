"""From options of the shelf as they were typed to its records."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from sqlite3 import Connection
from typing import Final

from plaidcut.cli.asked import shelf_of
from plaidcut.cli.asked_cuts import cut_of
from plaidcut.cli.options import ShelfOptions
from plaidcut.cli.shelf_options import AboutOptions
from plaidcut.cutting.cuts import parse_cut
from plaidcut.documents.corrections import to_document as corrections_document
from plaidcut.documents.measurement import from_document, hash_of, to_document
from plaidcut.documents.text import JsonObject
from plaidcut.errors import UsageError
from plaidcut.photo import load_photo
from plaidcut.rug.needs import NEAR_COLOUR
from plaidcut.settings import Settings
from plaidcut.shelf import store
from plaidcut.shelf.colours import colour_asked, colour_at
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelf.pictures import pictures_of_photo
from plaidcut.shelved import (
    About,
    Cloth,
    Entry,
    Pictures,
    Wanted,
    checked_day,
    checked_name,
    checked_words,
    key_of,
    parse_pieces,
    parse_reserved,
    parse_taken,
    parse_widths,
)
from plaidcut.sources import Source, corrections_made, open_corrections
from plaidcut.stripes.correct import as_measured
from plaidcut.stripes.measurement import Kind
from plaidcut.units import parse_numbers_px, parse_weight

NOTHING: Final = About()


def today() -> str:
    """The day, where she is."""
    return datetime.now(UTC).astimezone().date().isoformat()


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
    said: dict[str, object] = {}
    for field in ("note", "place", "fibre"):
        if (words := getattr(typed, field)) is not None:
            said[field] = checked_words(words, what=field)
    for field in ("washed_on", "overdyed_on"):
        if (day := getattr(typed, field)) is not None:
            said[field] = checked_day(day)
    for field in ("weave", "garments"):
        if (value := getattr(typed, field)) is not None:
            said[field] = value
    if typed.pieces is not None:
        said["pieces"] = tuple(parse_pieces(text) for text in typed.pieces)
    if typed.weight is not None:
        said["weight_g"] = parse_weight(typed.weight)
    return replace(before, **said)  # type: ignore[arg-type]


def cloth_of_source(source: Source, name: str, about: About) -> tuple[Cloth, Pictures | None]:
    """A cloth for the shelf of what was measured, corrections apart from it, and its pictures."""
    measured = as_measured(source.measurement)
    document = to_document(measured, settings=source.unusual)
    made = source.measurement.corrections
    corrections = corrections_document(made, measured) if made else None
    sha256 = hash_of(measured) if measured.photo is None else measured.photo.sha256
    pictures = None if source.photo is None else pictures_of_photo(source.photo.pixels)
    cloth = cloth_for(document, sha256, measured.cloth.kind, name, about)
    return replace(cloth, corrections=corrections), pictures


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


def cloth_for(document: JsonObject, sha256: str, kind: Kind, name: str, about: About) -> Cloth:
    """A cloth measured and put on the shelf today."""
    entry = Entry(
        name=checked_name(name),
        source=sha256,
        kind=kind.value,
        about=about,
        added_on=today(),
        measured_on=today(),
    )
    return Cloth(entry=entry, document=document)


def used(
    about: About,
    *,
    was_cut: Sequence[str],
    reserve: Sequence[str],
    release: Sequence[str],
    today: str,
) -> About:
    """What is said of a cloth, with what was cut of it and what is kept for rugs added.

    Raises
    ------
    UsageError
        If something can't be read, or nothing is kept for a rug to release.
    """
    kept = {key_of(each.rug): each for each in about.reserved}
    for rug in release:
        if kept.pop(key_of(rug), None) is None:
            msg = f'Nothing of it is kept for "{rug}".'
            known = ", ".join(each.rug for each in about.reserved) or "no rug"
            raise UsageError(msg, hint=f"It is kept for {known}.")
    for text in reserve:
        wanted = parse_reserved(text)
        kept[key_of(wanted.rug)] = wanted
    taken = (*about.taken, *(parse_taken(text, today=today) for text in was_cut))
    return replace(about, taken=taken, reserved=tuple(kept.values()))


def wanted_of(
    settings: Settings,
    *,
    words: str | None,
    colour: str | None,
    spot: tuple[Path, str] | None,
    within: float | None,
    value: str | None,
    width: str | None,
    keeps_whole: str | None,
    kind: Kind | None,
    at_least: int | None,
    cut: str | None,
    most: int,
) -> Wanted:
    """What is looked for.

    Raises
    ------
    UsageError, BadLength
        If something can't be read, or contradicts something else.
    """
    lab, name = None, None
    if colour is not None and spot is not None:
        msg = "The colour is typed, or that of a spot."
        raise UsageError(msg, hint="Give --colour or --spot.")
    if within is not None and colour is None and spot is None:
        msg = "--within belongs to a colour."
        raise UsageError(msg, hint='Add --colour "dark red".')
    if value not in (None, "light", "medium", "dark"):
        msg = f'"{value}" is no value.'
        raise UsageError(msg, hint="Say light, medium or dark.")
    if colour is not None:
        asked, name = colour_asked(colour)
        lab = asked.lab
    elif spot is not None:
        x_px, y_px = parse_numbers_px(spot[1], 2, example="--spot photo.jpg 120,340")
        lab = colour_at(load_photo(spot[0], max_megapixels=settings.max_megapixels), x_px, y_px).lab
    kept = None if keeps_whole is None else parse_cut(keeps_whole, settings.cuts)
    return Wanted(
        lab=lab,
        within=NEAR_COLOUR if within is None else within,
        name=name,
        value=value,
        width_mm=None if width is None else parse_widths(width),
        keeps_whole_mm=None if kept is None else kept.width_mm,
        wander_mm=settings.wander_mm,
        kind=kind,
        words=words,
        at_least=at_least,
        cut_mm=(kept if kept is not None and cut is None else cut_of(cut, settings)).width_mm,
        most=most,
    )
