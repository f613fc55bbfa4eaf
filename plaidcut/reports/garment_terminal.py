"""The strips of a garment on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from plaidcut.reports.garment_content import DirectionPart, GarmentContent
from plaidcut.reports.terminal import heading_of, label_of, numbered, table_of

if TYPE_CHECKING:
    from rich.console import Console, RenderableType


def print_garment(content: GarmentContent, console: Console) -> None:
    """Write a garment's strips on a console."""
    swatches = console.color_system in {"256", "truecolor"}
    for part in _parts(content, swatches=swatches):
        console.print(part, highlight=False)


def _parts(content: GarmentContent, *, swatches: bool) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of(content.title)
    yield Text(" ".join(content.about))
    for caution in content.cautions:
        yield Text.assemble(("Caution: ", "bold"), caution.message)
    for direction in content.directions:
        yield heading_of(direction.heading)
        yield _table(direction, swatches=swatches)
    for sentence in content.not_planned:
        yield Text(sentence)
    yield heading_of("Before you cut")
    for sentence in content.safety:
        yield Text(sentence)
    for direction in content.directions:
        yield heading_of(direction.order_heading)
        for piece in direction.pieces:
            yield Text(piece.heading)
            yield numbered(piece.steps)


def _table(direction: DirectionPart, *, swatches: bool) -> RenderableType:
    table = table_of("Kind", *direction.cuts, right=1)
    for row in direction.rows:
        hexes = [row.hex] if row.hex else []
        table.add_row(label_of(row.label, hexes, swatches=swatches and bool(hexes)), *row.cells)
    return table
