"""Which wool goes where: areas in their order of importance, by mixed-integer programming.

A supply can be cut in several ways (cuts, directions), a share of it in each; a way gives strips
of several kinds. Each area takes strips of its own cut that suit it. First the first area is
covered as far as can be, then, without taking from it, the second, and so on; then as few cloths
as possible go into each area; then as little as possible is cut. Every step is solved exactly by
HiGHS.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.rug.needs import Need, Strips, Supply, Tightness, Way, suits

Floats = NDArray[np.float64]

LEAST_SHARE: Final = 1e-4
"""Share of an area below which what a cloth gives it is rounding."""

COVERED: Final = 1 - 1e-4
"""Share of an area from which it counts as covered."""

_METRE_MM: Final = 1000.0
"""Lengths are metres inside the programme, so that its numbers are of one size."""

_HELD: Final = 3e-6
"""What a later step may take from an earlier one, as rounding does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """Strips that go into an area."""

    need: int
    """Index of the area."""
    supply: int
    way: Way
    strips: Strips
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What goes where."""

    covered: tuple[float, ...]
    """Share of each area that is covered."""
    taken: tuple[Taken, ...]
    shares: tuple[tuple[tuple[Way, float], ...], ...]
    """For each supply the ways in which it is cut, and how much of it in each."""

    @property
    def enough(self) -> bool:
        """Whether all areas are covered."""
        return all(share >= COVERED for share in self.covered)


def match(
    needs: Sequence[Need],
    supplies: Sequence[Supply],
    *,
    hooked: Tightness,
    strips: Tightness,
    reserve: Sequence[float],
) -> Match:
    """Say which wool goes where.

    Parameters
    ----------
    needs
        Areas, the most important first.
    supplies
        Wool at hand.
    hooked
        How much wool hooking is taken to use.
    strips
        How carefully strips are counted: LOW for those that are there for sure.
    reserve
        Share of each supply that is kept back.
    """
    return _Programme(needs, supplies, hooked, strips, reserve).solved()


@dataclass(frozen=True, slots=True)
class _Use:
    """One kind of strips of one way of a supply."""

    supply: int
    way: int
    strips: Strips


class _Programme:
    """Variables: shares of supplies in each way, lengths taken, coverage, cloths used."""

    def __init__(
        self,
        needs: Sequence[Need],
        supplies: Sequence[Supply],
        hooked: Tightness,
        strips: Tightness,
        reserve: Sequence[float],
    ) -> None:
        self.needs, self.supplies, self.hooked = needs, supplies, hooked
        self.ways = [(s, way) for s, supply in enumerate(supplies) for way in supply.ways]
        self.uses = [
            _Use(supply=s, way=w, strips=each)
            for w, (s, way) in enumerate(self.ways)
            for each in way.strips
        ]
        self.takes = [
            (n, u)
            for n, need in enumerate(needs)
            for u, use in enumerate(self.uses)
            if self.ways[use.way][1].cut.width_mm == need.cut.width_mm
            and suits(supplies[use.supply], use.strips, need.wants)
        ]
        self.cloths = sorted({(n, self.uses[u].supply) for n, u in self.takes})
        counts = (len(self.ways), len(self.takes), len(needs), len(self.cloths))
        starts = np.cumsum([0, *counts])
        self.at = dict(zip(("share", "take", "cover", "cloth"), starts, strict=False))
        self.size = int(starts[-1])
        self.strips, self.reserve = strips, reserve
        self.rows: list[Floats] = []
        self.most: list[float] = []
        self._limit()

    def _row(self, *terms: tuple[str, int, float], most: float) -> None:
        """Add a constraint: a sum of terms is at most so much."""
        row = np.zeros(self.size)
        for kind, index, factor in terms:
            row[self.at[kind] + index] += factor
        self.rows.append(row)
        self.most.append(most)

    def _limit(self) -> None:
        """Nothing is used twice, and areas get no more than they take."""
        for s in range(len(self.supplies)):
            terms = [("share", w, 1.0) for w, (of, _) in enumerate(self.ways) if of == s]
            if terms:
                self._row(*terms, most=1.0 - self.reserve[s])
        for u, use in enumerate(self.uses):
            taken = [("take", k, 1.0) for k, (_, of) in enumerate(self.takes) if of == u]
            if taken:
                self._row(
                    *taken,
                    ("share", use.way, -use.strips.length_mm[self.strips] / _METRE_MM),
                    most=0.0,
                )
        for n, need in enumerate(self.needs):
            takes_m = need.length_mm(self.hooked) / _METRE_MM
            given = [("take", k, -1.0) for k, (of, _) in enumerate(self.takes) if of == n]
            self._row(("cover", n, takes_m), *given, most=0.0)
            for c, (of, supply) in enumerate(self.cloths):
                if of == n:
                    of_it = [
                        ("take", k, 1.0)
                        for k, (who, u) in enumerate(self.takes)
                        if who == n and self.uses[u].supply == supply
                    ]
                    self._row(*of_it, ("cloth", c, -takes_m), most=0.0)

    def _solve(self, cost: Floats, *, whole_cloths: bool = False) -> Floats:
        """The best of all variables, for a cost; cloths counted whole where that matters."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        high = np.ones(self.size)
        high[self.at["take"] : self.at["cover"]] = np.inf
        whole = np.zeros(self.size, np.int64)
        whole[self.at["cloth"] :] = int(whole_cloths)
        found = milp(
            cost,
            integrality=whole,
            bounds=Bounds(np.zeros(self.size), high),
            constraints=LinearConstraint(np.array(self.rows), -np.inf, np.array(self.most)),
            options={"mip_rel_gap": 0.0},
        )
        if found.x is None:
            msg = f"HiGHS found no match: {found.message}"
            raise RuntimeError(msg)
        return np.asarray(found.x)

    def solved(self) -> Match:
        """Step after step, each held while the next is looked for."""
        for n in range(len(self.needs)):
            cost = np.zeros(self.size)
            cost[self.at["cover"] + n] = -1.0
            best = self._solve(cost)[self.at["cover"] + n]
            if best > LEAST_SHARE:
                self._row(("cover", n, -1.0), most=-(min(best, 1.0) - _HELD))
        cost = np.zeros(self.size)
        cost[self.at["cloth"] :] = 1.0
        used = self._solve(cost, whole_cloths=True)[self.at["cloth"] :] > 0.5
        for c in np.flatnonzero(~used):
            self._row(("cloth", int(c), 1.0), most=0.0)
        cost = np.zeros(self.size)
        cost[self.at["share"] : self.at["take"]] = 1.0
        return self._told(self._solve(cost))

    def _told(self, x: Floats) -> Match:
        covered = x[self.at["cover"] : self.at["cloth"]]
        taken = x[self.at["take"] : self.at["cover"]]
        shares = x[self.at["share"] : self.at["take"]]
        return Match(
            covered=tuple(1.0 if share >= COVERED else max(0.0, float(share)) for share in covered),
            taken=tuple(
                Taken(
                    need=n,
                    supply=self.uses[u].supply,
                    way=self.ways[self.uses[u].way][1],
                    strips=self.uses[u].strips,
                    length_mm=float(length_m) * _METRE_MM,
                )
                for (n, u), length_m in zip(self.takes, taken, strict=True)
                if length_m * _METRE_MM > LEAST_SHARE * self.needs[n].length_mm(self.hooked)
            ),
            shares=tuple(
                tuple(
                    (way, float(share))
                    for (of, way), share in zip(self.ways, shares, strict=True)
                    if of == s and share > 1e-9
                )
                for s in range(len(self.supplies))
            ),
        )
