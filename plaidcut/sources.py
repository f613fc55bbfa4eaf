"""Where a measurement comes from: a photo, a document of one measured before, or the shelf."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from plaidcut.documents.text import JsonObject, from_text
from plaidcut.errors import FileTrouble, NotFound, UsageError
from plaidcut.files import read_text
from plaidcut.photo import Photo, load_photo
from plaidcut.preload import preload
from plaidcut.stripes.measurement import Measurement
from plaidcut.tasks import HowToMeasure, measure

if TYPE_CHECKING:
    from plaidcut.documents.corrections import Corrections

T = TypeVar("T")

SNIFFED_BYTES: Final = 64
"""Beginning of a file that tells a document from a photo: only a document has a brace there."""

KEPT: Final = 4
"""Measurements remembered in a session; each holds its photo, 36 MB at 12 megapixels."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Source:
    """A measurement, and its photo where there is one at hand."""

    measurement: Measurement
    photo: Photo | None = None
    unusual: dict[str, object] = field(default_factory=dict)
    """What was set otherwise than usual when it was measured, for its document."""


@dataclass(frozen=True, slots=True)
class Sources:
    """Opens photos and documents, and measures each photo only once in each way."""

    _known: dict[tuple[str, HowToMeasure], Source] = field(default_factory=dict)

    def photo(self, path: Path, how: HowToMeasure) -> Source:
        """Measure a photo, unless the same one was measured in the same way before.

        Raises
        ------
        PlaidcutError
            As `plaidcut.tasks.measure` does.
        """
        preload()
        photo = load_photo(path, max_megapixels=how.max_megapixels)
        key = (photo.sha256, how)
        if key not in self._known:
            if len(self._known) >= KEPT:
                del self._known[next(iter(self._known))]
            self._known[key] = Source(
                measurement=measure(photo, how), photo=photo, unusual=how.unusual
            )
        return self._known[key]


def is_document(path: Path) -> bool:
    """Whether a file is a document rather than a photo, by how it begins.

    Raises
    ------
    NotFound
        If there is no such file.
    FileTrouble
        If it can't be read.
    """
    try:
        if path.exists() and not path.is_file():
            return False  # a folder or a pipe; as a photo it is refused
        with path.open("rb") as file:
            begin = file.read(SNIFFED_BYTES)
    except (FileNotFoundError, ValueError) as error:  # a name with a nought in it is none
        msg = f"There is no file {path}."
        raise NotFound(msg) from error
    except OSError as error:
        msg = f"{path} can't be read: {error.strerror}."
        raise FileTrouble(msg) from error
    return begin.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"{")


def open_document(path: Path, *, photo_path: Path | None = None) -> Source:
    """Read a measurement document, and the photo it was measured from if it is given.

    Raises
    ------
    FileTrouble
        If it isn't a measurement document that this version reads.
    UsageError
        If the photo is another one.
    """
    from plaidcut.documents.measurement import from_document

    measurement = _read(path, from_document)
    photo = None if photo_path is None else _photo_of(measurement, photo_path, path.name)
    return Source(measurement=measurement, photo=photo)


def open_on_shelf(name: str, shelf: Path, *, photo_path: Path | None = None) -> Source:
    """The cloth of that name on the shelf, with its photo as far as the shelf keeps it.

    Parameters
    ----------
    name
        However its capitals are typed.
    shelf
        The shelf's file.
    photo_path
        The very photo that was measured, where there is need of all its detail.

    Raises
    ------
    NotFound
        If there is no shelf, or no such cloth on it.
    UsageError
        If the photo is another one.
    FileTrouble
        If the shelf can't be read, or what it keeps of the cloth is damaged.
    """
    from plaidcut.shelf.derived import measurement_of
    from plaidcut.shelf.opening import open_shelf
    from plaidcut.shelf.pictures import photo_for
    from plaidcut.shelf.store import load, pictures_of

    with open_shelf(shelf) as connection:
        cloth = load(connection, name)
        pictures = None if photo_path is not None else pictures_of(connection, name)
    measurement = measurement_of(cloth)
    photo = None
    if photo_path is not None:
        photo = _photo_of(measurement, photo_path, cloth.entry.name)
    elif pictures is not None and measurement.photo is not None:
        photo = photo_for(measurement.photo, pictures.copy)
    return Source(measurement=measurement, photo=photo)


def open_corrections(path: Path) -> Corrections:
    """Read a corrections document.

    Raises
    ------
    NotFound, FileTrouble
        If there is none, or it isn't one that this version reads.
    """
    from plaidcut.documents.corrections import from_document

    return _read(path, from_document)


def with_corrections(source: Source, corrections: Corrections, *, name: str) -> Source:
    """A source whose measurement is put right by corrections, in place of those it had.

    Raises
    ------
    FileTrouble
        If they are of another photo, or can't be made; ``name`` is their file's.
    """
    return replace(source, measurement=corrections_made(corrections, source.measurement, name=name))


def corrections_made(
    corrections: Corrections, measurement: Measurement, *, name: str
) -> Measurement:
    """A measurement put right by corrections, in place of those it had.

    Raises
    ------
    FileTrouble
        If they are of another photo, or can't be made; ``name`` is their file's.
    """
    with _told_of(name):
        return corrections.made_in(measurement)


def _read(path: Path, parse: Callable[[JsonObject], T]) -> T:
    """Read a document with the function that knows its kind; what is wrong names the file."""
    text = read_text(path)
    with _told_of(path.name):
        return parse(from_text(text))


@contextmanager
def _told_of(name: str) -> Iterator[None]:
    """Let what is wrong with a file name it."""
    try:
        yield
    except FileTrouble as error:
        msg = f"{name}: {error.message}"
        raise FileTrouble(msg, hint=error.hint) from error


def _photo_of(measurement: Measurement, photo_path: Path, of: str) -> Photo:
    """The photo that a measurement was made from, and no other."""
    photo = load_photo(photo_path)
    if measurement.photo is None or measurement.photo.sha256 != photo.sha256:
        msg = f"{of} was not measured from {photo.name}."
        raise UsageError(msg, hint="Give the very photo, or measure this one anew.")
    return photo
