"""``plaidcut shelf``: measured cloths kept, one command each."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import typer

from plaidcut.cli.groups import takes_groups
from plaidcut.cli.shelf_add import add
from plaidcut.cli.shelf_archive import check, export, import_
from plaidcut.cli.shelf_find import find
from plaidcut.cli.shelf_set import remove, set_
from plaidcut.cli.shelf_show import list_, show

COMMANDS: Final[dict[str, Callable[..., str]]] = {
    "add": add,
    "list": list_,
    "show": show,
    "set": set_,
    "find": find,
    "remove": remove,
    "export": export,
    "import": import_,
    "check": check,
}

shelf = typer.Typer(
    name="shelf",
    add_completion=False,
    invoke_without_command=True,
    rich_markup_mode="rich",
)
for name, command in COMMANDS.items():
    shelf.command(name)(takes_groups(command))


@shelf.callback()
def what_there_is(context: typer.Context) -> str:
    """Keep measured cloths, and find them again: by colour, stripe, value, words.

    Example: plaidcut shelf find --colour "dark red" --keeps-whole 6
    """
    return "" if context.invoked_subcommand else f"{context.get_help()}\n"
