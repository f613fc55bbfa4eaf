"""Opening the shelf's file: made, brought up to date, and its faults told in words."""

from __future__ import annotations

import os
import secrets
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from sqlite3 import Connection
from typing import Final

from plaidcut.errors import CannotWrite, FileTrouble, NotFound
from plaidcut.shelf.schema import APPLICATION_ID, STEPS
from plaidcut.shelf.store import derive_waiting, waiting

NAMED_BY: Final = "PLAIDCUT_SHELF"
"""Environment variable that names the shelf's file."""

WAIT_S: Final = 20.0
"""How long one waits for another that is writing."""

_LAYOUT: Final = "SELECT type, name, sql FROM sqlite_master WHERE name NOT GLOB 'words_*'"
"""What a file is made of; SQLite makes the tables behind the full text as it sees fit."""

_FULL: Final = "Free some room on the disk, then do it again; what was on the shelf is whole."
_DAMAGED: Final = (
    "Run plaidcut shelf check; or put back a copy that was made with plaidcut shelf export --copy."
)


def shelf_path() -> Path:
    """Where the shelf is unless told otherwise: as the environment says, or the usual place.

    Raises
    ------
    NotFound
        If there is no home folder.
    """
    import platformdirs

    if named := os.environ.get(NAMED_BY):
        return Path(named)
    try:
        return platformdirs.user_data_path("plaidcut", appauthor=False) / "shelf.db"
    except (RuntimeError, OSError) as error:
        msg = "There is no home folder for a shelf to be in."
        raise NotFound(msg, hint="Name its file with --shelf FILE.") from error


@contextmanager
def open_shelf(path: Path, *, make: bool = False) -> Iterator[Connection]:
    """Open the shelf, brought up to date, until the end of the block.

    Parameters
    ----------
    path
        Its file.
    make
        Whether to make it, and its folder, where there is none.

    Raises
    ------
    NotFound
        If there is none and it isn't to be made.
    CannotWrite
        If it can't be made or written: no room, no right, or another is writing too long.
    FileTrouble
        If the file is no shelf, of a later version, or damaged.
    """
    try:
        if make:
            path.parent.mkdir(parents=True, exist_ok=True)
        is_file = path.is_file()
    except OSError as error:
        msg = f"The folder {path.parent} can't be made."
        raise CannotWrite(msg, hint="Choose another place with --shelf FILE.") from error
    if not is_file and (not make or path.exists()):
        msg = f"There is no shelf at {path}."
        raise NotFound(msg, hint="plaidcut shelf add PHOTO makes one.")
    with in_words(path):
        if not is_file:
            _put_in_place(path)
    with in_words(path), closing(_connection(path, make=make)) as connection:
        _bring_up_to_date(connection, path)
        if waiting(connection):
            with writing(connection):
                derive_waiting(connection)
        yield connection


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Tell SQLite's errors as plaidcut's own."""
    try:
        yield
    except sqlite3.Error as error:
        raise _told(error, path) from error
    except UnicodeDecodeError as error:  # SQLite's own words repeat damaged names
        msg = f"The shelf {path} is damaged: it holds text that isn't UTF-8."
        raise FileTrouble(msg, hint=_DAMAGED) from error


@contextmanager
def writing(connection: Connection) -> Iterator[None]:
    """One transaction: all that is written in the block, or nothing of it."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        with suppress(sqlite3.Error):  # a full disk has rolled it back already
            connection.execute("ROLLBACK")
        raise


def copy_to(connection: Connection, path: Path) -> None:
    """Write a whole copy of the shelf to a file that isn't there yet, by SQLite's backup."""
    with closing(sqlite3.connect(path)) as target:
        connection.backup(target)


def version_of(connection: Connection) -> int:
    """How many steps the file has taken."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _put_in_place(path: Path) -> None:
    """Make an empty shelf beside its place and put it there whole, unless another came first.

    So a disk without room is left without a file. Where the disk has no links, the shelf is made
    in its place as it is opened.
    """
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        with closing(_connected(f"{beside.resolve().as_uri()}?mode=rwc")) as connection:
            _bring_up_to_date(connection, beside)
        with suppress(OSError):
            path.hardlink_to(beside)
    finally:
        beside.unlink(missing_ok=True)


def _connection(path: Path, *, make: bool) -> Connection:
    """A connection that waits, keeps references, and writes so that nothing is lost."""
    address = path.resolve().as_uri()
    connection = _connected(f"{address}?mode={'rwc' if make else 'rw'}")
    try:
        _patiently(lambda: connection.execute("PRAGMA journal_mode = WAL"))
    except sqlite3.OperationalError:
        connection.close()
        if make or path.with_name(f"{path.name}-wal").exists():
            raise
        # a folder that can't be written: read what is there, as nobody can change it
        return _connected(f"{address}?mode=ro&immutable=1")
    connection.execute("PRAGMA synchronous = FULL")
    return connection


def _connected(address: str) -> Connection:
    connection = sqlite3.connect(address, uri=True, timeout=WAIT_S, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA temp_store = MEMORY")
    return connection


def _patiently(do: Callable[[], object]) -> None:
    """Do what SQLite refuses at once, without waiting, while another does the same."""
    until = time.monotonic() + WAIT_S
    while True:
        try:
            do()
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.02)
        else:
            return


def _bring_up_to_date(connection: Connection, path: Path) -> None:
    """Take the steps that the file hasn't taken, all of them or none."""
    version = version_of(connection)
    if version > len(STEPS):
        msg = f"{path} is of version {version}, and this plaidcut knows up to {len(STEPS)}."
        raise FileTrouble(msg, hint="Install a newer plaidcut; the file was left as it is.")
    (found,) = connection.execute("PRAGMA application_id").fetchone()
    if found != APPLICATION_ID and connection.execute("SELECT 1 FROM sqlite_master").fetchone():
        msg = f"{path} is a database, but not a shelf of plaidcut."
        raise FileTrouble(msg, hint="Choose another file with --shelf FILE.")
    if version:
        _check_layout(connection, path, version)
    if version == len(STEPS):
        return
    if version:
        before = path.with_name(f"{path.stem}-before-version-{len(STEPS)}{path.suffix}")
        if not before.exists():
            copy_to(connection, before)
    with writing(connection):
        for number, step in enumerate(STEPS, 1):
            if number > version_of(connection):  # another may have taken it meanwhile
                for statement in step:
                    connection.execute(statement)
                connection.execute(f"PRAGMA user_version = {number}")


def _check_layout(connection: Connection, path: Path, version: int) -> None:
    """Refuse a file that is laid out in another way than a shelf of its version.

    A view or a trigger would do what it likes whenever the shelf is used.
    """
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as plain:
        for step in STEPS[:version]:
            for statement in step:
                plain.execute(statement)
        wanted = set(plain.execute(_LAYOUT))
    if set(connection.execute(_LAYOUT)) != wanted:
        msg = f"{path} is not laid out as a shelf of plaidcut."
        raise FileTrouble(msg, hint=_DAMAGED)


def _told(error: sqlite3.Error, path: Path) -> FileTrouble:
    """What an error of SQLite's means for her."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return CannotWrite(f"There is no room left for the shelf {path}.", hint=_FULL)
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN):
        return CannotWrite(f"The shelf {path} can't be written.")
    if code == sqlite3.SQLITE_IOERR:
        return CannotWrite(f"The shelf {path} can't be written: the disk refuses.", hint=_FULL)
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        msg = f"Another plaidcut has been writing to {path} for {WAIT_S:.0f} seconds."
        return CannotWrite(msg, hint="Wait until it is done, then do it again.")
    if code == sqlite3.SQLITE_NOTADB or str(error) == "unsupported file format":
        return FileTrouble(f"{path} is not a shelf of plaidcut.", hint=_DAMAGED)
    if code == sqlite3.SQLITE_CORRUPT:
        return FileTrouble(f"The shelf {path} is damaged: {error}.", hint=_DAMAGED)
    raise error
