"""Files in and out of both faces; written whole or not at all."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from plaidcut.errors import AlreadyExists, CannotWrite, FileTrouble, NotFound, UsageError

MOST_TEXT_BYTES: Final = 32_000_000
"""Of a text; a thousand bands' document has about 8 million."""


def read_text(path: Path, *, most_bytes: int = MOST_TEXT_BYTES) -> str:
    """Read a text file.

    Parameters
    ----------
    path
        The file; a pipe that waits for a writer, or a device, is none.
    most_bytes
        How long it may be.

    Raises
    ------
    NotFound
        If there is no such file.
    FileTrouble
        If it can't be read, is too long, or isn't text.
    """
    try:
        if path.exists() and not (path.is_file() or path.is_dir() or path.samefile(os.devnull)):
            msg = f"{path} is a device or a pipe, not a file."
            raise FileTrouble(msg, hint="Name a file.")
        with path.open("rb") as file:
            data = file.read(most_bytes + 1)
        if len(data) > most_bytes:
            msg = f"{path} is longer than {most_bytes / 1e6:g} million bytes."
            raise FileTrouble(msg)
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except (FileNotFoundError, ValueError) as error:  # a name with a nought in it is none
        if isinstance(error, UnicodeDecodeError):
            msg = f"{path} can't be read as text: {_reason(error)}."
            raise FileTrouble(msg) from error
        msg = f"There is no file {path}."
        raise NotFound(msg) from error
    except OSError as error:
        msg = f"{path} can't be read as text: {_reason(error)}."
        raise FileTrouble(msg) from error


def check_targets(paths: Iterable[Path | None], *, force: bool) -> None:
    """Refuse what can't be written before any work is done.

    Raises
    ------
    AlreadyExists
        If a file is there already and ``force`` is false.
    CannotWrite
        If its folder doesn't exist, or it is a folder itself.
    UsageError
        If the same file is named twice.
    """
    wanted = [path for path in paths if path is not None]
    if len({os.path.realpath(path) for path in wanted}) < len(wanted):
        msg = "Two outputs are to go to the same file."
        raise UsageError(msg, hint="Give each a name of its own.")
    for path in wanted:
        try:
            _check_target(path, force=force)
        except OSError as error:
            msg = f"{path} can't be written: {_reason(error)}."
            raise CannotWrite(msg) from error


def _check_target(path: Path, *, force: bool) -> None:
    """Refuse a place that nothing can be written to, or where something is."""
    if path.is_dir():
        msg = f"{path} is a folder."
        raise CannotWrite(msg, hint="Add a file name to it.")
    if not path.parent.is_dir():
        msg = f"There is no folder {path.parent}."
        raise CannotWrite(msg)
    if not os.path.lexists(path):
        return
    if path.exists() and not path.is_file():
        msg = f"{path} is a device or a pipe, not a file."
        raise CannotWrite(msg, hint="Name a file; the answer itself goes to standard output.")
    if not force:
        msg = f"{path} is there already."
        raise AlreadyExists(msg)
    if not path.exists():
        msg = f"{path} is a link that leads nowhere."
        raise CannotWrite(msg, hint="Take the link away, or choose another name.")


def make_folder(path: Path) -> None:
    """Make a folder, unless it is there.

    Raises
    ------
    CannotWrite
        If it can't be made.
    """
    try:
        path.mkdir(exist_ok=True)
    except OSError as error:
        msg = f"The folder {path} can't be made: {_reason(error)}."
        raise CannotWrite(msg) from error


def write_whole(path: Path, content: bytes | str, *, force: bool) -> None:
    """Write a file so that nobody ever sees half of it; where a link leads to it, there.

    Raises
    ------
    AlreadyExists
        If it is there already and ``force`` is false.
    CannotWrite
        If it can't be written.
    """
    check_targets([path], force=force)
    data = content.encode(errors="replace") if isinstance(content, str) else content
    named, path = path, Path(os.path.realpath(path))
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        try:
            with beside.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        msg = f"{named} can't be written: {_reason(error)}."
        raise CannotWrite(msg) from error


def _reason(error: OSError | UnicodeDecodeError) -> str:
    """What the system says, without its number and the path."""
    if isinstance(error, OSError) and error.strerror:
        return error.strerror[0].lower() + error.strerror[1:]
    return "it isn't UTF-8"
