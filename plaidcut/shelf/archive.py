"""The shelf carried away: one ZIP archive of documented JSON and pictures, both ways.

Archives come from anywhere, so nothing in one is trusted: not its names, not the sizes it states,
not that a picture is one. All of it is looked at before any of it is kept.
"""

from __future__ import annotations

import os
import re
import secrets
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from sqlite3 import Connection
from typing import Final, TypeVar

from plaidcut.documents.measurement import hash_of
from plaidcut.documents.shelf import cloth_document, entry_of_document
from plaidcut.documents.text import JsonObject, from_text, to_text
from plaidcut.errors import CannotWrite, FileTrouble, NotFound
from plaidcut.shelf.derived import measurement_of
from plaidcut.shelf.opening import copy_to, in_words
from plaidcut.shelf.pictures import (
    LONGEST_PX,
    THUMBNAIL_PX,
    check_shape,
    checked_copy,
    thumbnail_of,
)
from plaidcut.shelf.store import add, free_name, load, name_of_source, names, pictures_of
from plaidcut.shelved import Cloth, Pictures
from plaidcut.shelved_typed import key_of
from plaidcut.stripes.correct import as_measured
from plaidcut.stripes.measurement import PhotoRecord

T = TypeVar("T")

CONTENTS: Final = "shelf.json"
KIND: Final = "plaidcut-shelf-archive"
VERSION: Final = 1

MOST_CLOTHS: Final = 50_000
MOST_BYTES: Final = {".json": 32_000_000, ".jpg": 16_000_000}
"""Of one file in the archive, unpacked; a thousand bands' document has about 8 million."""
MOST_RATIO: Final = 200
"""By how much a file may grow when unpacked: documents grow by about 6."""
MOST_TOTAL_BYTES: Final = 40_000_000_000
"""Of all files, unpacked: ten thousand cloths have about 10 thousand million."""

_MEMBER: Final = re.compile(
    r"shelf\.json|cloths/(\d{5})/(cloth\.json|measurement\.json|corrections\.json|photo\.jpg"
    r"|thumbnail\.jpg)",
    re.ASCII,
)
_WAY_ON: Final = "Ask for the archive again; nothing was put on the shelf."
_DAMAGE: Final = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    UnicodeDecodeError,
)
"""What reading a damaged archive raises; the last for a name that isn't the UTF-8 it says it is."""
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
"""The time of all files in it, so that the same shelf gives the same archive."""


def write_archive(connection: Connection, path: Path) -> int:
    """Write the whole shelf to an archive that isn't there yet or is to be written over.

    Returns
    -------
    int
        How many cloths.

    Raises
    ------
    CannotWrite
        If it can't be written; then nothing of it is left.
    FileTrouble
        If something on the shelf is damaged.
    """
    return _whole(path, lambda beside: _write(connection, zipfile.ZipFile(beside, "x")))


def write_copy(connection: Connection, path: Path) -> None:
    """Write a copy of the shelf's own file, by SQLite's backup, though others write meanwhile.

    Raises
    ------
    CannotWrite
        If it can't be written; then nothing of it is left.
    """
    with in_words(path):
        _whole(path, lambda beside: copy_to(connection, beside))


def _whole(path: Path, write: Callable[[Path], T]) -> T:
    """Write a file beside its place and move it there when it is whole and on the disk."""
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        try:
            written = write(beside)
            with beside.open("rb+") as file:
                os.fsync(file.fileno())
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        msg = f"{path} can't be written: {error.strerror}."
        raise CannotWrite(msg) from error
    return written


def _write(connection: Connection, archive: zipfile.ZipFile) -> int:
    with archive:
        known = names(connection)
        head = {"document": KIND, "version": VERSION, "cloths": len(known)}
        _put(archive, CONTENTS, to_text(head))
        for number, name in enumerate(known, 1):
            cloth, pictures = load(connection, name), pictures_of(connection, name)
            folder = f"cloths/{number:05d}"
            _put(archive, f"{folder}/cloth.json", to_text(cloth_document(cloth, whole=False)))
            _put(archive, f"{folder}/measurement.json", to_text(cloth.document))
            if cloth.corrections is not None:
                _put(archive, f"{folder}/corrections.json", to_text(cloth.corrections))
            if pictures is not None:
                _put(archive, f"{folder}/photo.jpg", pictures.copy)
                _put(archive, f"{folder}/thumbnail.jpg", pictures.thumbnail)
    return len(known)


def _put(archive: zipfile.ZipFile, name: str, held: str | bytes) -> None:
    """One file; text is packed, pictures are already."""
    if not held:
        return
    about = zipfile.ZipInfo(name, _EPOCH)
    about.external_attr = 0o644 << 16
    about.compress_type = zipfile.ZIP_DEFLATED if isinstance(held, str) else zipfile.ZIP_STORED
    archive.writestr(about, held)


def look_through(path: Path) -> None:
    """Look at everything in an archive, and write nothing.

    Raises
    ------
    NotFound, FileTrouble
        If there is no such file, or anything in it is not as it must be.
    """
    with _opened(path) as archive:
        for _ in _cloths(archive):
            pass


def take_in(connection: Connection, path: Path) -> tuple[list[str], list[str]]:
    """Put the cloths of an archive on the shelf, but those that are there.

    Each is checked again, as the file may have changed since it was looked through.

    A cloth whose photo or measurement lies on the shelf is left as it is there; one whose name is
    taken gets a number behind it. Whoever calls holds the transaction.

    Returns
    -------
    list of str, list of str
        The names of those that came, and of those that were there.

    Raises
    ------
    NotFound, FileTrouble
        If there is no such file, or anything in it is not as it must be.
    """
    added: list[str] = []
    there: list[str] = []
    with _opened(path) as archive:
        for cloth, pictures in _cloths(archive):
            if (known := name_of_source(connection, cloth.entry.source)) is not None:
                there.append(known)
                continue
            name = free_name(connection, cloth.entry.name)
            add(connection, replace(cloth, entry=replace(cloth.entry, name=name)), pictures)
            added.append(name)
    return added, there


def _refuse_pipe(path: Path) -> None:
    """Refuse what is there but no file: a pipe would be waited for, and a folder holds nothing."""
    if path.exists() and not path.is_file():
        msg = "it is no file, so no archive."
        raise FileTrouble(msg, hint=_WAY_ON)


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    """An archive, and what is wrong with it in words."""
    try:
        _refuse_pipe(path)
        with zipfile.ZipFile(path) as archive:
            yield archive
    except FileNotFoundError as error:
        msg = f"There is no file {path}."
        raise NotFound(msg) from error
    except FileTrouble as error:
        msg = f"{path.name}: {error.message}"
        raise FileTrouble(msg, hint=_WAY_ON) from error
    except _DAMAGE as error:
        msg = f"{path.name} is no archive of a shelf, or damaged: {error}."
        raise FileTrouble(msg, hint=_WAY_ON) from error
    except OSError as error:
        msg = f"{path.name} can't be read: {error.strerror or error}."
        raise FileTrouble(msg, hint=_WAY_ON) from error


def _cloths(archive: zipfile.ZipFile) -> Iterator[tuple[Cloth, Pictures | None]]:
    """The cloths of an archive, one at a time, each checked."""
    folders = _folders(archive)
    seen: set[str] = set()
    for folder in sorted(folders):
        try:
            cloth, pictures = _cloth(archive, folder, folders[folder])
        except FileTrouble as error:
            msg = f"{folder}: {error.message}"
            raise FileTrouble(msg) from error
        for key in (key_of(cloth.entry.name), cloth.entry.source):
            if key in seen:
                msg = f'{folder}: the cloth "{cloth.entry.name}" is in it twice.'
                raise FileTrouble(msg)
            seen.add(key)
        yield cloth, pictures


def _folders(archive: zipfile.ZipFile) -> dict[str, set[str]]:
    """The files of each cloth's folder; nothing else may be in the archive."""
    members = archive.infolist()
    if len(members) > 5 * MOST_CLOTHS + 1:
        msg = f"It holds {len(members)} files, more than {MOST_CLOTHS} cloths have."
        raise FileTrouble(msg)
    folders: dict[str, set[str]] = {}
    known: set[str] = set()
    for member in members:
        name = member.filename
        match = _MEMBER.fullmatch(name)
        if match is None or member.orig_filename != name or name in known:
            msg = f"It holds {name[:80]!r}, which no archive of a shelf does, or twice."
            raise FileTrouble(msg)
        known.add(name)
        _check_size(member)
        if match[1] is not None:
            folders.setdefault(f"cloths/{match[1]}", set()).add(match[2])
    if sum(member.file_size for member in members) > MOST_TOTAL_BYTES:
        msg = "Unpacked it would be too large for a shelf."
        raise FileTrouble(msg)
    if CONTENTS not in known:
        msg = f"It holds no {CONTENTS}."
        raise FileTrouble(msg)
    head = _json(archive, CONTENTS)
    if head["document"] != KIND or head.get("cloths") != len(folders):
        msg = f"{CONTENTS} is not that of a {KIND}, or cloths are missing."
        raise FileTrouble(msg)
    if head.get("version") != VERSION:
        msg = f"It is of version {head.get('version')!r}, and this plaidcut knows {VERSION}."
        raise FileTrouble(msg)
    return folders


def _check_size(member: zipfile.ZipInfo) -> None:
    """Refuse a file that is packed oddly, or would be too large."""
    most = MOST_BYTES[Path(member.filename).suffix]
    kind = member.external_attr >> 28  # the type of file, where a Unix packed it
    if (
        member.flag_bits & 0x1
        or member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
        or kind not in (0, 0o10)
    ):
        msg = f"{member.filename} is locked, a link, or packed in another way."
        raise FileTrouble(msg)
    if member.file_size > most or member.file_size > MOST_RATIO * max(member.compress_size, 1):
        msg = f"{member.filename} would have {member.file_size} bytes unpacked, too many."
        raise FileTrouble(msg)


def _cloth(archive: zipfile.ZipFile, folder: str, files: set[str]) -> tuple[Cloth, Pictures | None]:
    if not {"cloth.json", "measurement.json"} <= files:
        msg = "cloth.json or measurement.json is missing."
        raise FileTrouble(msg)
    entry = entry_of_document(_json(archive, f"{folder}/cloth.json"))
    corrections = None
    if "corrections.json" in files:
        corrections = _json(archive, f"{folder}/corrections.json")
    cloth = Cloth(
        entry=entry,
        document=_json(archive, f"{folder}/measurement.json"),
        corrections=corrections,
    )
    measurement = measurement_of(cloth)
    photo = measurement.photo
    if entry.source != (hash_of(as_measured(measurement)) if photo is None else photo.sha256):
        msg = "cloth.json and measurement.json are of different cloths."
        raise FileTrouble(msg)
    kind = measurement.cloth.kind.value  # found by what was measured, whatever the cloth says
    return (
        replace(cloth, entry=replace(entry, kind=kind)),
        _pictures(archive, folder, files, photo),
    )


def _pictures(
    archive: zipfile.ZipFile,
    folder: str,
    files: set[str],
    photo: PhotoRecord | None,
) -> Pictures | None:
    """The photo of a cloth, of the shape of the one that was measured, and its thumbnail."""
    if "photo.jpg" not in files:
        return None
    if photo is None:
        msg = "It has a photo, but wasn't measured from one."
        raise FileTrouble(msg)
    copy = _bytes(archive, f"{folder}/photo.jpg")
    check_shape(checked_copy(copy, LONGEST_PX).size, photo)
    if "thumbnail.jpg" not in files:
        return Pictures(copy=copy, thumbnail=thumbnail_of(copy))
    thumbnail = _bytes(archive, f"{folder}/thumbnail.jpg")
    checked_copy(thumbnail, THUMBNAIL_PX, what="The thumbnail")
    return Pictures(copy=copy, thumbnail=thumbnail)


def _json(archive: zipfile.ZipFile, name: str) -> JsonObject:
    try:
        return from_text(_bytes(archive, name).decode())
    except UnicodeDecodeError as error:
        msg = f"{name} isn't UTF-8."
        raise FileTrouble(msg) from error


def _bytes(archive: zipfile.ZipFile, name: str) -> bytes:
    """A file of the archive, read no further than it may be long, whatever it says of itself."""
    most = MOST_BYTES[Path(name).suffix]
    with archive.open(name) as file:
        data = file.read(most + 1)
    if len(data) > most:
        msg = f"{name} has more bytes than it says."
        raise FileTrouble(msg)
    return data
