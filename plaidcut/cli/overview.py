"""Which commands there are; each is loaded when it is asked for, and no other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import Any, Final

import typer
from typer.core import TyperGroup
from typer.main import get_command

from plaidcut.cli.groups import takes_groups

COMMANDS: Final = {
    "demo": ("demo", "Measure an invented skirt, whose photo comes along, and count its strips."),
    "card": ("card", "Draw the scale card that is printed once and laid on the cloth."),
    "measure": ("measure", "Measure the stripes of a plaid, in both thread directions."),
    "yield": ("yields", "Count the strips of every cut, and say which cut keeps a stripe whole."),
    "plan": ("plan", "Say where to tear and cut a piece, pass by pass, in each direction."),
    "garment": ("garment", "Count and measure the strips of a whole garment, in each direction."),
    "rug": ("rug", "Say whether the wool at hand covers a rug, area by area."),
    "report": (
        "report",
        "Write a report with pictures, for screen and paper, and the paper cutting guide.",
    ),
    "rows": ("rows", "Say which cuts fill a gap in whole rows, and what is to spare."),
    "test-square": ("square", "Work out how much wool you hook with, from a small square."),
    "which-cut": (
        "which_cut",
        "Measure ready-cut strips in a photo, and say which cut each of them is.",
    ),
    "cuts": ("cuts", "Show the cuts that there are, and keep what your own cutter does."),
    "page": ("page", "Open a page in the browser that does everything the commands do."),
    "shelf": (
        "shelf",
        "Keep measured cloths, and find them again: by colour, stripe, value, words.",
    ),
}
"""The file of each command, and the first sentence of its help. The file's function, or group of
commands, is called as the file is."""


class _Loaded(Mapping[str, Any]):
    """The commands by name, each loaded when it is looked up."""

    def __getitem__(self, name: str) -> Any:  # noqa: ANN401 -- typer keeps its classes to itself
        file, _ = COMMANDS[name]
        found = getattr(import_module(f"plaidcut.cli.{file}"), file)
        if isinstance(found, typer.Typer):
            return get_command(found)
        alone = typer.Typer(add_completion=False, rich_markup_mode="rich")
        alone.command(name)(takes_groups(found))
        return get_command(alone)

    def __iter__(self) -> Iterator[str]:
        return iter(COMMANDS)

    def __len__(self) -> int:
        return len(COMMANDS)


class Overview(TyperGroup):
    """All commands; its help is plain lines, since boxes would take longer than all else."""

    def __init__(self, **attributes: Any) -> None:  # noqa: ANN401 -- typer's own
        super().__init__(**attributes | {"commands": _Loaded()})

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401, ARG002 -- likewise
        """Write one sentence for each command."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, sentence) for name, (_, sentence) in COMMANDS.items()])
