"""The command line: which commands there are, and the one place where they start and end."""

from __future__ import annotations

import sys
from typing import Annotated, Final

import typer

from plaidcut import __version__
from plaidcut.cli import faults
from plaidcut.cli.overview import Overview
from plaidcut.cli.streams import close_quietly, take_streams

BROKEN_PIPE: Final = 141
"""Exit status of a program whose reader went away, as shells give it: 128 + SIGPIPE."""

app = typer.Typer(
    name="plaidcut",
    cls=Overview,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def show_version(asked: bool) -> None:  # noqa: FBT001 -- typer calls it so
    """Show the version, and end."""
    if asked:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def plaidcut(
    *,
    version: Annotated[
        bool,
        typer.Option("--version", help="Show the version.", callback=show_version, is_eager=True),
    ] = False,
) -> None:
    """From a photo of a plaid to the strips it yields."""


def run(argv: list[str]) -> int:
    """Run one command line, and return its exit status.

    Standard output gets the command's answer and nothing else; errors go where
    `plaidcut.cli.faults.tell` puts them. A reader that goes away and Ctrl-C end it quietly.
    """
    try:
        answer = app(argv or ["--help"], prog_name="plaidcut", standalone_mode=False)
        status = answer if isinstance(answer, int) else 0
        if isinstance(answer, str):
            sys.stdout.write(answer)
        sys.stdout.flush()
    except BrokenPipeError:
        close_quietly(sys.stdout)
        return BROKEN_PIPE
    except Exception as error:  # noqa: BLE001 -- no traceback reaches a user unasked
        return _tell(error, argv)
    return status


def _tell(error: Exception, argv: list[str]) -> int:
    """Tell an error where it belongs; the exit status."""
    told = faults.tell(error, as_json="--json" in argv, debug="--debug" in argv)
    for stream, text in ((sys.stdout, told.stdout), (sys.stderr, told.stderr)):
        try:
            stream.write(text)
            stream.flush()
        except OSError:  # nobody reads it, or there is no room: the status says it
            close_quietly(stream)
    return told.status


def main() -> None:
    """Start from the shell."""
    take_streams(as_json="--json" in sys.argv)
    sys.exit(run(sys.argv[1:]))
