"""``plaidcut card``: the scale card to print."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from typer import Option

from plaidcut.cli.options import FILES, AnswerOptions, PrintedOptions
from plaidcut.documents.text import to_text
from plaidcut.errors import UsageError
from plaidcut.files import check_targets, write_whole
from plaidcut.reports.card_sheet import Paper, card_pdf_bytes
from plaidcut.scale.card_layout import CardSize
from plaidcut.units import Units


def card(
    *,
    size: Annotated[
        CardSize,
        Option("--size", help="As large as a library card, or about 180 x 120 mm."),
    ] = CardSize.SHEET,
    paper: Annotated[
        Paper | None,
        Option("--paper", help="The printer's paper; else Letter with inches, A4 with mm."),
    ] = None,
    printed: PrintedOptions,
    out: Annotated[
        Path | None,
        Option("--out", metavar="FILE.pdf", help="Write the page here.", rich_help_panel=FILES),
    ] = None,
    picture: Annotated[
        Path | None,
        Option(
            "--picture",
            metavar="FILE.png",
            help="Write the card alone here, to its very edge.",
            rich_help_panel=FILES,
        ),
    ] = None,
    dpi: Annotated[
        int,
        Option(
            "--dpi", min=72, max=2400, help="Dots per inch of that picture.", rich_help_panel=FILES
        ),
    ] = 600,
    force: Annotated[
        bool,
        Option("--force", help="Write over files that are there.", rich_help_panel=FILES),
    ] = False,
    answer: AnswerOptions,
) -> str:
    """Draw the scale card that is printed once and laid on the cloth.

    Print it at 100 %, check its bars with a ruler, and cut it out.

    Example: plaidcut card --paper letter --out card.pdf
    """
    from plaidcut.cli.asked import printed_of, settings_of
    from plaidcut.pictures.card_picture import card_png_bytes

    settings = settings_of(answer)
    if out is None and picture is None:
        msg = "The card needs a file to be drawn in."
        raise UsageError(msg, hint="Say where: plaidcut card --out card.pdf")
    check_targets([out, picture], force=force)
    paper = paper or (Paper.LETTER if settings.units is Units.IN else Paper.A4)
    ratio = printed_of(printed)
    if out is not None:
        page = card_pdf_bytes(size, paper=paper, printed=ratio)
        write_whole(out, page, force=force)
    if picture is not None:
        write_whole(picture, card_png_bytes(size, dpi=dpi), force=force)
    written = [str(path) for path in (out, picture) if path is not None]
    if answer.as_json:
        return to_text(
            {
                "document": "plaidcut-card",
                "version": 1,
                "size": size.value,
                "paper": paper.value,
                "printed": list(ratio),
                "files": written,
            }
        )
    return f"Wrote {' and '.join(written)}. Print at 100 % and check the bars with a ruler.\n"
