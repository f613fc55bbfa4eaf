"""Options of the commands that plan cuts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from typer import Option

from plaidcut.cutting.wishes import Rest

PIECE = "The piece"
WISHES = "What you want of it"
HANDLING = "How you handle it"


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOptions:
    """The piece of cloth."""

    piece: Annotated[
        str | None,
        Option(
            "--piece",
            metavar="SIZE",
            help='From side to side x up and down, as the photo shows it: "16 in x 12 in"; else '
            "4 in across the strips and 16 in along them.",
            rich_help_panel=PIECE,
        ),
    ] = None
    at: Annotated[
        list[str] | None,
        Option(
            "--at",
            metavar="PLACE",
            help='What stands at its left edge ("U3 + 1/4 in") or top edge ("X1"); or "photo", if '
            "they are the cloth's edges there. May come again.",
            rich_help_panel=PIECE,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OneCutOptions:
    """The cut."""

    cut: Annotated[
        str | None,
        Option(
            "--cut",
            metavar="CUT",
            help='Your cut: a number, or a width "5 mm"; else that of your settings, or 8.',
            rich_help_panel=WISHES,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WishOptions:
    """What is wanted of it."""

    keep: Annotated[
        list[str] | None,
        Option(
            "--keep",
            metavar="BANDS",
            help='Keep this stripe whole: "U4", "U3-U5", or in another cut "U4 8.5". May come '
            "again.",
            rich_help_panel=WISHES,
        ),
    ] = None
    only: Annotated[
        list[str] | None,
        Option(
            "--only",
            metavar="BAND",
            help='Strips of nothing but this band: "U2", or in another cut "U2 5". May come again.',
            rich_help_panel=WISHES,
        ),
    ] = None
    rest: Annotated[
        Rest,
        Option(
            "--rest",
            help="Cut what is left as mixed strips, or leave it uncut where that can be.",
            rich_help_panel=WISHES,
        ),
    ] = Rest.MIXED
    order: Annotated[
        str | None,
        Option(
            "--order",
            metavar="AIMS",
            help='What counts most: "whole, one-colour, heads, tears, waste" unless you say '
            "otherwise; those you leave out follow.",
            rich_help_panel=WISHES,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandlingOptions:
    """How the cloth is handled."""

    by_eye: Annotated[
        bool,
        Option(
            "--by-eye",
            help="You feed by eye along a stripe, not with a torn edge along the guide.",
            rich_help_panel=HANDLING,
        ),
    ] = False
    wander: Annotated[
        str | None,
        Option(
            "--wander",
            metavar="LENGTH",
            help='How far an edge may stray over 16 in from where you aim; else "1/32 in".',
            rich_help_panel=HANDLING,
        ),
    ] = None
    least_trim: Annotated[
        str | None,
        Option(
            "--least-trim",
            metavar="LENGTH",
            help='The least that you can trim with ruler and rotary cutter; else "1/4 in".',
            rich_help_panel=HANDLING,
        ),
    ] = None
    least_tear: Annotated[
        str | None,
        Option(
            "--least-tear",
            metavar="LENGTH",
            help='The narrowest piece that you can tear off cleanly; else "1/2 in".',
            rich_help_panel=HANDLING,
        ),
    ] = None
