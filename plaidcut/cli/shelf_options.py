"""What can be said of a cloth on the shelf, as options."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from typer import Option

from plaidcut.shelved import Weave

ABOUT = "About the cloth"
AMOUNT = "How much there is"


@dataclass(frozen=True, slots=True, kw_only=True)
class AboutOptions:
    """What she says of a cloth."""

    note: Annotated[
        str | None, Option(metavar="WORDS", help="Anything worth knowing.", rich_help_panel=ABOUT)
    ] = None
    place: Annotated[
        str | None, Option(metavar="WORDS", help="Where it lies.", rich_help_panel=ABOUT)
    ] = None
    fibre: Annotated[
        str | None,
        Option(
            metavar="WORDS",
            help='What it is of: "wool", "wool, some nylon".',
            rich_help_panel=ABOUT,
        ),
    ] = None
    weave: Annotated[
        Weave | None, Option(help="How it was spun and woven.", rich_help_panel=ABOUT)
    ] = None
    washed_on: Annotated[
        str | None,
        Option(metavar="DAY", help="When it was washed: 2026-05-03.", rich_help_panel=ABOUT),
    ] = None
    overdyed_on: Annotated[
        str | None,
        Option(
            metavar="DAY",
            help="When it was overdyed: its colours don't count until it is measured again.",
            rich_help_panel=ABOUT,
        ),
    ] = None
    pieces: Annotated[
        list[str] | None,
        Option(
            metavar="PIECES",
            help='Pieces as they lie in the photo, side to side first: "5 of 20 x 14 in". May '
            "come again.",
            rich_help_panel=AMOUNT,
        ),
    ] = None
    garments: Annotated[
        int | None, Option(metavar="N", min=0, help="How many garments.", rich_help_panel=AMOUNT)
    ] = None
    weight: Annotated[
        str | None, Option(metavar="WEIGHT", help='"12 oz" or "340 g".', rich_help_panel=AMOUNT)
    ] = None
