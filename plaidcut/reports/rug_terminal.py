"""The answer to "is it enough?" on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from plaidcut.reports.lengths_words import area_words, long_words
from plaidcut.reports.rug_words import answer_sentence, covered_words, mend_sentence, to_buy
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.rug.answer import AreaAnswer, RugAnswer
from plaidcut.units import Units

if TYPE_CHECKING:
    from rich.console import Console, RenderableType


LEAST_TOLD_MM: Final = 300.0
"""Lengths of strip under a foot aren't worth a line."""


def print_rug(answer: RugAnswer, console: Console, *, units: Units) -> None:
    """Write the answer on a console."""
    for part in _parts(answer, units):
        console.print(part, highlight=False)


def _parts(answer: RugAnswer, units: Units) -> Iterator[RenderableType]:
    from rich.text import Text

    yield heading_of(f"Wool for {answer.rug.name}")
    yield Text(answer_sentence(answer, units))
    for mend in answer.mends:
        yield Text(f"- {mend_sentence(mend)}")
    yield heading_of("What each area takes and gets, the most important first")
    table = table_of("Area", "Cut", "Size", "Strip it takes", "Covered")
    for area in answer.areas:
        low, _, high = area.takes_mm
        table.add_row(
            area.need.name,
            area.need.cut.label,
            area_words(area.need.extent.area_mm2, units),
            f"{long_words(low, units)} to {long_words(high, units)}",
            covered_words(area.covered),
        )
    yield table
    yield Text("Covered: from hooking low to packing it, as published figures have it.")
    for area in answer.areas:
        yield from _area(area, units)
    yield heading_of("What is left, with typical hooking")
    table = table_of("Wool", "Left", "Of that in reserve")
    for left in answer.left:
        table.add_row(left.supply, f"{100 * left.share:.0f} %", f"{100 * left.reserve:.0f} %")
    yield table
    for supply in answer.rug.supplies:
        if supply.said:
            yield Text(f"{supply.name}: reckoned as {supply.said}; sizes differ, so measure yours.")


def _area(area: AreaAnswer, units: Units) -> Iterator[RenderableType]:
    from rich.text import Text

    multiplier = area.need.multiplier
    times = (
        f"{multiplier.low:g}"
        if multiplier.own
        else f"{multiplier.low:g}, {multiplier.typical:g}, {multiplier.high:g}"
    )
    by = f"{times} times its area, by {multiplier.source}"
    wool = f"\n{area.need.name}: {by}; {to_buy(area, units)}."
    yield Text(wool, style="dim")
    for got in area.gets:
        if got.length_mm < LEAST_TOLD_MM:
            continue
        yield Text(f"  {long_words(got.length_mm, units)} of {got.label} from {got.supply}")
    if not area.gets:
        yield Text("  no wool that suits it")
