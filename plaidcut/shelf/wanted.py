"""What a cloth is looked for by, from words as they were typed to the shelf's record."""

from __future__ import annotations

from typing import Final

from plaidcut.cutting.cuts import Cut, parse_cut
from plaidcut.errors import UsageError
from plaidcut.photo import Photo
from plaidcut.rug.needs import NEAR_COLOUR
from plaidcut.settings import Settings
from plaidcut.shelf.colours import colour_asked, colour_at
from plaidcut.shelved import Wanted
from plaidcut.shelved_typed import parse_widths
from plaidcut.stripes.measurement import Kind

VALUES: Final = ("light", "medium", "dark")


def wanted_of(
    settings: Settings,
    *,
    usual: Cut,
    most: int,
    words: str | None = None,
    colour: str | None = None,
    spot: tuple[Photo, tuple[float, float]] | None = None,
    within: float | None = None,
    value: str | None = None,
    width: str | None = None,
    keeps_whole: str | None = None,
    kind: Kind | None = None,
    at_least: int | None = None,
    cut: str | None = None,
) -> Wanted:
    """What is looked for; None asks for nothing.

    Parameters
    ----------
    settings
        Hers.
    usual
        Her cut, where neither ``cut`` nor ``keeps_whole`` says one.
    most
        How many answers are told.
    spot
        A photo and a place in it, in pixels, for its colour, where none is typed.

    Raises
    ------
    UsageError, BadLength
        If something can't be read, or contradicts something else.
    """
    lab, name = None, None
    if within is not None and colour is None and spot is None:
        msg = "How far off a colour may be belongs to a colour (--within)."
        raise UsageError(msg, hint='Add --colour "dark red".')
    if value not in (None, *VALUES):
        msg = f'"{value}" is no value.'
        raise UsageError(msg, hint="Say light, medium or dark.")
    if colour is not None:
        asked, name = colour_asked(colour)
        lab = asked.lab
    elif spot is not None:
        photo, (x_px, y_px) = spot
        lab = colour_at(photo, x_px, y_px).lab
    kept = None if keeps_whole is None else parse_cut(keeps_whole, settings.cuts)
    counted = kept or usual if cut is None else parse_cut(cut, settings.cuts)
    return Wanted(
        lab=lab,
        within=NEAR_COLOUR if within is None else within,
        name=name,
        value=value,
        width_mm=None if width is None else parse_widths(width),
        keeps_whole_mm=None if kept is None else kept.width_mm,
        wander_mm=settings.wander_mm,
        kind=kind,
        words=words,
        at_least=at_least,
        cut_mm=counted.width_mm,
        most=most,
    )
