"""Putting a cloth on the shelf: what was measured, as the shelf keeps it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from sqlite3 import Connection

from plaidcut.documents.corrections import to_document as corrections_document
from plaidcut.documents.measurement import hash_of, to_document
from plaidcut.documents.text import JsonObject
from plaidcut.shelf import store
from plaidcut.shelf.said import today
from plaidcut.shelved import About, Cloth, Entry, Pictures
from plaidcut.shelved_typed import checked_name
from plaidcut.stripes.correct import as_measured
from plaidcut.stripes.measurement import Kind, Measurement


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


def cloth_measured(
    measurement: Measurement, name: str, about: About, *, unusual: Mapping[str, object]
) -> Cloth:
    """A cloth for the shelf of what was measured, corrections apart from it.

    Parameters
    ----------
    measurement
        The cloth, put right or not.
    name, about
        What it is called, and what is said of it.
    unusual
        What was set otherwise than usual when it was measured.

    Raises
    ------
    UsageError
        If it can't be called so.
    """
    measured = as_measured(measurement)
    document = to_document(measured, settings=unusual)
    made = measurement.corrections
    corrections = corrections_document(made, measured) if made else None
    cloth = cloth_for(document, source_of(measured), measured.cloth.kind, name, about)
    return replace(cloth, corrections=corrections)


def source_of(measurement: Measurement) -> str:
    """By what the shelf knows a cloth: SHA-256 of its photo's file, or of what was measured."""
    measured = as_measured(measurement)
    return hash_of(measured) if measured.photo is None else measured.photo.sha256


def put_again(
    connection: Connection,
    cloth: Cloth,
    pictures: Pictures | None,
    saying: Callable[[About], About],
) -> None:
    """Put a cloth that was measured anew in the place of the one of its name.

    Parameters
    ----------
    connection
        The shelf; whoever calls holds the transaction.
    cloth, pictures
        What was measured, with the pictures of its photo.
    saying
        From what was said of it before to what is said now.

    Raises
    ------
    NotFound, AlreadyExists
        If there is no such cloth, or its photo is another cloth's.
    UsageError, BadLength
        If what is said now can't be read.
    """
    name = cloth.entry.name
    store.measured_again(connection, cloth, pictures)
    (entry,) = store.entries(connection, [store.known_id(connection, name)])
    store.change(connection, name, store.with_words(entry, saying(entry.about)))


def put_in_place(
    connection: Connection, cloth: Cloth, pictures: Pictures | None, about: About
) -> None:
    """Put a cloth whose photo lies on the shelf in its place there, by whatever name it has.

    Nothing is measured anew of it where the measurement is the one that lies there; then only
    corrections, name and words change. Whoever calls holds the transaction.

    Raises
    ------
    NotFound
        If no cloth of that photo lies there.
    AlreadyExists
        If the name is another cloth's.
    """
    there = store.name_of_source(connection, cloth.entry.source)
    before = store.load(connection, there or cloth.entry.name)
    name = before.entry.name
    if before.document == cloth.document:
        store.correct(connection, name, cloth.corrections)
    else:
        renamed = replace(cloth, entry=replace(cloth.entry, name=name))
        store.measured_again(connection, renamed, pictures)
    (entry,) = store.entries(connection, [store.known_id(connection, name)])
    # the same photo tells nothing of colours that it was taken before
    entry = replace(entry, name=cloth.entry.name, colours_hold=before.entry.colours_hold)
    store.change(connection, name, store.with_words(entry, about))
