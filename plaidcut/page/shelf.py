"""The shelf: what lies on it, found again; carried away, taken in, looked over."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from typing import Final

from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from plaidcut.errors import UsageError
from plaidcut.page.asked import cut_of, one_of, own_settings
from plaidcut.page.desk import PART, desk_of, render, units_of
from plaidcut.page.keep import address_of
from plaidcut.page.said import number_of
from plaidcut.reports.shelf_words import amount_words, bands_line, found_lines
from plaidcut.settings import Settings
from plaidcut.shelf.archive import look_through, take_in, write_archive
from plaidcut.shelf.check import Checked, check
from plaidcut.shelf.find import find
from plaidcut.shelf.opening import open_shelf, shelf_path, writing
from plaidcut.shelf.wanted import wanted_of
from plaidcut.shelved import Found, FoundCloth
from plaidcut.stripes.measurement import Kind
from plaidcut.units import Units

SHOWN: Final = {"": 60, "more": 600, "all": 100_000}
"""How many cloths are shown, the best first: a page of them; then as many as she wants."""

FIELDS: Final = ("words", "colour", "value", "width", "keeps_whole", "kind", "at_least", "cut")
"""What can be asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A band as it is drawn in its row."""

    start_mm: float
    width_mm: float
    hex: str
    fits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A cloth as the list shows it."""

    found: FoundCloth
    address: str
    amount: str
    why: tuple[str, ...]
    bands: str
    bars: tuple[Bar, ...]
    whole_mm: float


async def shelf(request: Request) -> Response:
    """Show what lies on the shelf, or what of it fits."""
    return await run_in_threadpool(_shelf, request)


def _shelf(request: Request) -> Response:
    settings = own_settings()
    typed = {name: request.query_params.get(name, "").strip() for name in FIELDS}
    shown = request.query_params.get("shown", "")
    lines: tuple[Line, ...] = ()
    error, found = None, None
    try:
        found = _found(typed, settings, SHOWN.get(shown, SHOWN[""]))
    except UsageError as wrong:
        error = wrong
    if found is not None:
        lines = tuple(line_of(each, units_of(request, settings)) for each in found.cloths)
    return render(
        request,
        "found.html" if PART in request.headers else "shelf.html",
        status=200 if error is None else 400,
        settings=settings,
        typed=typed,
        asked=any(typed.values()),
        error=error,
        found=found,
        lines=lines,
        shown=shown,
        cuts=settings.cuts.cuts,
    )


def _found(typed: Mapping[str, str], settings: Settings, most: int) -> Found | None:
    """What fits; None where there is no shelf yet."""
    said = {name: text or None for name, text in typed.items()}
    wanted = wanted_of(
        settings,
        usual=cut_of("", settings),
        most=most,
        words=said["words"],
        colour=said["colour"],
        value=said["value"],
        width=said["width"],
        keeps_whole=said["keeps_whole"],
        kind=one_of(Kind, typed["kind"]) if typed["kind"] else None,
        at_least=number_of(typed["at_least"], what="strips", least=1),
        cut=said["cut"],
    )
    if not shelf_path().is_file():
        return None
    with open_shelf(shelf_path()) as connection:
        return find(connection, wanted)


def line_of(found: FoundCloth, units: Units) -> Line:
    """A cloth as the list shows it."""
    widths = [each.width_mm for each in found.bands]
    *starts, whole_mm = accumulate(widths, initial=0.0)
    return Line(
        found=found,
        address=address_of(found.entry.name),
        amount=amount_words(found.entry.about, units),
        why=tuple(found_lines(found)),
        bands=bands_line(found, units),
        bars=tuple(
            Bar(start_mm=start, width_mm=each.width_mm, hex=each.hex, fits=each.fits)
            for start, each in zip(starts, found.bands, strict=True)
        ),
        whole_mm=whole_mm,
    )


async def archive(request: Request) -> Response:
    """The whole shelf as one file."""
    path = _beside(request)
    await run_in_threadpool(_write, path)
    return FileResponse(
        path,
        media_type="application/zip",
        filename="wool-shelf.zip",
        background=BackgroundTask(path.unlink, missing_ok=True),
    )


def _write(path: Path) -> None:
    with open_shelf(shelf_path()) as connection:
        write_archive(connection, path)


def _beside(request: Request) -> Path:
    """A place for a file that is gone again when it was sent or read."""
    return desk_of(request).table.root / f"{secrets.token_hex(8)}.zip"


async def take(request: Request) -> Response:
    """Put the cloths of an archive on the shelf, all of them or none."""
    async with request.form(max_files=1, max_fields=4, max_part_size=1000) as form:
        file = form.get("archive")
        if not isinstance(file, UploadFile) or not file.size:
            msg = "No file was chosen."
            raise UsageError(msg, hint="Choose one that was saved with a shelf in it.")
        added, there = await run_in_threadpool(_taken, file, _beside(request))
    return render(request, "shelf_told.html", title="Taken in", added=added, there=there)


def _taken(file: UploadFile, path: Path) -> tuple[list[str], list[str]]:
    try:
        with path.open("xb") as held:
            shutil.copyfileobj(file.file, held)
        look_through(path)
        with open_shelf(shelf_path(), make=True) as connection, writing(connection):
            return take_in(connection, path)
    finally:
        path.unlink(missing_ok=True)


async def look_over(request: Request) -> Response:
    """Mend what is missing, and say what can't be mended."""
    found = await run_in_threadpool(_checked)
    return render(request, "shelf_told.html", title="Looked over", checked=found)


def _checked() -> Checked:
    with open_shelf(shelf_path()) as connection, writing(connection):
        return check(connection)


ROUTES: Final = [
    Route("/shelf", shelf),
    Route("/shelf/archive", archive),
    Route("/shelf/archive", take, methods=["POST"]),
    Route("/shelf/check", look_over, methods=["POST"]),
]
