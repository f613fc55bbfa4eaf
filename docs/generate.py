"""Write what of the documentation comes from the code.

``python docs/generate.py`` writes the reference of commands, errors, documents and the Python API
anew; a test says when that is due. ``python docs/pictures.py`` draws the pictures.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from typer.main import get_command

import plaidcut
from plaidcut import errors
from plaidcut.cli.app import app
from plaidcut.errors import PlaidcutError

sys.path.insert(0, str(Path(__file__).parent))  # its neighbours, however it is run

import fields_page
import python_page

DOCS = Path(__file__).parent
BENCH = DOCS.parent / "tests" / "bench" / "README.md"
"""The one home of the bench's figures."""

COMMANDS_HEAD = """\
# Commands

Made from the commands' own `--help` by `docs/generate.py`: don't edit this page.

Lengths are typed with their unit: `1/4 in`, `3 1/2 in`, `7/32"`, `6.35 mm`. Files are written
whole or not at all, and never over one that is there without `--force`. With `--json` a command
answers with one JSON document on standard output and nothing else there, and so do its
[errors](errors.md).
"""

ERRORS_HEAD = """\
# Errors

Made from the code by `docs/generate.py`: don't edit this page.

Every refusal says what is wrong, and what to do about it. Without `--json` both go to standard
error in words. With it, standard output holds
`{"error": {"code": "...", "message": "...", "hint": "..."}}`.

| exit status | meaning |
| --- | --- |
| 0 | done |
| 1 | a fault of plaidcut's own: please report it |
| 2 | the command line is wrong |
| 3 | an input can't be read, or an output can't be written |
| 4 | it can be read, but not measured or planned honestly |
| 130 | ended by Ctrl-C |
| 141 | whoever read the output went away |

Where several of exit status 4 apply, the first in this order is told: overexposed, too blurred,
no scale (or too small or uncertain a one), no cloth, not flat.

| code | exit status | what happened | the way on |
| --- | --- | --- | --- |
"""


def commands_page() -> str:
    """The page of all commands."""
    pages = [COMMANDS_HEAD]
    for name, command in commands_of(get_command(app)):
        pages.append(f"## `plaidcut {name}`\n\n{inspect.cleandoc(command.help)}\n")
        panels: dict[str, list[Any]] = {}
        for parameter in command.params:
            if parameter.name == "help":
                continue
            panels.setdefault(parameter.rich_help_panel or "", []).append(parameter)
        for panel, parameters in panels.items():
            if panel:
                pages.append(f"### {panel}\n")
            pages.append("| option | what it does |\n| --- | --- |")
            pages.append("\n".join(_row(parameter) for parameter in parameters) + "\n")
    return "\n".join(pages)


def commands_of(group: Any, before: str = "") -> Iterator[tuple[str, Any]]:  # noqa: ANN401
    """Every command with its whole name: those of a group come after it."""
    for name, command in group.commands.items():
        yield f"{before}{name}", command
        if hasattr(command, "commands"):
            yield from commands_of(command, f"{before}{name} ")


def errors_page() -> str:
    """The page of all error codes, wherever in the package they are."""
    for module in pkgutil.walk_packages(plaidcut.__path__, "plaidcut."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    known = sorted(_family(PlaidcutError), key=lambda error: (error.exit_status, _line(error)))
    rows = [
        f"| `{error.code}` | {error.exit_status} | {_sentence(error)} | {error.way_on} |"
        for error in known
        if error not in ABSTRACT and error.__module__.startswith("plaidcut.")
    ]
    return ERRORS_HEAD + "\n".join(rows) + "\n"


def _line(error: type[PlaidcutError]) -> tuple[bool, int]:
    """Where it stands: those of the family's own file first, in its order."""
    return error.__module__ != errors.__name__, inspect.getsourcelines(error)[1]


ABSTRACT = {errors.CannotMeasure}
"""Never raised itself."""


def _family(base: type[PlaidcutError]) -> Iterator[type[PlaidcutError]]:
    """A class and all that come from it."""
    yield base
    for child in base.__subclasses__():
        yield from _family(child)


def _sentence(error: type[PlaidcutError]) -> str:
    """What an error is for, in one sentence."""
    if error is PlaidcutError:
        return "A fault of plaidcut's own."
    return inspect.cleandoc(error.__doc__ or "").splitlines()[0]


def _row(parameter: Any) -> str:  # noqa: ANN401 -- typer keeps its classes to itself
    """One option as a row of a table."""
    if parameter.param_type_name == "argument":
        typed = parameter.metavar
    else:
        value = "" if parameter.is_flag else f" {_value(parameter)}"
        typed = f"{', '.join(parameter.opts)}{value}"
    default = parameter.default
    said = f" Default: `{getattr(default, 'value', default)}`." if _is_told(default) else ""
    return f"| `{typed}` | {parameter.help}{said} |"


def _value(parameter: Any) -> str:  # noqa: ANN401
    """What is to be typed behind an option."""
    if parameter.metavar:
        return str(parameter.metavar)
    choices = parameter.type_descriptor.choices
    if choices:
        return "\\|".join(getattr(choice, "value", choice) for choice in choices)
    return "N"


def _is_told(default: object) -> bool:
    """Whether a default says something."""
    return default is not None and default is not False and default not in ([], ())


def bench_page() -> str:
    """The page on the bench, with its figures as last run."""
    title, _, rest = BENCH.read_text(encoding="utf-8").partition("\n")
    about = "A copy of `tests/bench/README.md`, made by `docs/generate.py`: edit that."
    return f"{title}\n\n{about}\n{rest}"


PAGES: dict[str, Callable[[], str]] = {
    "explanation/bench.md": bench_page,
    "reference/commands.md": commands_page,
    "reference/errors.md": errors_page,
    "reference/fields.md": fields_page.page,
    "reference/python.md": python_page.page,
}


def main() -> None:
    """Write the pages."""
    for name, page in PAGES.items():
        (DOCS / name).write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
