"""``plaidcut shelf find``: cloths found again."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from typer import Option

from plaidcut.cli.options import AnswerOptions, ShelfOptions
from plaidcut.stripes.measurement import Kind

COLOUR = "How strips of it read"
STRIPE = "Bold stripes"
AMOUNT = "How much"


def find(
    words: Annotated[
        str | None,
        typer.Argument(
            metavar="WORDS", help="Words, or how they begin, in its name, its note or its place."
        ),
    ] = None,
    *,
    colour: Annotated[
        str | None,
        Option(
            metavar="COLOUR",
            help='"reddish brown", "dark red", "navy" or "#7a1f2b".',
            rich_help_panel=COLOUR,
        ),
    ] = None,
    spot: Annotated[
        tuple[Path, str] | None,
        Option(
            metavar="PHOTO X,Y",
            help="The colour of a spot in a photo, in pixels from its upper left corner.",
            rich_help_panel=COLOUR,
        ),
    ] = None,
    within: Annotated[
        float | None,
        Option(
            metavar="N",
            min=0.0,
            help="How far off the colour may be, in CIEDE2000; else 10.",
            rich_help_panel=COLOUR,
        ),
    ] = None,
    value: Annotated[
        str | None,
        Option(metavar="light|medium|dark", help="Its value.", rich_help_panel=COLOUR),
    ] = None,
    width: Annotated[
        str | None,
        Option(
            metavar="LENGTH",
            help='A stripe that wide, to 1/16 in: "1/2 in"; or between two: "1/4 in to 1/2 in".',
            rich_help_panel=STRIPE,
        ),
    ] = None,
    keeps_whole: Annotated[
        str | None,
        Option(metavar="CUT", help="A stripe that this cut keeps whole.", rich_help_panel=STRIPE),
    ] = None,
    kind: Annotated[Kind | None, Option(help="Its kind of cloth.")] = None,
    at_least: Annotated[
        int | None,
        Option(
            metavar="N",
            min=1,
            help="So many strips of what was asked for, counted from the pieces, less what is kept "
            "for rugs.",
            rich_help_panel=AMOUNT,
        ),
    ] = None,
    cut: Annotated[
        str | None,
        Option(
            metavar="CUT",
            help="The cut of those strips; else that of --keeps-whole, of your settings, or 8.",
            rich_help_panel=AMOUNT,
        ),
    ] = None,
    most: Annotated[
        int, Option(metavar="N", min=1, max=100000, help="Tell so many, the best first.")
    ] = 20,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Find cloths by colour, stripe, value, words and amount, the best first.

    Colours are looked for as strips read once they are cut, crossed by the other stripes.

    Example: plaidcut shelf find --colour "dark red" --keeps-whole 6 --at-least 40
    """
    from plaidcut.cli.asked import settings_of, shelf_of
    from plaidcut.cli.asked_cuts import cut_of
    from plaidcut.cli.asked_shelf import spot_of
    from plaidcut.cli.show import respond
    from plaidcut.documents.shelf import found_document
    from plaidcut.reports.shelf_terminal import print_found
    from plaidcut.shelf.find import find as find_cloths
    from plaidcut.shelf.opening import open_shelf
    from plaidcut.shelf.wanted import wanted_of

    settings = settings_of(answer)
    wanted = wanted_of(
        settings,
        usual=cut_of(None, settings),
        words=words,
        colour=colour,
        spot=spot_of(spot, colour, settings),
        within=within,
        value=value,
        width=width,
        keeps_whole=keeps_whole,
        kind=kind,
        at_least=at_least,
        cut=cut,
        most=most,
    )
    with open_shelf(shelf_of(shelf)) as connection:
        found = find_cloths(connection, wanted)
    return respond(
        document=found_document(found),
        report=partial(print_found, found, units=settings.units),
        contents={},
        force=False,
        as_json=answer.as_json,
    )
