"""Options that several commands share; each is written down once, here."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from typer import Option

from plaidcut.stripes.measurement import Direction, Washed
from plaidcut.units import Units

SCALE = "Scale (the printed card is found by itself)"
PRINTER = "Printer (if it didn't keep the card's size)"
CLOTH = "Cloth"
BY_HAND = "Without a photo"
SHELF = "Shelf"
FILES = "Files to write"
OUTPUT = "Answer"


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerOptions:
    """How a command answers."""

    as_json: Annotated[
        bool,
        Option("--json", help="Answer with one JSON document.", rich_help_panel=OUTPUT),
    ] = False
    units: Annotated[
        Units | None,
        Option("--units", help="Show lengths in inches or mm.", rich_help_panel=OUTPUT),
    ] = None
    settings_file: Annotated[
        Path | None,
        Option(
            "--settings",
            metavar="FILE",
            envvar="PLAIDCUT_SETTINGS",
            show_envvar=False,
            help="Take settings from this file.",
            rich_help_panel=OUTPUT,
        ),
    ] = None
    debug: Annotated[
        bool,
        Option("--debug", help="Show the traceback of a fault.", rich_help_panel=OUTPUT),
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedOptions:
    """What a printer made of the card."""

    printed_width: Annotated[
        str | None,
        Option(
            "--printed-width",
            metavar="LENGTH",
            help='The bar across the page as it was printed: "97 mm", or "3.9 in" of the 4 in bar.',
            rich_help_panel=PRINTER,
        ),
    ] = None
    printed_height: Annotated[
        str | None,
        Option(
            "--printed-height",
            metavar="LENGTH",
            help="The same of the bar down the page.",
            rich_help_panel=PRINTER,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleOptions:
    """Where the scale is taken from."""

    rectangle: Annotated[
        str | None,
        Option(
            "--rectangle",
            metavar="SIZE",
            help='A flat rectangle of known size, such as "6 in x 4 in".',
            rich_help_panel=SCALE,
        ),
    ] = None
    id1: Annotated[
        bool,
        Option(
            "--id1",
            help="A library or loyalty card; cover its numbers, and never show a bank card.",
            rich_help_panel=SCALE,
        ),
    ] = False
    corners: Annotated[
        tuple[str, str, str, str] | None,
        Option(
            "--corners",
            metavar="X,Y X,Y X,Y X,Y",
            help="The rectangle's four corners in pixels, where it isn't found by itself.",
            rich_help_panel=SCALE,
        ),
    ] = None
    ruler: Annotated[
        Literal["in", "mm", "both"] | None,
        Option("--ruler", help="A plain ruler or tape, and what it shows.", rich_help_panel=SCALE),
    ] = None
    points: Annotated[
        str | None,
        Option(
            "--points",
            metavar="X1,Y1,X2,Y2",
            help="Two points in pixels, whose distance is given by --apart.",
            rich_help_panel=SCALE,
        ),
    ] = None
    apart: Annotated[
        str | None,
        Option(
            "--apart",
            metavar="LENGTH",
            help='How far the two points are apart: "5 in".',
            rich_help_panel=SCALE,
        ),
    ] = None
    px_per_mm: Annotated[
        float | None,
        Option(
            "--px-per-mm",
            metavar="N",
            help="Pixels to the millimetre, of a flatbed scan.",
            rich_help_panel=SCALE,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothOptions:
    """What is known of the cloth, and what is looked for."""

    warp: Annotated[
        Direction | None,
        Option(
            "--warp",
            help="Which threads are the warp: they run along the selvedge and stretch less.",
            rich_help_panel=CLOTH,
        ),
    ] = None
    washed: Annotated[
        Washed,
        Option(
            "--washed",
            help="Whether the cloth was washed and dried before.",
            rich_help_panel=CLOTH,
        ),
    ] = Washed.UNKNOWN
    narrowest: Annotated[
        str | None,
        Option(
            "--narrowest",
            metavar="LENGTH",
            help='Look for no band narrower than this; else "1 mm".',
            rich_help_panel=CLOTH,
        ),
    ] = None
    outline: Annotated[
        str | None,
        Option(
            "--outline",
            metavar="X,Y ...",
            help='Corners of the cloth in pixels, once round it: "90,80 2900,70 2950,2100"; else '
            "it is found by itself.",
            rich_help_panel=CLOTH,
        ),
    ] = None
    max_megapixels: Annotated[
        float | None,
        Option(
            "--max-megapixels",
            metavar="N",
            min=0.01,
            help="Refuse photos of more million pixels than this; else 100.",
            rich_help_panel=CLOTH,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOptions:
    """Widths taken with a ruler and typed."""

    by_hand: Annotated[
        str | None,
        Option(
            "--by-hand",
            metavar="BANDS",
            help='One repeat from left to right: "red 1/2 in, yellow 1/8 in".',
            rich_help_panel=BY_HAND,
        ),
    ] = None
    across: Annotated[
        str | None,
        Option(
            "--across",
            metavar="BANDS",
            help="One repeat of the other threads, from top to bottom.",
            rich_help_panel=BY_HAND,
        ),
    ] = None
    mirrored: Annotated[
        bool,
        Option(
            "--mirrored",
            help="The bands typed run to the last one and back again.",
            rich_help_panel=BY_HAND,
        ),
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureOptions:
    """All that bears on how a cloth is measured."""

    scale: ScaleOptions = ScaleOptions()
    printed: PrintedOptions = PrintedOptions()
    cloth: ClothOptions = ClothOptions()
    hand: HandOptions = HandOptions()
    corrections: Annotated[
        Path | None,
        Option(
            "--corrections",
            metavar="FILE.json",
            help="Put right by hand what was measured: names, widths, colours and more.",
            rich_help_panel=CLOTH,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfOptions:
    """Which shelf."""

    shelf: Annotated[
        Path | None,
        Option(
            "--shelf",
            metavar="FILE",
            envvar="PLAIDCUT_SHELF",
            show_envvar=False,
            help="The shelf that names of cloths are looked up on.",
            rich_help_panel=SHELF,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentFileOptions:
    """Where a command writes its document."""

    out: Annotated[
        Path | None,
        Option(
            "--out",
            metavar="FILE.json",
            help="Write the JSON document.",
            rich_help_panel=FILES,
        ),
    ] = None
    force: Annotated[
        bool,
        Option("--force", help="Write over files that are there.", rich_help_panel=FILES),
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class TableFileOptions(DocumentFileOptions):
    """Which files a command writes that draws its own kind of picture, or none."""

    csv: Annotated[
        Path | None,
        Option(
            "--csv",
            metavar="FILE.csv",
            help="Write the table, for a spreadsheet.",
            rich_help_panel=FILES,
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FileOptions(TableFileOptions):
    """Which files a command writes that marks the photo."""

    picture: Annotated[
        Path | None,
        Option(
            "--picture",
            metavar="FILE",
            help="Write the photo with its bands marked, as JPEG or PNG.",
            rich_help_panel=FILES,
        ),
    ] = None
