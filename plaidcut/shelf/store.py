"""Cloths into the shelf and out of it. Whoever calls holds the transaction."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from sqlite3 import Connection, Row

from plaidcut.errors import AlreadyExists, FileTrouble, NotFound
from plaidcut.shelf.derived import derive, measurement_of
from plaidcut.shelf.schema import DERIVED
from plaidcut.shelved import (
    About,
    Cloth,
    Entry,
    Pictures,
    Pieces,
    Reserved,
    Taken,
    Weave,
    checked_name,
    key_of,
)

_OF_CLOTH = (
    "name, key, source, kind, note, place, fibre, weave, garments, weight_g, washed_on, "
    "overdyed_on, colours_hold, added_on, measured_on"
)


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
    row = _row(entry)
    places = ", ".join("?" * len(row))
    cloth_id = connection.execute(
        f"INSERT INTO cloth ({_OF_CLOTH}) VALUES ({places})",  # noqa: S608 -- names of our own
        row,
    ).lastrowid
    if cloth_id is None:
        raise AssertionError  # an insert has one
    _write_lists(connection, cloth_id, entry.about)
    _write_document(connection, cloth_id, cloth)
    _write_pictures(connection, cloth_id, pictures)
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
    _write_document(connection, cloth_id, cloth)
    connection.execute("DELETE FROM picture WHERE cloth_id = ?", (cloth_id,))
    _write_pictures(connection, cloth_id, pictures)
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
    places = ", ".join(f"{column} = ?" for column in _OF_CLOTH.split(", "))
    connection.execute(
        f"UPDATE cloth SET {places} WHERE id = ?",  # noqa: S608 -- names of our own
        (*_row(entry), cloth_id),
    )
    _write_lists(connection, cloth_id, entry.about)


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
            yield _entry(connection, row)
        return
    for cloth_id in ids:
        yield _entry(
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


def text_of(document: Mapping[str, object]) -> str:
    """A document as the shelf keeps it, without blanks."""
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


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


def _row(entry: Entry) -> tuple[object, ...]:
    about = entry.about
    return (
        *(entry.name, key_of(entry.name), entry.source, entry.kind),
        *(about.note, about.place, about.fibre, about.weave.value),
        *(about.garments, about.weight_g, about.washed_on, about.overdyed_on),
        *(int(entry.colours_hold), entry.added_on, entry.measured_on),
    )


def _entry(connection: Connection, row: Row) -> Entry:
    own = (row["id"],)
    pieces = connection.execute(
        "SELECT count, width_mm, height_mm FROM piece WHERE cloth_id = ? ORDER BY number", own
    )
    taken = connection.execute(
        "SELECT taken_on, what, how_much FROM taken WHERE cloth_id = ? ORDER BY number", own
    )
    reserved = connection.execute(
        "SELECT rug, strips FROM reserved WHERE cloth_id = ? ORDER BY number", own
    )
    return Entry(
        name=row["name"],
        source=row["source"],
        kind=row["kind"],
        about=About(
            note=row["note"],
            place=row["place"],
            fibre=row["fibre"],
            weave=Weave(row["weave"]),
            pieces=tuple(Pieces(count=n, width_mm=w, height_mm=h) for n, w, h in pieces),
            garments=row["garments"],
            weight_g=row["weight_g"],
            washed_on=row["washed_on"],
            overdyed_on=row["overdyed_on"],
            taken=tuple(Taken(on=on, what=what, how_much=much) for on, what, much in taken),
            reserved=tuple(Reserved(rug=rug, strips=strips) for rug, strips in reserved),
        ),
        added_on=row["added_on"],
        measured_on=row["measured_on"],
        colours_hold=bool(row["colours_hold"]),
    )


def _write_lists(connection: Connection, cloth_id: int, about: About) -> None:
    """Pieces, cuttings, reservations and searched words, in the place of the old ones."""
    for table in ("piece", "taken", "reserved"):
        connection.execute(f"DELETE FROM {table} WHERE cloth_id = ?", (cloth_id,))  # noqa: S608
    connection.executemany(
        "INSERT INTO piece VALUES (?, ?, ?, ?, ?)",
        (
            (cloth_id, number, each.count, each.width_mm, each.height_mm)
            for number, each in enumerate(about.pieces)
        ),
    )
    connection.executemany(
        "INSERT INTO taken VALUES (?, ?, ?, ?, ?)",
        (
            (cloth_id, number, each.on, each.what, each.how_much)
            for number, each in enumerate(about.taken)
        ),
    )
    connection.executemany(
        "INSERT INTO reserved VALUES (?, ?, ?, ?)",
        ((cloth_id, number, each.rug, each.strips) for number, each in enumerate(about.reserved)),
    )
    connection.execute("DELETE FROM words WHERE rowid = ?", (cloth_id,))
    connection.execute(
        "INSERT INTO words (rowid, name, note, place) "
        "SELECT id, name, note, place FROM cloth WHERE id = ?",
        (cloth_id,),
    )


def _write_document(connection: Connection, cloth_id: int, cloth: Cloth) -> None:
    connection.execute(
        "INSERT INTO measurement VALUES (?, ?, ?)",
        (
            cloth_id,
            text_of(cloth.document),
            None if cloth.corrections is None else text_of(cloth.corrections),
        ),
    )


def _write_pictures(connection: Connection, cloth_id: int, pictures: Pictures | None) -> None:
    if pictures is not None:
        connection.execute(
            "INSERT INTO picture VALUES (?, ?, ?)", (cloth_id, pictures.copy, pictures.thumbnail)
        )
