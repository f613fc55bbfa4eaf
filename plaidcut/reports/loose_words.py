"""Loose strips and their cuts in words, for every kind of report."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.which_cut import NamedStrip, NamedStrips, cut_words
from plaidcut.loose.strips import Odd
from plaidcut.units import Units, format_length, format_measured

ODD_WORDS: Final = {
    Odd.VARYING: "width varies",
    Odd.RAVELLED: "ravelled",
    Odd.SIDE_BY_SIDE: "two side by side?",
    Odd.LITTLE_SEEN: "little of it seen",
}

HOW_READ: Final = (
    "The ± after a width holds 19 times in 20; the one along it is how much it scatters."
)

UNCOUNTED: Final = "not counted: odd, or no sure cut"


@dataclass(frozen=True, slots=True, kw_only=True)
class StripRow:
    """One strip, ready to be shown: its width before its cut's name."""

    number: int
    width: str
    scatter: str
    cut: str
    sure: str
    """How certain the nearest cut is."""
    reads: str
    hex: str
    remarks: str
    """What is odd about it; empty where nothing is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """How many strips of a cut there are."""

    label: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseContent:
    """All that is said of the strips in a photo."""

    title: str
    rows: tuple[StripRow, ...]
    counts: tuple[CountRow, ...]
    cautions: tuple[str, ...]


def loose_content(named: NamedStrips, *, units: Units) -> LooseContent:
    """Put the strips of a photo into words."""
    counts = [
        CountRow(label=f"{cut.label} ({format_length(cut.width_mm, units)})", count=count)
        for cut, count in named.counts
    ]
    if named.uncounted:
        counts.append(CountRow(label=UNCOUNTED, count=named.uncounted))
    strips = "1 loose strip" if len(named.strips) == 1 else f"{len(named.strips)} loose strips"
    return LooseContent(
        title=f"{strips} in {named.loose.photo.name}",
        rows=tuple(_row(each, units) for each in named.strips),
        counts=tuple(counts),
        cautions=tuple(caution.message for caution in named.loose.cautions),
    )


def _row(each: NamedStrip, units: Units) -> StripRow:
    strip = each.strip
    looks = [ODD_WORDS[odd] for odd in strip.odd]
    looks += ["flecked"] if strip.flecked else []
    return StripRow(
        number=strip.number,
        width=format_measured(strip.width_mm, 2 * strip.width_std_mm, units),
        scatter=format_length(strip.spread_mm, units),
        cut=cut_words(each.named),
        sure=f"{min(99, int(100 * each.named.certainty))} %",  # never all of it
        reads=strip.reads.spoken,
        hex=strip.reads.hex,
        remarks=", ".join(looks),
    )
