"""What a command writes and answers when it succeeds."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from plaidcut.cli.files import check_targets, write_whole
from plaidcut.cli.options import FileOptions
from plaidcut.documents.text import JsonObject, to_text
from plaidcut.errors import NeedsPhoto, UsageError
from plaidcut.pictures.encode import picture_bytes, picture_format
from plaidcut.reports.content import ReportContent
from plaidcut.reports.table_csv import csv_text
from plaidcut.reports.terminal import print_report
from plaidcut.sources import Source


def check_files(files: FileOptions) -> None:
    """Refuse before any work is done what can't be written after it."""
    check_targets([files.out, files.csv, files.picture], force=files.force)
    if files.picture is not None:
        picture_format(files.picture.name)


def respond(
    *,
    document: JsonObject,
    content: ReportContent,
    source: Source,
    files: FileOptions,
    as_json: bool,
    remark: str | None = None,
) -> str:
    """Write the files that were asked for, and put the answer into words or JSON."""
    marked = None if files.picture is None else _marked(source, files.picture.name)
    for path, text in ((files.out, to_text(document)), (files.csv, csv_text(content))):
        if path is not None:
            write_whole(path, text, force=files.force)
    if files.picture is not None and marked is not None:
        write_whole(files.picture, marked, force=files.force)
    written = [str(path) for path in (files.out, files.csv, files.picture) if path is not None]
    notes = [remark] if remark else []
    if written:
        notes.append(f"Wrote {', '.join(written)}.")
    if as_json:
        sys.stderr.writelines(f"{note}\n" for note in notes)
        return to_text(document)
    return _words(content, notes)


def _words(content: ReportContent, notes: Sequence[str]) -> str:
    """A report as this terminal shows it, with its width and its colours."""
    from rich.console import Console
    from rich.text import Text

    console = Console()
    with console.capture() as captured:
        print_report(content, console)
        for note in notes:
            console.print(Text(f"\n{note}"))
    return captured.get()


def _marked(source: Source, file_name: str) -> bytes:
    """The photo with its bands marked."""
    from plaidcut.pictures.annotated import annotated_photo

    if source.measurement.photo is None:
        msg = "Widths typed by hand have no photo to mark."
        raise UsageError(msg, hint="Leave --picture out.")
    if source.photo is None:
        msg = "A document holds no pixels to draw on."
        raise NeedsPhoto(msg)
    return picture_bytes(annotated_photo(source.photo, source.measurement), file_name)
