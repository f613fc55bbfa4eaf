"""What a rug's answer says, whatever it is written on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from plaidcut.reports.lengths_words import area_words, long_words
from plaidcut.reports.rug_words import answer_sentence, covered_words, mend_sentence, to_buy
from plaidcut.rug.answer import AreaAnswer, RugAnswer
from plaidcut.units import Units

LEAST_TOLD_MM: Final = 300.0
"""Lengths of strip under a foot aren't worth a line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaRow:
    """One area, ready to be shown."""

    name: str
    cut: str
    size: str
    takes: str
    covered: str
    wool: str
    """How much wool that is, and by which figures."""
    gets: tuple[str, ...]
    """What it gets of which wool."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftRow:
    """What is left of one wool, ready to be shown."""

    supply: str
    left: str
    reserve: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RugContent:
    """All that a rug's answer says."""

    title: str
    answer: str
    """First of all, in one sentence."""
    mends: tuple[str, ...]
    areas: tuple[AreaRow, ...]
    """The most important first."""
    left: tuple[LeftRow, ...]
    said: tuple[str, ...]
    """What was taken for granted of wool."""


def rug_content(answer: RugAnswer, *, units: Units = Units.IN) -> RugContent:
    """Put the answer for a rug into words."""
    return RugContent(
        title=f"Wool for {answer.rug.name}",
        answer=answer_sentence(answer, units),
        mends=tuple(mend_sentence(mend) for mend in answer.mends),
        areas=tuple(_area_row(area, units) for area in answer.areas),
        left=tuple(
            LeftRow(
                supply=left.supply,
                left=f"{100 * left.share:.0f} %",
                reserve=f"{100 * left.reserve:.0f} %",
            )
            for left in answer.left
        ),
        said=tuple(
            f"{supply.name}: reckoned as {supply.said}; sizes differ, so measure yours."
            for supply in answer.rug.supplies
            if supply.said
        ),
    )


def _area_row(area: AreaAnswer, units: Units) -> AreaRow:
    low, _, high = area.takes_mm
    multiplier = area.need.multiplier
    times = (
        f"{multiplier.low:g}"
        if multiplier.own
        else f"{multiplier.low:.2g} to {multiplier.high:.2g}, typically {multiplier.typical:.2g},"
    )
    gets = tuple(
        f"{long_words(got.length_mm, units)} of {got.label} from {got.supply}"
        for got in area.gets
        if got.length_mm >= LEAST_TOLD_MM
    )
    return AreaRow(
        name=area.need.name,
        cut=area.need.cut.label,
        size=area_words(area.need.extent.area_mm2, units),
        takes=f"{long_words(low, units)} to {long_words(high, units)}",
        covered=covered_words(area.covered),
        wool=f"{times} times its area, by {multiplier.source}; {to_buy(area, units)}.",
        gets=gets if area.gets else ("no wool that suits it",),
    )
