"""Looking the shelf over: what is missing is made anew from what is there, the rest is told."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, field
from enum import StrEnum
from sqlite3 import Connection

from plaidcut.errors import FileTrouble
from plaidcut.shelf.derived import (
    BAND_COLUMNS,
    STRIPE_COLUMNS,
    band_rows,
    derive,
    measurement_of,
    stripe_rows,
)
from plaidcut.shelf.pictures import LONGEST_PX, THUMBNAIL_PX, checked_copy, thumbnail_of
from plaidcut.shelf.schema import WORDS
from plaidcut.shelf.store import load


class Mending(StrEnum):
    """What she can do about what can't be mended from what is there."""

    BACK = "back"
    """Put back a copy of the shelf."""
    AGAIN = "again"
    """Measure a cloth anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What can't be mended."""

    what: str
    """In words, without a full stop."""
    name: str | None = None
    """The cloth to measure anew; None where a copy must be put back."""

    @property
    def way(self) -> Mending:
        """What to do."""
        return Mending.BACK if self.name is None else Mending.AGAIN

    @property
    def told(self) -> str:
        """It and the command that helps."""
        if self.name is None:
            return f"{self.what}: put back a copy made with plaidcut shelf export --copy."
        again = f'plaidcut shelf add PHOTO --again --name "{self.name}"'
        return f"{self.what}: measure it anew with {again}."


@dataclass(slots=True)
class Checked:
    """What was found."""

    cloths: int = 0
    mended: list[str] = field(default_factory=list)
    left: list[Left] = field(default_factory=list)


def check(connection: Connection) -> Checked:
    """Look the shelf over and mend what can be; whoever calls holds the transaction.

    Mended are indexes, the full text, rows of bands and stripes, thumbnails, and rows that belong
    to no cloth. Photos and measurements that are damaged can't be.
    """
    found = Checked()
    _check_file(connection, found)
    cloths = connection.execute("SELECT id, name FROM cloth ORDER BY key").fetchall()
    found.cloths = len(cloths)
    for cloth_id, name in cloths:
        _check_rows(connection, cloth_id, name, found)
        _check_pictures(connection, cloth_id, name, found)
    _check_words(connection, found)
    return found


def _check_file(connection: Connection, found: Checked) -> None:
    """The file itself, and rows of cloths that aren't there."""
    if _faults(connection):
        connection.execute("REINDEX")
        left = _faults(connection)
        if left:
            found.left.append(Left(what=f"The file is damaged ({left[0]})"))
        else:
            found.mended.append("An index of the file was made anew.")
    for table, row, *_ in connection.execute("PRAGMA foreign_key_check").fetchall():
        own = "rowid" if row is not None else None
        if own is None:  # a table without row numbers
            connection.execute(
                f"DELETE FROM {table} WHERE cloth_id NOT IN (SELECT id FROM cloth)"  # noqa: S608
            )
        else:
            connection.execute(f"DELETE FROM {table} WHERE rowid = ?", (row,))  # noqa: S608
        found.mended.append(f"A row of {table} that belonged to no cloth was taken out.")


def _faults(connection: Connection) -> list[str]:
    return [text for (text,) in connection.execute("PRAGMA integrity_check") if text != "ok"]


def _check_rows(connection: Connection, cloth_id: int, name: str, found: Checked) -> None:
    """Bands and stripes as the measurement has them."""
    try:
        measurement = measurement_of(load(connection, name))
    except FileTrouble as error:
        what = f'The measurement of "{name}" is damaged ({error.message})'
        found.left.append(Left(what=what, name=name))
        return
    bands = connection.execute(
        f"SELECT {BAND_COLUMNS} FROM band WHERE cloth_id = ? ORDER BY rowid",  # noqa: S608
        (cloth_id,),
    ).fetchall()
    stripes = connection.execute(
        f"SELECT {STRIPE_COLUMNS} FROM stripe WHERE cloth_id = ? ORDER BY rowid",  # noqa: S608
        (cloth_id,),
    ).fetchall()
    as_measured = [*band_rows(cloth_id, measurement)], [*stripe_rows(cloth_id, measurement)]
    if (bands, stripes) != as_measured:
        derive(connection, cloth_id, measurement)
        found.mended.append(f'The bands of "{name}" are found again.')


def _check_pictures(connection: Connection, cloth_id: int, name: str, found: Checked) -> None:
    """The photo whole, and a thumbnail of it."""
    row = connection.execute(
        "SELECT copy, thumbnail FROM picture WHERE cloth_id = ?", (cloth_id,)
    ).fetchone()
    if row is None:
        (photo,) = connection.execute(
            "SELECT json_extract(document, '$.photo.name') FROM measurement "
            "WHERE cloth_id = ? AND json_valid(document)",
            (cloth_id,),
        ).fetchone() or (None,)
        if photo is not None:
            found.left.append(Left(what=f'No photo of "{name}" is kept', name=name))
        return
    copy, thumbnail = row
    try:
        checked_copy(copy, LONGEST_PX)
    except FileTrouble:
        found.left.append(Left(what=f'The photo of "{name}" is damaged', name=name))
        return
    try:
        checked_copy(thumbnail or b"", THUMBNAIL_PX)
    except FileTrouble:
        connection.execute(
            "UPDATE picture SET thumbnail = ? WHERE cloth_id = ?", (thumbnail_of(copy), cloth_id)
        )
        found.mended.append(f'The thumbnail of "{name}" was made anew.')


def _check_words(connection: Connection, found: Checked) -> None:
    """The full text as the cloths have it."""
    words = "SELECT rowid, name, note, place FROM words ORDER BY rowid"
    cloths = "SELECT id, name, note, place FROM cloth ORDER BY id"
    try:
        connection.execute("INSERT INTO words (words) VALUES ('integrity-check')")
        same = connection.execute(words).fetchall() == connection.execute(cloths).fetchall()
    except sqlite3.DatabaseError:
        same = False
    if same:
        return
    try:
        connection.execute("DROP TABLE words")
        for statement in WORDS:
            connection.execute(statement)
        found.mended.append("The full text of names and notes was made anew.")
    except sqlite3.DatabaseError as error:
        found.left.append(Left(what=f"The full text of names and notes is damaged ({error})"))
