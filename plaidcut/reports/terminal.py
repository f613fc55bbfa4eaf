"""A report on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.cuts import Cut
from plaidcut.reports.content import (
    OwnCut,
    ReportContent,
    SectionPart,
    StripePart,
    SystemPart,
    count_rows,
)
from plaidcut.reports.words import HOW_COUNTED, HOW_KEPT, NOT_ADDED, kept_count, short_count

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.table import Table
    from rich.text import Text

SWATCH: Final = "██"
GAP: Final = 2
"""Blanks between two columns of a table; one where room is short."""


def print_report(content: ReportContent, console: Console) -> None:
    """Write a report on a console, which says how wide it is and which colours it has."""
    swatches = console.color_system in {"256", "truecolor"}  # sixteen colours would mislead
    for part in _parts(content, width=console.width, swatches=swatches):
        console.print(part, highlight=False)


def _parts(content: ReportContent, *, width: int, swatches: bool) -> Iterator[RenderableType]:
    """The report from top to bottom."""
    from rich.text import Text

    yield from _opening(content)
    for own in content.own:
        yield from _own_cut(own, content, swatches=swatches)
    yield from _bands(content, swatches=swatches)
    if content.cuts:
        yield from _counts(content, width=width, swatches=swatches)
        yield from _stripes(content, width=width, swatches=swatches)
    if content.section is not None:
        yield from _section(content.section, content.cuts, width=width)
    if content.texture:
        yield heading_of("What the cuts make of this cloth as a texture")
    for sentence in content.texture:
        yield Text(sentence)
    yield from _closing(content)


def _opening(content: ReportContent) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of(content.title)
    yield Text(" ".join(content.about))
    for caution in content.cautions:
        yield Text.assemble(("Caution: ", "bold"), caution.message)


def _closing(content: ReportContent) -> Iterator[RenderableType]:
    from rich.text import Text

    if content.safety:
        yield heading_of("Before you cut")
    for sentence in content.safety:
        yield Text(sentence)


def heading_of(text: str) -> Text:
    """A heading, after an empty line."""
    from rich.text import Text

    return Text(f"\n{text}", style="bold")


def table_of(*columns: str, right: int = 0, gap: int = GAP, wrapped: Sequence[int] = (0,)) -> Table:
    """A plain table: columns from ``right`` on are set to the right, ``wrapped`` ones may wrap."""
    from rich.table import Table

    table = Table(box=None, padding=(0, gap, 0, 0), pad_edge=False, header_style="dim")
    for number, column in enumerate(columns):
        table.add_column(
            column,
            justify="right" if 0 < right <= number else "left",
            no_wrap=number not in wrapped,
        )
    return table


def numbered(steps: Sequence[str]) -> RenderableType:
    """Steps under each other with their numbers, after and before an empty line."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 1))
    for number, step in enumerate(steps, 1):
        grid.add_row(f"{number}.", Text(step))
    return Padding(grid, (1, 0))


def label_of(label: str, hexes: Sequence[str], *, swatches: bool) -> Text:
    """A label after its swatches, where the terminal has colours."""
    from rich.text import Text

    text = Text()
    if swatches:
        for each in hexes:
            text.append(SWATCH if len(hexes) == 1 else SWATCH[0], style=each)
        text.append(" ")
    return text.append(label)


def _own_cut(own: OwnCut, content: ReportContent, *, swatches: bool) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of(own.heading)
    table = table_of("Band", "Strips from each", "A strip reads")
    for system in content.systems:
        for row in count_rows(system.rows, cut=own.cut):
            for strip in row.strips:
                if strip.cut == own.cut:
                    label = label_of(row.label, [row.hex], swatches=swatches)
                    reads = label_of(row.reads, [row.reads_hex], swatches=swatches)
                    table.add_row(label, strip.spoken, reads)
    if table.row_count:
        yield table
        yield Text(NOT_ADDED)
    for sentence in own.stripes:
        yield Text(f"Stripe {sentence}.")


def _bands(content: ReportContent, *, swatches: bool) -> Iterator[RenderableType]:
    from rich.text import Text

    for system in content.systems:
        yield heading_of(system.heading)
        yield Text(" ".join(system.about))
        if system.striped:
            yield _system(system, swatches=swatches)
    if any(system.striped for system in content.systems):
        yield Text("± holds 19 times in 20; inches are to the nearest 1/32.")


def _system(system: SystemPart, *, swatches: bool) -> Table:
    table = table_of("Band", "Width", "Inches", "A strip reads")
    for row in system.rows:
        table.add_row(
            label_of(row.label, [row.band.yarn.hex], swatches=swatches),
            row.width,
            row.inches,
            label_of(row.reads, [row.band.reads.hex], swatches=swatches),
        )
    return table


def _counts(content: ReportContent, *, width: int, swatches: bool) -> Iterator[RenderableType]:
    from rich.text import Text

    rows = [row for system in content.systems for row in system.counts]
    if not rows:
        return
    yield heading_of("Strips from each band")
    labels = [label_of(row.label, [row.hex], swatches=swatches) for row in rows]
    cells = [[short_count(strip) for strip in row.strips] for row in rows]
    yield from _by_cuts("Band", labels, cells, content.cuts, width=width)
    yield Text(f"{HOW_COUNTED} {NOT_ADDED}")


def _stripes(content: ReportContent, *, width: int, swatches: bool) -> Iterator[RenderableType]:
    from rich.text import Text

    explained = False
    for system in content.systems:
        if not system.stripes:
            continue
        yield heading_of(system.stripes_heading)
        if not explained:
            yield Text(HOW_KEPT)
            explained = True
        if system.plain:
            cells = [[f"{n:.0f}" if n >= 10 else f"{n:.1f}" for n in system.plain]]
            labels = [Text("Strips in a repeat")]
            yield from _by_cuts("", labels, cells, content.cuts, width=width)
        for part in system.stripes:
            label = label_of(part.label, part.hexes, swatches=swatches)
            about = f", {part.width} ({part.inches} in). {part.advice}"
            yield Text.assemble("\n", label, about)
            yield from _stripe(part, content.cuts, width=width)


def _stripe(part: StripePart, cuts: Sequence[Cut], *, width: int) -> Iterator[RenderableType]:
    from rich.text import Text

    lines = {"Kept whole": [kept_count(each) for each in part.stripe.cuts]}
    if len(part.stripe.bands) == 1 and any(each.all_stripe for each in part.stripe.cuts):
        lines["Nothing but stripe"] = [str(each.all_stripe or "-") for each in part.stripe.cuts]
    labels = [Text(label) for label in lines]
    yield from _by_cuts("", labels, list(lines.values()), cuts, width=width)


def _section(part: SectionPart, cuts: Sequence[Cut], *, width: int) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of(f"Section from {part.label}, {part.width} wide")
    lines = {"Strips": [short_count(each.strips) for each in part.section.cuts]}
    if part.section.stripes:
        lines["... with a stripe whole"] = [str(each.whole) for each in part.section.cuts]
    yield from _by_cuts(
        "", [Text(label) for label in lines], list(lines.values()), cuts, width=width
    )


def _by_cuts(
    corner: str,
    labels: Sequence[Text],
    cells: Sequence[Sequence[str]],
    cuts: Sequence[Cut],
    *,
    width: int,
) -> Iterator[Table]:
    """A table of one column for each cut, closer set or in pieces where the width asks for it."""
    wide = [max(len(cut.label), *(len(row[k]) for row in cells)) for k, cut in enumerate(cuts)]
    room = width - max(len(corner), *(label.cell_len for label in labels))
    gap = GAP if sum(wide) + GAP * len(wide) <= room else 1
    first = 0
    while first < len(cuts):
        last = first + 1
        while last < len(cuts) and sum(each + gap for each in wide[first : last + 1]) <= room:
            last += 1
        table = table_of(corner, *(cut.label for cut in cuts[first:last]), right=1, gap=gap)
        for label, row in zip(labels, cells, strict=True):
            table.add_row(label, *row[first:last])
        yield table
        first = last
