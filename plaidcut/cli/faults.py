"""Errors told in one place: words on standard error or one JSON document, and an exit status."""

from __future__ import annotations

import json
import traceback
from dataclasses import dataclass
from typing import Final

import typer

from plaidcut.errors import FileTrouble, PlaidcutError, UsageError

SYSTEM_LIBRARIES: Final = (
    "On Debian or Ubuntu: sudo apt-get install -y libgl1 libglib2.0-0. "
    "On Fedora: sudo dnf install -y mesa-libGL glib2. On Arch: sudo pacman -S libglvnd glib2."
)
"""What brings the libraries that OpenCV's wheel links to and a bare Linux lacks."""


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
    if as_json:
        told = {"code": known.code, "message": known.message, "hint": known.hint}
        document = json.dumps({"error": told}, ensure_ascii=False, indent=2) + "\n"
        return Told(known.exit_status, document, trace)
    return Told(known.exit_status, "", f"{trace}{known.message}\n{known.hint}\n")


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
    return PlaidcutError(
        f"plaidcut ran into a fault of its own: {type(error).__name__}: {error}",
        hint="Run it again with --debug, and report what it shows.",
    )


def _usage_error(error: typer.TyperException) -> UsageError:
    """Say what is wrong with the command line, and whose help to look at."""
    message = error.format_message().replace("Value error, ", "")
    context = getattr(error, "ctx", None)
    command = context.command_path if context is not None else "plaidcut"
    return UsageError(message, hint=f"See {command} --help.")
