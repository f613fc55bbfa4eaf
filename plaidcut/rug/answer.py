"""Is it enough? The answer to that, area by area, and what would mend it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.rug.coverage import RESERVE, RESERVE_TESTED, Multiplier
from plaidcut.rug.match import COVERED, Match, match
from plaidcut.rug.needs import Need, Supply, Tightness, Wants
from plaidcut.stripes.colour import difference

CUTS_TRIED: Final = 2
"""How many cuts narrower are tried where wool is short."""


class Verdict(StrEnum):
    """Whether it is enough."""

    ENOUGH = "enough"
    """Even if hooking takes the high figure."""
    PROBABLY = "probably"
    """If it takes the typical one."""
    IF_LOW = "if-low"
    """Only if it takes the low one."""
    SHORT = "short"


class MendKind(StrEnum):
    """What would mend a shortage."""

    NARROWER = "narrower-cut"
    FEWER_ROWS = "fewer-rows"
    OTHER_STRIPES = "other-strips"
    """Other strips of the same wool."""
    BLEND = "blend"
    """Another wool mixed in from the start."""
    SECOND = "a-second"
    """As much again of a supply."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """One way out, after which typical hooking is covered."""

    kind: MendKind
    need: str
    """The area that it is about."""
    cut: Cut | None = None
    rows: int | None = None
    supply: str | None = None
    share: float | None = None
    """Part of the area that the other wool fills."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Got:
    """What an area gets from one kind of strips."""

    supply: str
    label: str
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaAnswer:
    """One area: what it takes and gets."""

    need: Need
    takes_mm: tuple[float, float, float]
    """Length of strip: low, typical, high."""
    gets: tuple[Got, ...]
    """With typical hooking."""
    covered: tuple[float, float, float]
    """Share that is covered if hooking is low, typical, high."""

    @property
    def short_mm(self) -> float:
        """Length of strip that is missing with typical hooking."""
        return (1 - self.covered[1]) * self.takes_mm[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """What is left of a supply, its reserve included."""

    supply: str
    share: float
    reserve: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rug:
    """A rug's needs and the wool for it."""

    name: str
    needs: tuple[Need, ...]
    """The most important first."""
    supplies: tuple[Supply, ...]
    reserve: float | None = None
    """Share kept back of each supply; by whether it can be had again, and was tested, if None."""
    hooked: float = 0.0
    """Share that is hooked already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RugAnswer:
    """Whether the wool covers the rug."""

    rug: Rug
    verdict: Verdict
    areas: tuple[AreaAnswer, ...]
    left: tuple[Left, ...]
    mends: tuple[Mend, ...]


def answer(rug: Rug, cuts: Sequence[Cut], multiplier: Callable[[Cut], Multiplier]) -> RugAnswer:
    """Say whether the wool covers the rug, area by area, and what would mend it.

    Parameters
    ----------
    rug
        Needs and supplies.
    cuts
        The cuts there are, for what would mend it.
    multiplier
        How much wool a cut takes.
    """
    needs = [need.part(1 - rug.hooked) for need in rug.needs]
    matches = {tightness: _matched(needs, rug, tightness) for tightness in Tightness}
    usual = matches[Tightness.TYPICAL]
    verdict = next(
        (
            verdict
            for tightness, verdict in (
                (Tightness.HIGH, Verdict.ENOUGH),
                (Tightness.TYPICAL, Verdict.PROBABLY),
                (Tightness.LOW, Verdict.IF_LOW),
            )
            if matches[tightness].enough
        ),
        Verdict.SHORT,
    )
    return RugAnswer(
        rug=rug,
        verdict=verdict,
        areas=tuple(
            AreaAnswer(
                need=need,
                takes_mm=_three(need.length_mm),
                gets=tuple(
                    Got(
                        supply=rug.supplies[taken.supply].name,
                        label=taken.strips.label,
                        length_mm=taken.length_mm,
                    )
                    for taken in usual.taken
                    if taken.need == n
                ),
                covered=_three({each: matches[each].covered[n] for each in Tightness}.__getitem__),
            )
            for n, need in enumerate(needs)
        ),
        left=tuple(
            Left(
                supply=supply.name,
                share=1 - sum(share for _, share in shares),
                reserve=reserve,
            )
            for supply, shares, reserve in zip(
                rug.supplies, usual.shares, reserves(rug), strict=True
            )
        ),
        mends=()
        if verdict in (Verdict.ENOUGH, Verdict.PROBABLY)
        else tuple(_mends(needs, rug, usual, cuts, multiplier)),
    )


def reserves(rug: Rug) -> tuple[float, ...]:
    """What is kept back of each supply: less where a test square was hooked in every cut."""
    if rug.reserve is not None:
        return (rug.reserve,) * len(rug.supplies)
    tested = all(need.multiplier.own for need in rug.needs)
    return tuple(
        0.0 if supply.again else RESERVE_TESTED if tested else RESERVE for supply in rug.supplies
    )


def _matched(needs: Sequence[Need], rug: Rug, hooked: Tightness) -> Match:
    """Match needs to supplies: strips counted with care where hooking takes the high figure."""
    strips = Tightness.LOW if hooked is Tightness.HIGH else Tightness.TYPICAL
    return match(needs, rug.supplies, hooked=hooked, strips=strips, reserve=reserves(rug))


def _three(figure: Callable[[Tightness], float]) -> tuple[float, float, float]:
    return (figure(Tightness.LOW), figure(Tightness.TYPICAL), figure(Tightness.HIGH))


def _mends(
    needs: Sequence[Need],
    rug: Rug,
    usual: Match,
    cuts: Sequence[Cut],
    multiplier: Callable[[Cut], Multiplier],
) -> Iterator[Mend]:
    """What would cover each area that is short, with typical hooking and all else as it is."""
    for n, need in enumerate(needs):
        if usual.covered[n] >= COVERED:
            continue
        short = _Short(needs=needs, rug=rug, usual=usual, number=n)
        yield from _changed_area(short, need, usual.covered[n], cuts, multiplier)
        yield from _more_wool(short, need, usual.covered[n])


def _changed_area(
    short: _Short,
    need: Need,
    covered: float,
    cuts: Sequence[Cut],
    multiplier: Callable[[Cut], Multiplier],
) -> Iterator[Mend]:
    """A narrower cut, fewer rows, other strips of the same wool."""
    narrower = sorted(
        (cut for cut in cuts if cut.width_mm < need.cut.width_mm), key=lambda cut: -cut.width_mm
    )[:CUTS_TRIED]
    for cut in narrower:
        if short.covered_by(replace(need, cut=cut, multiplier=multiplier(cut))):
            yield Mend(kind=MendKind.NARROWER, need=need.name, cut=cut)
            break
    rows = need.extent.rows
    fit = 0 if rows is None else int(rows * covered + 1e-6)
    if fit:
        yield Mend(kind=MendKind.FEWER_ROWS, need=need.name, rows=fit)
    loose = replace(need, wants=need.wants.loosened)
    if need.wants != loose.wants and short.covered_by(loose):
        yield Mend(kind=MendKind.OTHER_STRIPES, need=need.name, supply=need.wants.supply)


def _more_wool(short: _Short, need: Need, covered: float) -> Iterator[Mend]:
    """Another wool blended in, or as much again of one."""
    for supply in sorted(short.rug.supplies, key=short.unlikeness):
        if supply.name != need.wants.supply and short.rest_filled_from(supply):
            yield Mend(kind=MendKind.BLEND, need=need.name, supply=supply.name, share=1 - covered)
            break
    for supply in short.rug.supplies:
        if short.covered_by(need, twice=supply):
            yield Mend(kind=MendKind.SECOND, need=need.name, supply=supply.name)
            break


@dataclass(frozen=True, slots=True, kw_only=True)
class _Short:
    """An area that is short, among the others."""

    needs: Sequence[Need]
    rug: Rug
    usual: Match
    number: int

    def covered_by(self, need: Need, *, twice: Supply | None = None) -> bool:
        """Whether it is covered if it is changed, or a supply doubled, and no other gets less."""
        n = self.number
        rug = replace(
            self.rug,
            supplies=tuple(
                supply.more(2) if supply is twice else supply for supply in self.rug.supplies
            ),
        )
        tried = [*self.needs[:n], need, *self.needs[n + 1 :]]
        found = _matched(tried, rug, Tightness.TYPICAL).covered
        return found[n] >= COVERED and all(
            now >= then - 1e-4
            for k, (now, then) in enumerate(zip(found, self.usual.covered, strict=True))
            if k != n
        )

    def unlikeness(self, supply: Supply) -> float:
        """CIEDE2000 of a wool's nearest strips from what the area wants, or gets most of."""
        gets = [taken for taken in self.usual.taken if taken.need == self.number]
        most = max(gets, key=lambda taken: taken.length_mm, default=None)
        wanted = self.needs[self.number].wants.colour or (most.strips.reads if most else None)
        reads = [each.reads for way in supply.ways for each in way.strips if each.reads]
        if wanted is None or not reads:
            return math.inf
        return min(float(difference(each.lab, wanted.lab)) for each in reads)

    def rest_filled_from(self, supply: Supply) -> bool:
        """Whether what is missing can come from what is left of another supply, its own kept."""
        kept = dict(zip((each.name for each in self.rug.supplies), reserves(self.rug), strict=True))
        used = {
            each.name: sum(share for _, share in shares)
            for each, shares in zip(self.rug.supplies, self.usual.shares, strict=True)
        }
        free = max(0.0, 1 - used[supply.name] - kept[supply.name])
        need = self.needs[self.number].part(1 - self.usual.covered[self.number])
        return match(
            [replace(need, wants=Wants(supply=supply.name))],
            [supply.more(free)],
            hooked=Tightness.TYPICAL,
            strips=Tightness.TYPICAL,
            reserve=[0.0],
        ).enough
