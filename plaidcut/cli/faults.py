"""Errors told in one place: words on standard error or one JSON document, and an exit status."""

from __future__ import annotations

import errno
import json
import traceback
from dataclasses import dataclass
from typing import Final

import typer

from plaidcut.errors import CannotWrite, FileTrouble, PlaidcutError, UsageError
from plaidcut.shown import shown

SYSTEM_LIBRARIES: Final = (
    "On Debian or Ubuntu: sudo apt-get install -y libgl1 libglib2.0-0. "
    "On Fedora: sudo dnf install -y mesa-libGL glib2. On Arch: sudo pacman -S libglvnd glib2."
)
"""What brings the libraries that OpenCV's wheel links to and a bare Linux lacks."""


NO_ROOM: Final = (errno.ENOSPC, errno.EFBIG, errno.EROFS)
"""What the system says of a full disk and of one that may only be read: it was to be written."""

NOT_ONE_S_OWN: Final = (errno.EACCES, errno.EPERM)
"""What it says of a place that one may not read, or not write."""

MOST_TOLD: Final = 2000
"""Characters of a sentence; what is longer repeats a value that nobody typed by hand."""


class MissingLibrary(FileTrouble):
    """A library of the operating system is missing, so no picture can be read."""

    code = "missing-library"
    way_on = SYSTEM_LIBRARIES


@dataclass(frozen=True, slots=True)
class Told:
    """An error as it is told."""

    status: int
    stdout: str
    stderr: str


def tell(error: Exception, *, as_json: bool, debug: bool) -> Told:
    """Put an error into words or into a JSON document.

    Parameters
    ----------
    error
        Whatever a command raised.
    as_json
        Whether standard output is to hold the error document.
    debug
        Whether to show where it was raised.
    """
    known = as_plaidcut_error(error)
    trace = "".join(traceback.format_exception(error)) if debug else ""
    message, hint = _told(known.message), _told(known.hint)
    if as_json:
        told = {"code": known.code, "message": message, "hint": hint}
        document = json.dumps({"error": told}, ensure_ascii=False, indent=2) + "\n"
        return Told(known.exit_status, document, trace)
    return Told(known.exit_status, "", f"{trace}{message}\n{hint}\n")


def _told(text: str) -> str:
    """Words of an error as they are told, whatever names and values stand in them."""
    if len(text) > MOST_TOLD:
        text = f"{text[:MOST_TOLD]} ..."
    return "\n".join(map(shown, text.split("\n")))


def as_plaidcut_error(error: Exception) -> PlaidcutError:
    """Translate what isn't one of plaidcut's own errors."""
    if isinstance(error, PlaidcutError):
        return error
    if isinstance(error, typer.TyperException):
        return _usage_error(error)
    if isinstance(error, ImportError) and ".so" in str(error):
        library = str(error).split(":")[0]
        msg = f"Pictures can't be read or drawn: the system library {library} is missing."
        return MissingLibrary(msg)
    if isinstance(error, MemoryError):
        msg = "There isn't memory enough on this computer for that."
        return FileTrouble(msg, hint="Close other programs, or take a smaller photo or file.")
    if isinstance(error, OSError) and error.errno in (*NO_ROOM, *NOT_ONE_S_OWN):
        return _refused_by_system(error)
    return PlaidcutError(
        f"plaidcut ran into a fault of its own: {type(error).__name__}: {error}",
        hint="Run it again with --debug, and report what it shows.",
    )


def _refused_by_system(error: OSError) -> FileTrouble:
    """Say what the system wants: room, or a right; of the latter reading or writing isn't known."""
    if error.errno in NO_ROOM:
        msg = "There is no room for what is to be written, or nothing may be written there."
        return CannotWrite(msg, hint="Free some room, or choose another place.")
    what = "A file or folder" if error.filename is None else str(error.filename)
    msg = f"{what} may not be used: {error.strerror}."
    return FileTrouble(msg, hint="See whose it is, or choose another place.")


def _usage_error(error: typer.TyperException) -> UsageError:
    """Say what is wrong with the command line, and whose help to look at."""
    message = error.format_message().replace("Value error, ", "")
    context = getattr(error, "ctx", None)
    command = context.command_path if context is not None else "plaidcut"
    return UsageError(message, hint=f"See {command} --help.")
