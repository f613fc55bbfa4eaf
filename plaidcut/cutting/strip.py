"""What the strips of a plan hold, and which pile each goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from string import ascii_uppercase

import numpy as np

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.piece import Head, Run, held
from plaidcut.cutting.stretch import Lying, Stretch, runs_on
from plaidcut.cutting.wanted import is_alone, same_colour
from plaidcut.cutting.wishes import Keep, Wishes, bands_of
from plaidcut.stripes.colour import Colour, colour_of_linear_rgb, linear_rgb_of_lab
from plaidcut.stripes.measurement import Band, ThreadSystem
from plaidcut.stripes.runs import TOLERANCE_MM


class Holds(StrEnum):
    """What a strip holds."""

    WHOLE = "whole"
    """A wanted stripe, whole."""
    ONE_COLOUR = "one-colour"
    """Nothing but a wanted band."""
    PLAIN = "plain"
    """Nothing but a band that wasn't asked for."""
    MIXED = "mixed"
    """Parts of bands, as they come."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """One strip of a plan."""

    start_mm: float
    """From the piece's left (upper) edge."""
    cut: Cut
    holds: Holds
    bands: tuple[str, ...]
    """The stripe or the band that it is named for; all that are in it where it is mixed."""
    wish: tuple[str, ...] = ()
    """The wanted stripe or band that this is one of; none where nothing was wanted."""
    share: float
    """Part of it that is of those; of a mixed one the part of its broadest band."""
    margin_mm: float | None
    """How far an edge may stray before the strip holds less than it should, or something else;
    None if mixed, or if there is nothing else on the piece."""
    under: tuple[tuple[str, float], ...]
    """The bands in it and how many mm of each, from left to right."""
    reads: Colour
    """Its colour from afar: its bands as they read on the cloth, mixed in linear light."""
    pile: str = ""
    """Letter of the pile that it goes on."""

    @property
    def end_mm(self) -> float:
        """Its other edge."""
        return self.start_mm + self.cut.width_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """Strips that are alike."""

    letter: str
    cut: Cut
    holds: Holds
    bands: tuple[str, ...]
    """The stripe or band that was wanted; the first strip's where none was; none if mixed."""
    reads: Colour
    """Of its first strip."""
    count: int
    colours: tuple[str, ...]
    """Names of the colours of its stripe or band."""

    @property
    def spoken(self) -> str:
        """What its strips hold: ``yellow whole``, ``all red``, ``mixed, dark``."""
        if self.holds is Holds.MIXED:
            return f"mixed, {self.reads.value}"
        colours = ", ".join(self.colours)
        return f"{colours} whole" if self.holds is Holds.WHOLE else f"all {colours}"


@dataclass(frozen=True, slots=True)
class _Span:
    """A wanted stripe where it lies whole on a piece."""

    wish: Keep
    start_mm: float
    end_mm: float


def strips_of(
    runs: Sequence[Run],
    heads: Sequence[Head],
    stretch: Stretch,
    *,
    system: ThreadSystem,
    wishes: Wishes,
    wander_mm: float,
    relative_std: float,
) -> list[list[Strip]]:
    """The strips of each run, from left to right, not yet on piles.

    Parameters
    ----------
    runs, heads
        What is cut where; heads in the order of the wishes' cuts.
    stretch, system
        The piece, and the bands across it.
    wishes
        What is wanted.
    wander_mm, relative_std
        As for `plaidcut.cutting.wanted.heads_of`.
    """
    spans = [
        _Span(wish, start_mm, end_mm)
        for wish in wishes.keep
        for start_mm, end_mm in runs_on(stretch, bands_of(wish.bands, system))
    ]
    found = []
    for run in runs:
        cut = wishes.cuts[run.head]
        whole, alone = held(heads[run.head], run)
        strips = []
        for k in range(run.strips):
            strip = _mixed(run.start_mm + k * cut.width_mm, cut, stretch)
            inside = _band_around(strip, stretch)
            if whole[k]:
                strip = _with_stripe(strip, stretch, spans)
            elif alone[k] and inside is not None:
                wish = _wish_for(strip, inside, stretch, system, wishes)
                strip = replace(_of_band(strip, Holds.ONE_COLOUR, inside, stretch), wish=wish)
            elif inside is not None and is_alone(
                (cut, k, strip.start_mm),
                inside,
                stretch,
                wander_mm=wander_mm,
                relative_std=relative_std,
            ):
                strip = _of_band(strip, Holds.PLAIN, inside, stretch)
            strips.append(strip)
        found.append(strips)
    return found


def on_piles(
    runs: Sequence[Sequence[Strip]], system: ThreadSystem
) -> tuple[list[list[Strip]], tuple[Pile, ...]]:
    """Sort strips onto piles: by what they hold, the mixed ones by value; letters in that order."""
    alike: dict[tuple[object, ...], list[Strip]] = {}
    for strip in sorted((strip for run in runs for strip in run), key=_pile_order):
        alike.setdefault(_pile_of(strip), []).append(strip)
    letters = {key: _letter(k) for k, key in enumerate(alike)}
    piles = tuple(
        Pile(
            letter=letters[key],
            cut=same[0].cut,
            holds=same[0].holds,
            bands=_named_for(same[0]),
            reads=same[0].reads,
            count=len(same),
            colours=tuple(system.band(band_id).yarn.name for band_id in _named_for(same[0])),
        )
        for key, same in alike.items()
    )
    lettered = [[replace(strip, pile=letters[_pile_of(strip)]) for strip in run] for run in runs]
    return lettered, piles


_VALUES = ("light", "medium", "dark")


def _named_for(first: Strip) -> tuple[str, ...]:
    """The bands that a pile is named for, by its first strip."""
    return first.wish or (first.bands if first.holds is Holds.PLAIN else ())


def _pile_of(strip: Strip) -> tuple[object, ...]:
    """What strips of a pile have in common."""
    if strip.holds is Holds.MIXED:
        return strip.holds, strip.cut.name, strip.reads.value
    if strip.holds is Holds.PLAIN:
        return strip.holds, strip.cut.name, strip.reads.spoken
    return strip.holds, strip.cut.name, strip.wish


def _pile_order(strip: Strip) -> tuple[object, ...]:
    """Wanted strips first, the mixed ones last, from light to dark."""
    value = _VALUES.index(strip.reads.value) if strip.holds is Holds.MIXED else 0
    return list(Holds).index(strip.holds), strip.cut.width_mm, value, strip.start_mm


def _letter(number: int) -> str:
    """A ... Z, AA, AB ..."""
    over, rest = divmod(number, len(ascii_uppercase))
    return (_letter(over - 1) if over else "") + ascii_uppercase[rest]


def _mixed(start_mm: float, cut: Cut, stretch: Stretch) -> Strip:
    """A strip as it comes."""
    under = stretch.under(start_mm, start_mm + cut.width_mm)
    return Strip(
        start_mm=start_mm,
        cut=cut,
        holds=Holds.MIXED,
        bands=tuple(dict.fromkeys(band.id for band, _ in under)),
        share=_broadest(under) / sum(width_mm for _, width_mm in under),
        margin_mm=None,
        under=tuple((band.id, width_mm) for band, width_mm in under),
        reads=_mixture(tuple((band.reads.lab, round(width_mm, 4)) for band, width_mm in under)),
    )


@lru_cache(maxsize=4096)
def _mixture(parts: tuple[tuple[tuple[float, float, float], float], ...]) -> Colour:
    """The colour of parts of some breadth side by side: their light mixes."""
    breadths = np.array([breadth for _, breadth in parts])
    light = np.array([linear_rgb_of_lab(lab) for lab, _ in parts])
    return colour_of_linear_rgb(breadths @ light / breadths.sum())


def _broadest(under: Sequence[tuple[Band, float]]) -> float:
    """How many mm of a strip the band has that has most of it."""
    widths: dict[str, float] = {}
    for band, width_mm in under:
        widths[band.id] = widths.get(band.id, 0.0) + width_mm
    return max(widths.values())


def _with_stripe(strip: Strip, stretch: Stretch, spans: Sequence[_Span]) -> Strip:
    """The same as a strip that holds a wanted stripe, the one with most room if there are two."""
    margin_mm, span = max(
        (
            (min(span.start_mm - strip.start_mm, strip.end_mm - span.end_mm), span)
            for span in spans
            if span.wish.cut == strip.cut
        ),
        key=lambda found: found[0],
    )
    return replace(
        strip,
        holds=Holds.WHOLE,
        bands=tuple(band.id for band, _ in stretch.under(span.start_mm, span.end_mm)),
        wish=span.wish.bands,
        share=min(1.0, (span.end_mm - span.start_mm) / strip.cut.width_mm),
        margin_mm=margin_mm,
    )


def _wish_for(
    strip: Strip, inside: Lying, stretch: Stretch, system: ThreadSystem, wishes: Wishes
) -> tuple[str, ...]:
    """The wanted band whose colour a strip has."""
    return next(
        (wish.band,)
        for wish in wishes.only
        if wish.cut == strip.cut and inside in same_colour(stretch, system.band(wish.band))
    )


def _band_around(strip: Strip, stretch: Stretch) -> Lying | None:
    """The band that a strip lies in, if it is one only."""
    if len(strip.under) > 1:
        return None
    return stretch.band_at(strip.start_mm + strip.cut.width_mm / 2)


def _of_band(strip: Strip, holds: Holds, inside: Lying, stretch: Stretch) -> Strip:
    """The same as a strip of nothing but a band; beyond the piece's own edges is nothing else."""
    sides = [
        (strip.start_mm - inside.start_mm, inside.start_mm > TOLERANCE_MM),
        (inside.end_mm - strip.end_mm, inside.end_mm < stretch.width_mm - TOLERANCE_MM),
    ]
    margin_mm = min((side_mm for side_mm, on_piece in sides if on_piece), default=None)
    return replace(strip, holds=holds, bands=(inside.band.id,), share=1.0, margin_mm=margin_mm)
