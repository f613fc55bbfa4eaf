"""A cutting plan on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from plaidcut.reports.plan_content import PlanContent, WayPart
from plaidcut.reports.terminal import heading_of, label_of, numbered, table_of

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

MOST_ROWS: Final = 40
"""Strips that are listed one by one; more than that are for a spreadsheet."""


def print_plan(content: PlanContent, console: Console) -> None:
    """Write a plan on a console."""
    swatches = console.color_system in {"256", "truecolor"}
    for part in _parts(content, swatches=swatches):
        console.print(part, highlight=False)


def _parts(content: PlanContent, *, swatches: bool) -> Iterator[RenderableType]:
    from rich.table import Table
    from rich.text import Text

    yield heading_of(content.title)
    yield Text(" ".join(content.about))
    for caution in content.cautions:
        yield Text.assemble(("Caution: ", "bold"), caution.message)
    yield heading_of("Which way to cut")
    head, *rows = content.choice
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="dim")
    for number, column in enumerate(head):
        table.add_column(column, no_wrap=number == 0)
    for row in rows:
        table.add_row(*row)
    yield table
    for sentence in content.not_planned:
        yield Text(sentence)
    yield heading_of("Before you cut")
    for sentence in content.safety:
        yield Text(sentence)
    for way in content.ways:
        yield from _way(way, swatches=swatches)


def _way(way: WayPart, *, swatches: bool) -> Iterator[RenderableType]:
    from rich.padding import Padding
    from rich.text import Text

    yield heading_of(way.heading)
    yield Text(f"Wanted: {way.wanted}")
    yield numbered(way.steps)
    for sentence in way.compared:
        yield Text(sentence)
    table = table_of("Pile", "Strips", "They hold", "They read", wrapped=(2, 3))
    for pile in way.piles:
        reads = label_of(pile.reads, [pile.pile.reads.hex], swatches=swatches and pile.reads != "")
        table.add_row(pile.pile.letter, pile.count, pile.holds, reads)
    yield Padding(table, (1, 0, 0, 0))
    if len(way.strips) > MOST_ROWS:
        yield Text(f"\n{len(way.strips)} strips in all; --csv lists them one by one.")
        return
    table = table_of("Pile", "From", "Cut", "Holds", "Share", "Margin", "Reads", wrapped=(3, 6))
    for row in way.strips:
        reads = label_of(row.reads, [row.strip.reads.hex], swatches=swatches)
        cells = row.at, row.strip.cut.label, row.holds, row.share, row.margin, reads
        table.add_row(row.strip.pile, *cells)
    yield Padding(table, (1, 0, 0, 0))
