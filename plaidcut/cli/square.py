"""``plaidcut test-square``: her own wool-per-area from a hooked sample."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from typer import Option

from plaidcut.cli.options import FILES, AnswerOptions

SAMPLE = "The sample"
BY_LENGTH = "Wool by the length of strips"
BY_WEIGHT = "Wool by weight"


def square(
    *,
    hooked: Annotated[
        str | None,
        Option(metavar="SIZE", help='The hooked area: "3 in x 3 in".', rich_help_panel=SAMPLE),
    ] = None,
    cut: Annotated[
        str | None,
        Option(
            metavar="CUT", help="The cut; else that of your settings, or 8.", rich_help_panel=SAMPLE
        ),
    ] = None,
    strips: Annotated[
        list[str] | None,
        Option(
            metavar="STRIPS",
            help='Strips that went in, tails and all: "11 of 16 in", "81 in". May come again.',
            rich_help_panel=BY_LENGTH,
        ),
    ] = None,
    piece: Annotated[
        str | None,
        Option(
            metavar="SIZE",
            help='The piece that was cut up: "8 x 10 in".',
            rich_help_panel=BY_WEIGHT,
        ),
    ] = None,
    before: Annotated[
        str | None,
        Option(metavar="WEIGHT", help='What it weighed: "40 g".', rich_help_panel=BY_WEIGHT),
    ] = None,
    after: Annotated[
        str | None,
        Option(metavar="WEIGHT", help="What was left of it weighs.", rich_help_panel=BY_WEIGHT),
    ] = None,
    save: Annotated[
        bool,
        Option("--save", help="Keep the figure with your settings.", rich_help_panel=FILES),
    ] = False,
    answer: AnswerOptions,
) -> str:
    """Work out how much wool you hook with, from a small square.

    Hook it as you would the rug, with wool whose length or weight you know.

    Example: plaidcut test-square --cut 6 --hooked "3 x 3 in" --strips "11 of 16 in" --save
    """
    from rich.text import Text

    from plaidcut.cli.asked import settings_of
    from plaidcut.cli.asked_cuts import cut_of
    from plaidcut.cli.keep import keep
    from plaidcut.cli.show import respond
    from plaidcut.reports.sample_words import sample_words
    from plaidcut.rug.sample import sample_of

    settings = settings_of(answer)
    own = cut_of(cut, settings)
    sample = sample_of(own, hooked, strips=strips or (), weighed=(piece, before, after))
    kept: Path | None = None
    if save:
        kept = keep(answer, [(("coverage", own.name), round(sample.multiplier, 2))])
    words = sample_words(sample, settings.units)
    if kept is not None:
        words += f"\nKept in {kept}."
    return respond(
        document={
            "document": "plaidcut-test-square",
            "version": 1,
            "cut": own.name,
            "cut_mm": own.width_mm,
            "hooked_mm2": sample.hooked_mm2,
            "wool_mm2": sample.wool_mm2,
            "multiplier": sample.multiplier,
            "kept_in": None if kept is None else str(kept),
        },
        report=lambda console: console.print(Text(words)),
        contents={},
        force=False,
        as_json=answer.as_json,
    )
