"""A cloth's records as rows of the shelf's tables, in both directions."""

from __future__ import annotations

import json
from collections.abc import Mapping
from sqlite3 import Connection, Row

from plaidcut.shelved import (
    About,
    Cloth,
    Entry,
    Pictures,
    Pieces,
    Reserved,
    Taken,
    Weave,
)
from plaidcut.shelved_typed import key_of

OF_CLOTH = (
    "name, key, source, kind, note, place, fibre, weave, garments, weight_g, washed_on, "
    "overdyed_on, colours_hold, added_on, measured_on"
)
"""Columns of the table of cloths that `row_of` fills, in its order."""


def row_of(entry: Entry) -> tuple[object, ...]:
    """A cloth's own row, without its lists and its measurement."""
    about = entry.about
    return (
        *(entry.name, key_of(entry.name), entry.source, entry.kind),
        *(about.note, about.place, about.fibre, about.weave.value),
        *(about.garments, about.weight_g, about.washed_on, about.overdyed_on),
        *(int(entry.colours_hold), entry.added_on, entry.measured_on),
    )


def entry_of(connection: Connection, row: Row) -> Entry:
    """The line of a cloth: its row, and the lists that hang on it."""
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


def write_lists(connection: Connection, cloth_id: int, about: About) -> None:
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


def write_document(connection: Connection, cloth_id: int, cloth: Cloth) -> None:
    """A cloth's measurement and its corrections, each as it is."""
    connection.execute(
        "INSERT INTO measurement VALUES (?, ?, ?)",
        (
            cloth_id,
            text_of(cloth.document),
            None if cloth.corrections is None else text_of(cloth.corrections),
        ),
    )


def write_pictures(connection: Connection, cloth_id: int, pictures: Pictures | None) -> None:
    """A cloth's photo, where there is one."""
    if pictures is not None:
        connection.execute(
            "INSERT INTO picture VALUES (?, ?, ?)", (cloth_id, pictures.copy, pictures.thumbnail)
        )


def text_of(document: Mapping[str, object]) -> str:
    """A document as the shelf keeps it, without blanks."""
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
