"""The best way to tear a piece of cloth into runs: exact for a stated order of aims.

Each strip that is wanted must start within a *window*, and the windows of later strips of a run
are narrower, as the edge's error grows from pass to pass. What is aimed at, in order, is counted
in whole numbers, so a plan's worth depends on which strips hit which windows and not on where
exactly its edges lie. Every plan can then be pushed to the left until each edge stops at the
beginning of a window or at the run before: only such edges need be tried. Over them the best
plan is found by dynamic programming, once for every set of heads.

An edge has to lie some way behind the one before it. So the piece is searched slice by slice,
from left to right, each slice no wider than that: all edges of a slice are tried at once.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cutting.aims import ORDER, Aim, Score
from plaidcut.cutting.fitting import Window, most_disjoint
from plaidcut.cutting.piece import Flags, Floats, Head, Piece, Run, hits, score_of
from plaidcut.stripes.runs import TOLERANCE_MM

Keys = NDArray[np.int64]

COUNT_BITS: Final = 12
"""Bits of a count in a plan's worth: up to 4095 strips or tears."""

WIDTH_BITS: Final = 26
"""Bits of a width in µm in a plan's worth: up to 67 m."""

NEVER: Final = -(2**62)
"""Worth of what can't be done; below any plan's."""


def best_runs(
    piece: Piece, heads: Sequence[Head], *, order: Sequence[Aim] = ORDER
) -> tuple[tuple[Run, ...], Score]:
    """Find the best plan for a piece: exact for the order of aims.

    Parameters
    ----------
    piece, heads
        What is cut, and what with.
    order
        Every aim once, the first held before the second, and so on.

    Returns
    -------
    tuple of Run, Score
        The runs from left to right, each edge as far left as can be, and what they reach. No
        runs where not even one strip fits.

    Raises
    ------
    ValueError
        If the order leaves out an aim.
    """
    if set(order) != set(Aim):
        msg = f"every aim has its place in the order, got {', '.join(order)}"
        raise ValueError(msg)
    best: tuple[tuple[Run, ...], Score] = ((), score_of((), piece, heads))
    every = tuple(range(len(heads)))
    fewer = [chosen for count in every[1:] for chosen in combinations(every, count)]
    for chosen in (every, *fewer):
        picked = {k: heads[k] for k in chosen}
        if _at_best(picked.values()).ranked(order) <= best[1].ranked(order):
            continue
        runs = _Search(piece, picked, order).best()
        score = score_of(runs, piece, heads)
        if score.ranked(order) > best[1].ranked(order):
            best = (runs, score)
    return best


def most_singly(piece: Piece, heads: Sequence[Head]) -> Score:
    """The most whole strips, then the most of one colour, however often heads are changed."""
    order = (Aim.WHOLE, Aim.ONE_COLOUR, Aim.TEARS, Aim.WASTE, Aim.HEADS)
    return score_of(_Search(piece, dict(enumerate(heads)), order).best(), piece, heads)


def _at_best(heads: Collection[Head]) -> Score:
    """What no plan that uses all of these heads can exceed: each cuts as if it were alone."""
    whole, one_colour = (
        sum(
            most_disjoint([Window(*each) for each in windows[0]], strip_mm=head.width_mm)
            for head, windows in found
            if windows
        )
        for found in (
            [(head, head.whole) for head in heads],
            [(head, head.one_colour) for head in heads],
        )
    )
    return Score(whole=whole, one_colour=one_colour, heads=len(heads) - 1, tears=0, waste_mm=0.0)


_Ends = NDArray[np.void]
_END: Final = np.dtype(
    [("at_mm", "f8"), ("worth", "i8"), ("edge", "i4"), ("head", "i2"), ("strips", "i2")]
)
"""The end of a run: from where on the next edge may lie, what is reached by then, and the run."""

_SHELF: Final = 16
"""Slices whose ends are kept at hand; those further on are looked through once a shelf."""


@dataclass(slots=True)
class _Reach:
    """The best that is reached before an edge, as the search goes on from left to right."""

    slice_mm: float
    best: Keys
    """Of the ends that begin to count in a slice, the most that is reached, (slices,)."""
    near: list[_Ends] = field(default_factory=list)
    """Ends in the next slices, less those that can't be the best."""
    far: list[_Ends] = field(default_factory=list)
    """Ends beyond them."""
    known: _Ends = field(default_factory=lambda: np.empty(0, _END))
    """The best of the slices that were searched, (1,) or (0,)."""

    @classmethod
    def over(cls, width_mm: float, slice_mm: float) -> _Reach:
        """Nothing reached yet on a piece of some width."""
        return cls(slice_mm, np.full(int(width_mm / slice_mm) + 2, NEVER, np.int64))

    def add(self, ends: _Ends, searched: int) -> None:
        """Put down ends found in a slice, unless as much is reached slices before them."""
        np.maximum.at(self.best, self._slice_of(ends), ends["worth"])
        near, far = self._parted([ends], searched - searched % _SHELF + _SHELF)
        self.near += near
        self.far += far

    def steps(self, number: int) -> _Ends:
        """What is reached at the beginning of a slice, and each end in it that reaches more."""
        if number % _SHELF == 0:
            self.near, self.far = self._parted(self.far, number + _SHELF)
        here, self.near = self._parted(self.near, number + 1)
        ends = np.concatenate([self.known, *here])
        ends = ends[np.lexsort((-ends["worth"], ends["at_mm"]))]
        reached = np.maximum.accumulate(ends["worth"])
        ends = ends[np.diff(reached, prepend=NEVER) > 0]
        self.known = ends[-1:]
        return ends

    def _parted(self, parts: list[_Ends], number: int) -> tuple[list[_Ends], list[_Ends]]:
        """Ends before a slice, and the others."""
        ends = self._better(np.concatenate([np.empty(0, _END), *parts]))
        is_before = ends["at_mm"] < number * self.slice_mm
        return [ends[is_before]], [ends[~is_before]]

    def _better(self, ends: _Ends) -> _Ends:
        """The ends that reach more than any in the slices before theirs."""
        before = np.concatenate([[NEVER], np.maximum.accumulate(self.best)])
        return ends[ends["worth"] > before[self._slice_of(ends)]]

    def _slice_of(self, ends: _Ends) -> NDArray[np.intp]:
        return np.minimum((ends["at_mm"] / self.slice_mm).astype(np.intp), len(self.best) - 1)


@dataclass(slots=True)
class _Search:
    """Dynamic programming over true edges, from left to right, for a set of heads."""

    piece: Piece
    heads: Mapping[int, Head]
    order: Sequence[Aim]
    edges_mm: list[float] = field(default_factory=lambda: [0.0])
    before: list[_Ends] = field(default_factory=lambda: [np.empty(0, _END)])
    """For each edge the end of the run before it, (1,); (0,) where there is none."""
    last: _Ends = field(default_factory=lambda: np.zeros(1, _END))
    """The end at which the best plan so far stops, (1,)."""
    base: dict[Aim, int] = field(init=False)
    torn: _Reach = field(init=False)
    """What is reached before an edge that may be torn ..."""
    trimmed: _Reach = field(init=False)
    """... and before one that can only be trimmed."""

    def __post_init__(self) -> None:
        self.base, shift = {}, 0
        for aim in reversed(self.order):
            self.base[aim] = 1 << shift
            shift += {Aim.WASTE: WIDTH_BITS, Aim.HEADS: 0}.get(aim, COUNT_BITS)
        piece, least_mm = self.piece, min(head.width_mm for head in self.heads.values())
        slice_mm = min(max(least_mm, piece.least_tear_mm), least_mm + piece.least_trim_mm)
        slice_mm -= TOLERANCE_MM  # no rounding brings an end into the slice that it comes from
        self.torn, self.trimmed = (_Reach.over(piece.width_mm, slice_mm) for _ in range(2))

    def best(self) -> tuple[Run, ...]:
        """The best runs."""
        starts_mm, slice_mm = self._window_starts(), self.torn.slice_mm
        self._put_down(self.last.copy(), searched=-1)
        if self.piece.true_edge:
            zero = np.zeros(1, np.int64)
            for h, head in self.heads.items():
                self._run_on(
                    h, zero.astype(float), zero, zero, _both_hits(head, np.zeros(1)), searched=-1
                )
        for number in range(len(self.torn.best)):
            here = np.searchsorted(starts_mm, [number * slice_mm, (number + 1) * slice_mm])
            self._search_slice(number, starts_mm[slice(*here)])
        return self._traced()

    def _window_starts(self) -> Floats:
        """Edges from which a strip of a run starts at the beginning of a window, sorted."""
        starts = [
            window[:, 0] - k * head.width_mm
            for head in self.heads.values()
            for windows in (head.whole, head.one_colour)
            for k, window in enumerate(windows)
        ]
        return np.unique(np.concatenate([*starts, np.empty(0)]).round(7))

    def _search_slice(self, number: int, starts_mm: Floats) -> None:
        """Try the edges of a slice: where windows begin, and where more is reached than before.

        An edge is worth its tear only if strips hit windows from it; or if waste counts for
        more than a tear.
        """
        last_tear_mm = self.piece.last_tear_mm + TOLERANCE_MM
        torn, trimmed = self.torn.steps(number), self.trimmed.steps(number)
        for ends, low_mm, high_mm in (
            (torn, TOLERANCE_MM, last_tear_mm),
            (trimmed, max(TOLERANCE_MM, last_tear_mm), self.piece.width_mm),
        ):
            new_mm = ends["at_mm"][ends["at_mm"] >= number * self.torn.slice_mm]
            edges_mm = np.union1d(starts_mm, new_mm)
            edges_mm = edges_mm[(low_mm < edges_mm) & (edges_mm <= high_mm)]
            before = np.searchsorted(ends["at_mm"], edges_mm + TOLERANCE_MM, side="right") - 1
            found = {h: _both_hits(head, edges_mm) for h, head in self.heads.items()}
            useful = np.any([flags.any(axis=(0, 2)) for flags in found.values()], axis=0)
            if self.order.index(Aim.WASTE) < self.order.index(Aim.TEARS):
                useful[:] = True
            useful &= before >= 0
            if useful.any():
                rows = len(self.edges_mm) + np.arange(useful.sum())
                self.edges_mm += edges_mm[useful].tolist()
                self.before += np.split(ends[before[useful]], useful.sum())
                worth = ends["worth"][before[useful]] - self.base[Aim.TEARS]
                for h, flags in found.items():
                    self._run_on(
                        h, edges_mm[useful], worth, rows, flags[:, useful], searched=number
                    )

    def _run_on(
        self, h: int, edges_mm: Floats, worth: Keys, rows: Keys, known: Flags, *, searched: int
    ) -> None:
        """Put down the ends of runs of every length from edges."""
        head, piece = self.heads[h], self.piece
        fit = ((piece.width_mm + TOLERANCE_MM - edges_mm) // head.width_mm).astype(int)
        strips = np.arange(1, max(0, *fit, 0) + 1)
        flags = np.zeros((2, len(edges_mm), len(strips)), bool)
        flags[:, :, : known.shape[2]] = known[:, :, : len(strips)]
        width_um = round(head.width_mm * 1000)
        thrift = width_um if piece.rest_wanted else -width_um * ~flags.any(axis=0)
        gain = (
            flags[0] * self.base[Aim.WHOLE]
            + flags[1] * self.base[Aim.ONE_COLOUR]
            + thrift * self.base[Aim.WASTE]
        )
        row, n = np.nonzero(strips <= fit[:, None])
        ends = np.empty(len(row), _END)
        ends["at_mm"] = edges_mm[row] + strips[n] * head.width_mm
        ends["worth"] = (worth[:, None] + np.cumsum(gain, axis=1))[row, n]
        ends["edge"], ends["head"], ends["strips"] = rows[row], h, strips[n]
        if len(ends):
            self.last = max(self.last, ends[[ends["worth"].argmax()]], key=_worth)
            self._put_down(ends, searched=searched)

    def _put_down(self, ends: _Ends, *, searched: int) -> None:
        """Note from where on an edge may follow runs that end somewhere."""
        piece = self.piece
        trimmed = ends.copy()
        trimmed["at_mm"] += piece.least_trim_mm
        torn_mm = np.array(self.edges_mm)[ends["edge"]] + piece.least_tear_mm
        ends["at_mm"] = np.minimum(np.maximum(ends["at_mm"], torn_mm), trimmed["at_mm"])
        self.torn.add(ends, searched)
        self.trimmed.add(trimmed, searched)

    def _traced(self) -> tuple[Run, ...]:
        """The runs of the best plan, by going back from its last."""
        runs: list[Run] = []
        end = self.last
        while len(end):
            row, strips = int(end["edge"][0]), int(end["strips"][0])
            if strips:
                head = int(end["head"][0])
                runs.append(Run(start_mm=self.edges_mm[row], head=head, strips=strips))
            end = self.before[row]
        return tuple(reversed(runs))


def _both_hits(head: Head, edges_mm: Floats) -> Flags:
    """Which strips of runs hold a stripe whole and which nothing but a band, (2, N, K)."""
    found = [hits(each, head.width_mm, edges_mm) for each in (head.whole, head.one_colour)]
    flags = np.zeros((2, len(edges_mm), max(each.shape[1] for each in found)), bool)
    for flag, each in zip(flags, found, strict=True):
        flag[:, : each.shape[1]] = each
    return flags


def _worth(end: _Ends) -> int:
    return int(end["worth"][0])
