"""``plaidcut cuts``: the cut table, shown, changed, measured."""

from __future__ import annotations

from functools import partial
from typing import Annotated

from typer import Option

from plaidcut.cli.options import (
    AnswerOptions,
    DocumentFileOptions,
    PrintedOptions,
    ScaleOptions,
)
from plaidcut.cutting.cuts import Numbering

CHANGE = "Change (kept with your settings)"


def cuts(
    *,
    set_width: Annotated[
        list[str] | None,
        Option(
            "--set",
            metavar="CUT=WIDTH",
            help='What your cutter really cuts, or a cut of your own: "8 = 6.1 mm". May come '
            "again.",
            rich_help_panel=CHANGE,
        ),
    ] = None,
    laid: Annotated[
        list[str] | None,
        Option(
            "--laid",
            metavar="STRIPS=WIDTH",
            help='Strips laid side by side, and their width together: "10 of 8 = 61 mm". May come '
            "again.",
            rich_help_panel=CHANGE,
        ),
    ] = None,
    photo: Annotated[
        list[str] | None,
        Option(
            "--photo",
            metavar="CUT=FILE",
            help="A photo of strips that your cutter cut, all of one cut, with the printed card: "
            '"8 = strips.jpg". May come again.',
            rich_help_panel=CHANGE,
        ),
    ] = None,
    per_pass: Annotated[
        list[str] | None,
        Option(
            "--per-pass",
            metavar="CUT=STRIPS",
            help='How many strips its head slits at once: "8 = 3". May come again.',
            rich_help_panel=CHANGE,
        ),
    ] = None,
    numbering: Annotated[
        Numbering | None,
        Option("--numbering", help="What numbers above #8 mean.", rich_help_panel=CHANGE),
    ] = None,
    forget: Annotated[
        list[str] | None,
        Option(
            "--forget",
            metavar="CUT",
            help="Take your own width and strips a pass away again. May come again.",
            rich_help_panel=CHANGE,
        ),
    ] = None,
    scale: ScaleOptions,
    printed: PrintedOptions,
    files: DocumentFileOptions,
    answer: AnswerOptions,
) -> str:
    """Show the cuts that there are, and keep what your own cutter does.

    Example: plaidcut cuts --laid "10 of 8 = 61 mm" --per-pass "8 = 3"
    """
    from plaidcut.cli.asked import settings_before, settings_of
    from plaidcut.cli.asked_cuts import measured_cuts
    from plaidcut.cli.keep import keep
    from plaidcut.cli.show import check_files, respond
    from plaidcut.cutting.own_cuts import parse_laid, parse_per_pass, parse_width
    from plaidcut.documents.cuts import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.reports.cuts_terminal import measured_words, print_cuts
    from plaidcut.settings_file import Change

    check_files(files)
    changes: list[Change] = []
    for name, width_mm in (
        *(parse_width(text) for text in set_width or ()),
        *(parse_laid(text) for text in laid or ()),
    ):
        changes.append((("cuts", "widths", name), f"{width_mm:.3f} mm"))
    remarks = []
    before = settings_before(answer)
    for cut in measured_cuts(photo or (), numbering, before, scale, printed):
        changes.append((("cuts", "widths", cut.name), f"{cut.width_mm:.3f} mm"))
        remarks.append(measured_words(cut, before.units))
    for name, strips in (parse_per_pass(text) for text in per_pass or ()):
        changes.append((("cuts", "per_pass", name), strips))
    if numbering is not None:
        changes.append((("cuts", "numbering"), numbering.value))
    for name in forget or ():
        plain = name.strip().removeprefix("#")
        changes += [(("cuts", "widths", plain), None), (("cuts", "per_pass", plain), None)]
    if changes:
        remarks.append(f"Kept in {keep(answer, changes)}.")
    settings = settings_of(answer)
    document = to_document(settings.cuts, settings.own_widths_mm)
    return respond(
        document=document,
        report=partial(print_cuts, settings.cuts, settings.own_widths_mm),
        contents={} if files.out is None else {files.out: to_text(document)},
        force=files.force,
        as_json=answer.as_json,
        remarks=remarks,
    )
