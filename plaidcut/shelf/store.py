"""Cloths into the shelf and out of it. Whoever calls holds the transaction."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from sqlite3 import Connection, Row

from plaidcut.errors import AlreadyExists, FileTrouble, NotFound
from plaidcut.shelf.derived import derive, measurement_of
from plaidcut.shelf.records import (
    OF_CLOTH,
    entry_of,
    row_of,
    text_of,
    write_document,
    write_lists,
    write_pictures,
)
from plaidcut.shelf.schema import DERIVED
from plaidcut.shelved import About, Cloth, Entry, Pictures
from plaidcut.shelved_typed import checked_name, key_of


def add(connection: Connection, cloth: Cloth, pictures: Pictures | None) -> None:
    """Put a cloth on the shelf.

    Raises
    ------
    AlreadyExists
        If its name is taken, or the same photo lies on the shelf.
    FileTrouble
        If its document is no measurement.
    """
    entry = cloth.entry
    refuse_source(connection, entry.source)
    if find_id(connection, entry.name) is not None:
        msg = f'There is a cloth called "{entry.name}" on the shelf already.'
        raise AlreadyExists(msg, hint="Give this one another name with --name.")
    measurement = measurement_of(cloth)
    row = row_of(entry)
    places = ", ".join("?" * len(row))
    cloth_id = connection.execute(
        f"INSERT INTO cloth ({OF_CLOTH}) VALUES ({places})",  # noqa: S608 -- names of our own
        row,
    ).lastrowid
    if cloth_id is None:
        raise AssertionError  # an insert has one
    write_lists(connection, cloth_id, entry.about)
    write_document(connection, cloth_id, cloth)
    write_pictures(connection, cloth_id, pictures)
    derive(connection, cloth_id, measurement)


def refuse_source(connection: Connection, source: str) -> None:
    """Refuse a photo that lies on the shelf.

    Raises
    ------
    AlreadyExists
        If it does; it says as what.
    """
    if (there := name_of_source(connection, source)) is not None:
        msg = f'It is on the shelf already, as "{there}".'
        hint = f'Measure it anew with --again --name "{there}".'
        raise AlreadyExists(msg, hint=hint)


def measured_again(connection: Connection, cloth: Cloth, pictures: Pictures | None) -> None:
    """Put a new measurement, and its pictures, in the place of a cloth's old one.

    What she said of the cloth stays; corrections of the old measurement go.

    Raises
    ------
    NotFound, AlreadyExists
        If there is no such cloth, or its photo is another cloth's.
    """
    cloth_id, entry = known_id(connection, cloth.entry.name), cloth.entry
    there = name_of_source(connection, entry.source)
    if there is not None and key_of(there) != key_of(entry.name):
        msg = f'This photo is of "{there}" on the shelf.'
        raise AlreadyExists(msg, hint="Name that cloth, or take another photo.")
    connection.execute(
        "UPDATE cloth SET source = ?, kind = ?, measured_on = ?, colours_hold = 1 WHERE id = ?",
        (entry.source, entry.kind, entry.measured_on, cloth_id),
    )
    connection.execute("DELETE FROM measurement WHERE cloth_id = ?", (cloth_id,))
    write_document(connection, cloth_id, cloth)
    connection.execute("DELETE FROM picture WHERE cloth_id = ?", (cloth_id,))
    write_pictures(connection, cloth_id, pictures)
    derive(connection, cloth_id, measurement_of(cloth))


def change(connection: Connection, name: str, entry: Entry) -> None:
    """Keep what she says of a cloth now, its name too.

    Raises
    ------
    NotFound, AlreadyExists
        If there is no such cloth, or its new name is another's.
    """
    cloth_id = known_id(connection, name)
    if find_id(connection, entry.name) not in (None, cloth_id):
        msg = f'There is a cloth called "{entry.name}" on the shelf already.'
        raise AlreadyExists(msg, hint="Choose another name.")
    places = ", ".join(f"{column} = ?" for column in OF_CLOTH.split(", "))
    connection.execute(
        f"UPDATE cloth SET {places} WHERE id = ?",  # noqa: S608 -- names of our own
        (*row_of(entry), cloth_id),
    )
    write_lists(connection, cloth_id, entry.about)


def correct(connection: Connection, name: str, corrections: Mapping[str, object] | None) -> None:
    """Keep corrections beside a cloth's measurement, or take them away again.

    Raises
    ------
    NotFound
        If there is no such cloth.
    FileTrouble
        If they can't be made in what was measured.
    """
    cloth_id = known_id(connection, name)
    connection.execute(
        "UPDATE measurement SET corrections = ? WHERE cloth_id = ?",
        (None if corrections is None else text_of(corrections), cloth_id),
    )
    measurement = measurement_of(load(connection, name))
    kind = measurement.cloth.kind.value
    connection.execute("UPDATE cloth SET kind = ? WHERE id = ?", (kind, cloth_id))
    derive(connection, cloth_id, measurement)


def remove(connection: Connection, name: str) -> None:
    """Take a cloth off the shelf.

    Raises
    ------
    NotFound
        If there is no such cloth.
    """
    cloth_id = known_id(connection, name)
    connection.execute("DELETE FROM words WHERE rowid = ?", (cloth_id,))
    connection.execute("DELETE FROM cloth WHERE id = ?", (cloth_id,))


def load(connection: Connection, name: str) -> Cloth:
    """A cloth with its measurement.

    Raises
    ------
    NotFound
        If there is no such cloth.
    FileTrouble
        If its document is damaged or missing.
    """
    cloth_id = known_id(connection, name)
    (entry,) = entries(connection, [cloth_id])
    row = connection.execute(
        "SELECT document, corrections FROM measurement WHERE cloth_id = ?", (cloth_id,)
    ).fetchone()
    try:
        document, corrections = row if row is not None else ("", None)
        return Cloth(
            entry=entry,
            document=json.loads(document),
            corrections=None if corrections is None else json.loads(corrections),
        )
    except ValueError as error:
        msg = f'The measurement of "{entry.name}" on the shelf is damaged or missing.'
        raise FileTrouble(msg, hint="Run plaidcut shelf check.") from error


def pictures_of(connection: Connection, name: str) -> Pictures | None:
    """A cloth's photo; None where it was put on the shelf without one."""
    row = connection.execute(
        "SELECT copy, thumbnail FROM picture WHERE cloth_id = ?", (known_id(connection, name),)
    ).fetchone()
    return None if row is None else Pictures(copy=row[0], thumbnail=row[1] or b"")


def entries(connection: Connection, ids: list[int] | None = None) -> Iterator[Entry]:
    """The lines of some cloths, in that order, or of all by name."""
    rows = connection.cursor()
    rows.row_factory = Row
    if ids is None:
        for row in rows.execute("SELECT * FROM cloth ORDER BY key"):
            yield entry_of(connection, row)
        return
    for cloth_id in ids:
        yield entry_of(
            connection, rows.execute("SELECT * FROM cloth WHERE id = ?", (cloth_id,)).fetchone()
        )


def names(connection: Connection) -> list[str]:
    """The names of all cloths, sorted."""
    return [name for (name,) in connection.execute("SELECT name FROM cloth ORDER BY key")]


def find_id(connection: Connection, name: str) -> int | None:
    """The id of the cloth of that name, however its capitals are typed."""
    row = connection.execute("SELECT id FROM cloth WHERE key = ?", (key_of(name),)).fetchone()
    return None if row is None else int(row[0])


def name_of_source(connection: Connection, source: str) -> str | None:
    """The name of the cloth of that photo, if it is on the shelf."""
    row = connection.execute("SELECT name FROM cloth WHERE source = ?", (source,)).fetchone()
    return None if row is None else str(row[0])


def free_name(connection: Connection, name: str) -> str:
    """The name, or it with a number behind it, that no cloth has yet."""
    tried, number = name, 1
    while find_id(connection, tried) is not None:
        number += 1
        tried = checked_name(f"{name[:70]} {number}")
    return tried


def waiting(connection: Connection) -> list[tuple[int, str]]:
    """Id and name of the cloths whose bands and stripes aren't of today's kind."""
    return connection.execute(
        "SELECT id, name FROM cloth WHERE derived <> ? ORDER BY id", (DERIVED,)
    ).fetchall()


def derive_waiting(connection: Connection) -> None:
    """Write bands and stripes of those; a damaged measurement keeps waiting, for `check`."""
    for cloth_id, name in waiting(connection):
        with suppress(FileTrouble):
            derive(connection, cloth_id, measurement_of(load(connection, name)))


def with_words(entry: Entry, about: About) -> Entry:
    """The entry with what is said of it now; overdyed anew, its colours don't hold."""
    overdyed = about.overdyed_on is not None and about.overdyed_on != entry.about.overdyed_on
    return replace(entry, about=about, colours_hold=entry.colours_hold and not overdyed)


def known_id(connection: Connection, name: str) -> int:
    """The id of the cloth of that name.

    Raises
    ------
    NotFound
        If there is none; it says which one might be meant.
    """
    cloth_id = find_id(connection, name)
    if cloth_id is None:
        import difflib

        near = difflib.get_close_matches(name, names(connection), n=1)
        hint = f'Did you mean "{near[0]}"?' if near else "plaidcut shelf list shows what there is."
        msg = f'There is no cloth called "{name}" on the shelf.'
        raise NotFound(msg, hint=hint)
    return cloth_id
