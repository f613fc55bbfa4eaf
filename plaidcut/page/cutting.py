"""The first question and its answer: what she wants of the cloth, and which cut gives it."""

from __future__ import annotations

from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.desk import PART, cloth_of, desk_of, render, units_of
from plaidcut.page.looks import looks_of
from plaidcut.page.marks import found_marks
from plaidcut.page.opened import shown
from plaidcut.page.table import Cloth
from plaidcut.reports.words import HOW_COUNTED, HOW_KEPT, NOT_ADDED, kept_count

CHOICES: Final = ("wish", "bands", "cut")


async def cut(request: Request) -> Response:
    """Show what a cut makes of the cloth; what she chose is kept."""
    return await run_in_threadpool(_cut, request, cloth_of(request))


def _cut(request: Request, found: Cloth) -> Response:
    desk, settings = desk_of(request), own_settings()
    measurement = desk.opener.measurement(found)
    kept = found.read(table.CHOICES)
    asked = {name: request.query_params.get(name, kept.get(name, "")) for name in CHOICES}
    answer = shown(measurement, asked, settings=settings, units=units_of(request, settings))
    if asked != {name: kept.get(name, "") for name in CHOICES}:
        found.keep(table.CHOICES, {**kept, **asked})
    part = PART in request.headers
    return render(
        request,
        "answer.html" if part else "cut.html",
        settings=settings,
        cloth=found,
        measurement=measurement,
        answer=answer,
        cuts=settings.cuts.cuts,
        looks=looks_of(found, answer.cut),
        size=found.read(table.SIZE),
        marks=None if part else found_marks(measurement),
        kept_count=kept_count,
        how=(HOW_COUNTED, NOT_ADDED, HOW_KEPT),
    )


ROUTES: Final = [Route("/cloths/{cloth}/cut", cut)]
