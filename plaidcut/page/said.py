"""What she says of a cloth on the shelf: the form's fields, and the records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from plaidcut.errors import UsageError
from plaidcut.page.asked import one_of
from plaidcut.shelf.said import NOTHING, about_said
from plaidcut.shelved import About, Weave
from plaidcut.units import Units, format_length


def typed_of(about: About, units: Units) -> dict[str, str]:
    """What is said of a cloth as the form's fields show it."""
    return {
        "note": about.note,
        "place": about.place,
        "fibre": about.fibre,
        "weave": about.weave.value,
        "pieces": "\n".join(
            f"{each.count} of {format_length(each.width_mm, units)} x "
            f"{format_length(each.height_mm, units)}"
            for each in about.pieces
        ),
        "garments": "" if about.garments is None else str(about.garments),
        "weight": "" if about.weight_g is None else f"{about.weight_g:.5g} g",
        "washed_on": about.washed_on or "",
        "overdyed_on": about.overdyed_on or "",
    }


def about_typed(typed: Mapping[str, str], before: About, units: Units) -> About:
    """What the form says of a cloth, in place of what was said before.

    What was cut of it and what is kept for rugs stays, and so does whatever reads as it was shown:
    what is rounded to be read isn't rounded by being read.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    shown = typed_of(before, units)
    same = {name for name in ROUNDED if _plain(typed, name) == shown[name]}
    base = replace(NOTHING, taken=before.taken, reserved=before.reserved)
    if "pieces" in same:
        base = replace(base, pieces=before.pieces)
    if "weight" in same:
        base = replace(base, weight_g=before.weight_g)
    return about_added({name: text for name, text in typed.items() if name not in same}, base)


ROUNDED: Final = frozenset({"pieces", "weight"})
"""Fields that show less than is kept in them."""


def about_added(typed: Mapping[str, str], before: About) -> About:
    """What was said of a cloth before, and what the form says more; its empty fields say nothing.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    said = {name: _plain(typed, name) or None for name in typed}
    pieces = said.get("pieces")
    return about_said(
        before,
        note=said.get("note"),
        place=said.get("place"),
        fibre=said.get("fibre"),
        weave=None if (weave := said.get("weave")) is None else one_of(Weave, weave),
        pieces=None if pieces is None else [each for each in pieces.split("\n") if each.strip()],
        garments=number_of(said.get("garments") or "", what="garments"),
        weight=said.get("weight"),
        washed_on=said.get("washed_on"),
        overdyed_on=said.get("overdyed_on"),
    )


def _plain(typed: Mapping[str, str], name: str) -> str:
    """A field without blanks around it, its lines as everywhere."""
    return typed.get(name, "").strip().replace("\r\n", "\n")


def number_of(typed: str, *, what: str, least: int = 0) -> int | None:
    """A whole number of things; None where the field is empty.

    Raises
    ------
    UsageError
        If it is none.
    """
    if not typed.strip():
        return None
    plain = typed.strip()
    if not plain.isascii() or not plain.isdecimal() or not least <= int(plain[:9]) <= MOST_NUMBER:
        msg = f'"{plain[:40]}" is no number of {what}.'
        raise UsageError(msg, hint=f"Type a whole number from {least} on, or nothing.")
    return int(plain)


MOST_NUMBER: Final = 1_000_000
"""Of anything that is counted, as the documents of the shelf take it."""
