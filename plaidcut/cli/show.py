"""What a command writes and answers when it succeeds."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from plaidcut.cli.options import DocumentFileOptions, FileOptions, TableFileOptions
from plaidcut.documents.text import JsonObject, to_text
from plaidcut.errors import NeedsPhoto, UsageError
from plaidcut.files import check_targets, write_whole
from plaidcut.pictures.encode import picture_bytes, picture_format
from plaidcut.reports.content import ReportContent
from plaidcut.reports.table_csv import csv_text
from plaidcut.shown import shown
from plaidcut.sources import Source
from plaidcut.units import Units

if TYPE_CHECKING:
    from rich.console import Console


def check_files(files: DocumentFileOptions, *, picture: Path | None = None) -> None:
    """Refuse before any work is done what can't be written after it."""
    table = files.csv if isinstance(files, TableFileOptions) else None
    check_targets([files.out, table, picture], force=files.force)
    if picture is not None:
        picture_format(picture.name)


def contents_of(
    files: FileOptions,
    *,
    document: JsonObject,
    content: ReportContent,
    source: Source,
    units: Units,
) -> dict[Path, str | bytes]:
    """What the files that were asked for will hold."""
    contents: dict[Path, str | bytes] = {}
    if files.out is not None:
        contents[files.out] = to_text(document)
    if files.csv is not None:
        contents[files.csv] = csv_text(content)
    if files.picture is not None:
        contents[files.picture] = marked_picture(source, files.picture.name, units)
    return contents


def respond(
    *,
    document: JsonObject,
    report: Callable[[Console], None],
    contents: Mapping[Path, str | bytes],
    force: bool,
    as_json: bool,
    remarks: Sequence[str] = (),
) -> str:
    """Write all files, and put the answer into words, as the report prints it, or JSON.

    With JSON, remarks and the names of the files go to standard error.
    """
    for path, held in contents.items():
        write_whole(path, held, force=force)
    notes = list(remarks)
    if contents:
        notes.append(f"Wrote {', '.join(shown(str(path)) for path in contents)}.")
    if as_json:
        sys.stderr.writelines(f"{note}\n" for note in notes)
        return to_text(document)
    return _words(report, notes)


def marked_picture(source: Source, file_name: str, units: Units) -> bytes:
    """The photo with its bands marked, as the bytes of a file of that name.

    Raises
    ------
    NeedsPhoto, UsageError
        If there are no pixels to draw on.
    """
    from plaidcut.pictures.annotated import annotated_photo

    if source.measurement.photo is None:
        msg = "Widths typed by hand have no photo to mark."
        raise UsageError(msg, hint="Leave --picture out.")
    if source.photo is None:
        msg = "A document holds no pixels to draw on."
        raise NeedsPhoto(msg)
    picture = annotated_photo(source.photo, source.measurement, units=units)
    return picture_bytes(picture, file_name)


def _words(report: Callable[[Console], None], notes: Sequence[str]) -> str:
    """A report as this terminal shows it, with its width and its colours."""
    from rich.console import Console
    from rich.text import Text

    console = Console()
    with console.capture() as captured:
        report(console)
        for note in notes:
            console.print(Text(f"\n{note}"))
    return captured.get()
