"""Loose strips and their cuts, on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from plaidcut.cutting.which_cut import NamedStrip, NamedStrips, cut_words
from plaidcut.loose.strips import Odd
from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.units import Units, format_length, format_measured

if TYPE_CHECKING:
    from rich.console import Console

ODD_WORDS: Final = {
    Odd.VARYING: "width varies",
    Odd.RAVELLED: "ravelled",
    Odd.SIDE_BY_SIDE: "two side by side?",
    Odd.LITTLE_SEEN: "little of it seen",
}


def print_loose(named: NamedStrips, console: Console, *, units: Units) -> None:
    """Write the strips of a photo on a console: each width before the cut's name."""
    from rich.text import Text

    console.print(heading_of(f"{_strips(len(named.strips))} in {named.loose.photo.name}"))
    table = table_of("No.", "Width", "scatter", "Cut", "sure", "Reads")
    for each in named.strips:
        strip = each.strip
        table.add_row(
            str(strip.number),
            format_measured(strip.width_mm, 2 * strip.width_std_mm, units),
            format_length(strip.spread_mm, units),
            cut_words(each.named),
            sure_words(each),
            strip.reads.spoken,
        )
    console.print(table, highlight=False)
    for each in named.strips:
        looks = [ODD_WORDS[odd] for odd in each.strip.odd]
        looks += ["flecked"] if each.strip.flecked else []
        if looks:
            console.print(Text(f"Strip {each.strip.number}: {', '.join(looks)}."))
    console.print(heading_of("How many"))
    counts = table_of("Cut", "Strips", right=1)
    for cut, count in named.counts:
        counts.add_row(f"{cut.label} ({format_length(cut.width_mm, units)})", str(count))
    if named.uncounted:
        counts.add_row("not counted: odd, or no sure cut", str(named.uncounted))
    console.print(counts, highlight=False)
    console.print(
        Text(
            "\nThe ± after a width holds 19 times in 20; the one along it is how much it scatters."
        )
    )
    for caution in named.loose.cautions:
        console.print(Text(f"\n{caution.message}"))


def sure_words(each: NamedStrip) -> str:
    """How certain the nearest cut is, in per cent; never all of it."""
    return f"{min(99, int(100 * each.named.certainty))} %"


def _strips(count: int) -> str:
    return "1 loose strip" if count == 1 else f"{count} loose strips"
