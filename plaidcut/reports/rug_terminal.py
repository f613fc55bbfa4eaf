"""The answer to "is it enough?" on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from plaidcut.reports.rug_content import RugContent
from plaidcut.reports.terminal import heading_of, table_of

if TYPE_CHECKING:
    from rich.console import Console, RenderableType


def print_rug(content: RugContent, console: Console) -> None:
    """Write the answer on a console."""
    for part in _parts(content):
        console.print(part, highlight=False)


def _parts(content: RugContent) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of(content.title)
    yield Text(content.answer)
    for mend in content.mends:
        yield Text(f"- {mend}")
    yield heading_of("What each area takes and gets, the most important first")
    table = table_of("Area", "Cut", "Size", "Strip it takes", "Covered")
    for area in content.areas:
        table.add_row(area.name, area.cut, area.size, area.takes, area.covered)
    yield table
    yield Text("Covered: from hooking low to packing it, as published figures have it.")
    for area in content.areas:
        yield Text(f"\n{area.name}: {area.wool}", style="dim")
        for got in area.gets:
            yield Text(f"  {got}")
    yield heading_of("What is left, with typical hooking")
    table = table_of("Wool", "Left", "Of that in reserve")
    for left in content.left:
        table.add_row(left.supply, left.left, left.reserve)
    yield table
    for sentence in content.said:
        yield Text(sentence)
