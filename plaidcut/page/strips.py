"""Loose strips: a photo of them, which cut each is, and what her own cutter cuts by them."""

from __future__ import annotations

import json
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from plaidcut.errors import NotFound, UsageError
from plaidcut.files import read_text
from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.desk import cloth_of, desk_of, go_to, render, units_of
from plaidcut.page.forms import typed_in
from plaidcut.page.start import lay_photos
from plaidcut.page.table import Cloth, Kind
from plaidcut.reports.loose_words import HOW_READ
from plaidcut.settings_file import keep_settings, own_settings_path

FILES: Final = {
    table.LOOSE: ("application/json", "strips.json"),
    table.LOOSE_TABLE: ("text/csv; charset=utf-8", "strips.csv"),
    table.NAMED: ("image/jpeg", "strips.jpg"),
}
"""Files of strips, by our names: what they are, and what they are called when they are saved."""


async def which_cut(request: Request) -> Response:
    """Ask for a photo of strips."""
    laid = [cloth for cloth in desk_of(request).table.cloths() if cloth.kind is Kind.STRIPS]
    return render(request, "which_cut.html", laid=laid)


async def choose(request: Request) -> Response:
    """Take photos of strips, and begin to measure them."""
    cloths = await lay_photos(request, kind=Kind.STRIPS)
    return go_to(f"/cloths/{cloths[0].id}" if len(cloths) == 1 else "/which-cut")


async def strips(request: Request) -> Response:
    """Show which cut each strip of a photo is."""
    found = cloth_of(request)
    if not found.has(table.LOOSE_WORDS):
        msg = f"The strips in {found.name} aren't measured yet."
        raise NotFound(msg, hint="Wait for it, or choose the photo again.")
    return await run_in_threadpool(_shown, request, found)


def _shown(request: Request, found: Cloth) -> Response:
    settings = own_settings()
    words = json.loads(read_text(found.path(table.LOOSE_WORDS)))
    return render(
        request,
        "strips.html",
        settings=settings,
        cloth=found,
        content=words["units"][units_of(request, settings).value],
        own_cuts=words["own_cuts"],
        how_read=HOW_READ,
        kept=request.query_params.get("kept", ""),
    )


async def keep(request: Request) -> Response:
    """Keep with her settings what her cutter cuts, by the strips of a photo."""
    found, typed = cloth_of(request), await typed_in(request)
    await run_in_threadpool(_keep, found, typed.get("cut", ""))
    return go_to(f"/cloths/{found.id}/strips?kept={typed['cut']}")


def _keep(found: Cloth, cut: str) -> None:
    if not found.has(table.LOOSE_WORDS):
        msg = "There are no strips that were measured."
        raise UsageError(msg, hint="Measure their photo first.")
    measured = json.loads(read_text(found.path(table.LOOSE_WORDS)))["own_cuts"]
    if cut not in measured:
        msg = f'These strips don\'t tell what your cutter cuts as "{cut}".'
        raise UsageError(msg, hint="Choose one of the cuts that the page shows.")
    keep_settings(own_settings_path(), [(("cuts", "widths", cut), measured[cut]["width"])])


async def file(request: Request) -> Response:
    """A file of strips: shown where it is a picture, saved where it is not."""
    found, name = cloth_of(request), request.path_params["name"]
    if name not in FILES or not found.has(name):
        msg = "There is no such file."
        raise NotFound(msg)
    media, called = FILES[name]
    how = "inline" if name == table.NAMED else "attachment"
    return FileResponse(
        found.path(name), media_type=media, filename=called, content_disposition_type=how
    )


ROUTES: Final = [
    Route("/which-cut", which_cut, methods=["GET"]),
    Route("/which-cut", choose, methods=["POST"]),
    Route("/cloths/{cloth}/strips", strips),
    Route("/cloths/{cloth}/strips/keep", keep, methods=["POST"]),
    Route("/cloths/{cloth}/strips/{name}", file),
]
