"""From what she chose for a cloth, step by step, to what plans and garments take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.both_ways import AS_SEEN, WhatToPlan
from plaidcut.cutting.cuts import Cut, parse_cut
from plaidcut.cutting.garment import WhatToCut
from plaidcut.cutting.plan import Planning
from plaidcut.cutting.wishes import Rest
from plaidcut.errors import UsageError
from plaidcut.page.asked import cut_of
from plaidcut.page.opened import wish_of
from plaidcut.reports.wish_words import Wish
from plaidcut.settings import Settings
from plaidcut.stripes.measurement import Measurement
from plaidcut.stripes.runs import parse_run
from plaidcut.units import parse_size

PLAN_CHOICES: Final = (
    *("wish", "bands", "cut", "keep_more", "only_more", "rest"),
    *("piece", "left", "top", "seen"),
    *("order", "by_eye", "wander", "least_trim", "least_tear"),
)
"""What she may choose for a plan, as the cloth's choices name it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """What she wants of a cloth."""

    cut: Cut
    keep: tuple[str, ...]
    """Stripes to keep whole."""
    only: tuple[str, ...]
    """Bands to have strips of nothing else of."""


def chosen_of(measurement: Measurement, choices: Mapping[str, str], settings: Settings) -> Chosen:
    """Her cut and wishes; where no stripe was chosen, none is named.

    Raises
    ------
    UsageError, BadLength
        If one of them can't be read.
    """
    wish = wish_of(choices.get("wish", "") or Wish.WHOLE)
    keep, only = listed_in(choices.get("keep_more", "")), listed_in(choices.get("only_more", ""))
    bands: tuple[str, ...] = ()
    if wish is not Wish.MIX and choices.get("bands", "").strip():
        bands = parse_run(choices["bands"], measurement)
    if bands and wish is Wish.WHOLE:
        keep = ["-".join(dict.fromkeys((bands[0], bands[-1]))), *keep]
    if wish is Wish.COLOUR:
        only = [*bands, *only]
    cut = cut_of(choices.get("cut", ""), settings)
    return Chosen(cut=cut, keep=tuple(keep), only=tuple(only))


def what_to_plan(
    measurement: Measurement, choices: Mapping[str, str], settings: Settings
) -> WhatToPlan:
    """The piece, and what is wanted of it.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    chosen = chosen_of(measurement, choices, settings)
    piece = choices.get("piece", "").strip()
    places = [choices[name].strip() for name in ("left", "top") if choices.get(name, "").strip()]
    return WhatToPlan(
        cut=chosen.cut,
        table=settings.cuts,
        keep=chosen.keep,
        only=chosen.only,
        rest=_rest_of(choices),
        piece_mm=parse_size(piece) if piece else None,
        at=(AS_SEEN,) if choices.get("seen") else tuple(places),
        planning=_planning_of(choices, settings),
    )


def what_to_cut(
    measurement: Measurement, choices: Mapping[str, str], beside: str, settings: Settings
) -> WhatToCut:
    """What is wanted of a garment, with the cuts that she typed beside her own.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    chosen = chosen_of(measurement, choices, settings)
    others = [parse_cut(text, settings.cuts) for text in listed_in(beside)]
    cuts = (chosen.cut, *others) if others else settings.cuts_beside(chosen.cut)
    return WhatToCut(
        cuts=tuple(dict.fromkeys(cuts)),
        table=settings.cuts,
        keep=chosen.keep,
        only=chosen.only,
        rest=_rest_of(choices),
        planning=_planning_of(choices, settings),
    )


def in_words(measurement: Measurement, choices: Mapping[str, str], settings: Settings) -> str:
    """Her cut and wishes in words; what is wrong with them, where they can't be read."""
    try:
        chosen = chosen_of(measurement, choices, settings)
    except UsageError as told:
        return told.message
    wishes = [f"{bands} whole" for bands in chosen.keep]
    wishes += [f"{band} alone" for band in chosen.only]
    return f"{chosen.cut.label}, {', '.join(wishes) or 'bold stripes whole where they fit'}"


def listed_in(typed: str) -> list[str]:
    """What was typed with commas between."""
    return [text.strip() for text in typed.split(",") if text.strip()]


def _planning_of(choices: Mapping[str, str], settings: Settings) -> Planning:
    names = ("wander", "least_trim", "least_tear", "order")
    typed = {name: choices.get(name, "").strip() or None for name in names}
    return settings.planning(by_eye=bool(choices.get("by_eye")), **typed)


def _rest_of(choices: Mapping[str, str]) -> Rest:
    typed = choices.get("rest", "") or Rest.MIXED
    try:
        return Rest(typed)
    except ValueError as error:
        msg = f'"{typed}" is none of the choices.'
        raise UsageError(msg, hint="Choose one of those that the page shows.") from error
