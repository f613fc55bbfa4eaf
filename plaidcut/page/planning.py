"""The plan of a piece: where to tear and cut it, both ways, with its drawing."""

from __future__ import annotations

from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from plaidcut import tasks
from plaidcut.cutting.both_ways import Plan
from plaidcut.documents.plan import to_document
from plaidcut.documents.text import to_text
from plaidcut.errors import NotFound, PlaidcutError
from plaidcut.page import table
from plaidcut.page.asked import cut_of
from plaidcut.page.chosen import PLAN_CHOICES, what_to_plan
from plaidcut.page.desk import PART, cloth_of, desk_of, render
from plaidcut.page.downloads import download, plain_name
from plaidcut.page.pieces import settings_here
from plaidcut.page.table import Cloth
from plaidcut.pictures.encode import picture_bytes
from plaidcut.pictures.plan_picture import plan_picture
from plaidcut.reports.full_report import CHECKLIST
from plaidcut.reports.plan_content import plan_content
from plaidcut.reports.plan_csv import plan_csv
from plaidcut.settings import Settings
from plaidcut.stripes.measurement import Measurement

ASKED: Final = "asked"
"""Field of the form: what it leaves out was unticked."""

DRAWING: Final = "plan.png"


async def plan(request: Request) -> Response:
    """Show where to tear and cut a piece; what she chose for it is kept."""
    return await run_in_threadpool(_page, request, cloth_of(request))


async def drawing(request: Request) -> Response:
    """The piece and its strips, to scale."""
    found = cloth_of(request)
    if not found.has(DRAWING):
        msg = "There is no such picture."
        raise NotFound(msg)
    return FileResponse(found.path(DRAWING), media_type="image/png")


async def taken_away(request: Request) -> Response:
    """The plan as JSON, CSV or PNG."""
    found, kind = cloth_of(request), request.path_params["kind"]
    content = await run_in_threadpool(_content, request, found, kind)
    return download(content, f"{plain_name(found.name)}-plan.{kind}")


def choices_in(request: Request, cloth: Cloth) -> dict[str, str]:
    """What she chose: by the form if it was sent, else as it was kept."""
    kept = cloth.read(table.CHOICES)
    if ASKED not in request.query_params:
        return kept
    return {**kept, **{name: request.query_params.get(name, "") for name in PLAN_CHOICES}}


def planned(measurement: Measurement, choices: dict[str, str], settings: Settings) -> Plan:
    """The plan of what she chose.

    Raises
    ------
    PlaidcutError
        If something can't be read, or no plan fits.
    """
    return tasks.plan(measurement, what_to_plan(measurement, choices, settings))


def _page(request: Request, cloth: Cloth) -> Response:
    settings = settings_here(request)
    measurement = desk_of(request).opener.measurement(cloth)
    choices = choices_in(request, cloth)
    if choices != cloth.read(table.CHOICES):
        cloth.keep(table.CHOICES, choices)  # first of all: the next step may be taken meanwhile
    error, content = None, None
    try:
        made = planned(measurement, choices, settings)
        content = plan_content(measurement, made, units=settings.units)
        cloth.keep(DRAWING, _drawn(made, settings))
    except PlaidcutError as told:
        error = told
    return render(
        request,
        "plan-answer.html" if PART in request.headers else "plan.html",
        status=400 if error else 200,
        settings=settings,
        cloth=cloth,
        typed=choices,
        cuts=settings.cuts.cuts,
        own=_own_cut(choices, settings),
        has_photo=measurement.photo is not None,
        error=error,
        content=content,
        drawn=cloth.path(DRAWING).stat().st_mtime_ns if content else 0,
        checklist=CHECKLIST,
    )


def _own_cut(choices: dict[str, str], settings: Settings) -> str:
    """The name of her cut; what she typed where it is none."""
    try:
        return cut_of(choices.get("cut", ""), settings).name
    except PlaidcutError:
        return choices.get("cut", "")


def _content(request: Request, cloth: Cloth, kind: str) -> str | bytes:
    settings = settings_here(request)
    measurement = desk_of(request).opener.measurement(cloth)
    made = planned(measurement, cloth.read(table.CHOICES), settings)
    if kind == "json":
        return to_text(to_document(made, measurement))
    if kind == "csv":
        return plan_csv(made)
    if kind == "png":
        return _drawn(made, settings)
    msg = "There is no such file."
    raise NotFound(msg)


def _drawn(made: Plan, settings: Settings) -> bytes:
    return picture_bytes(plan_picture(made, units=settings.units), DRAWING)


ROUTES: Final = [
    Route("/cloths/{cloth}/plan", plan),
    Route("/cloths/{cloth}/plan/drawing.png", drawing),
    Route("/cloths/{cloth}/plan/plan.{kind}", taken_away),
]
