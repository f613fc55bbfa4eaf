"""The report of a cloth: made in a process of its own, then taken away as files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from plaidcut.errors import NotFound, UsageError
from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.chosen import PLAN_CHOICES, in_words, what_to_plan
from plaidcut.page.desk import cloth_of, desk_of, go_to, render
from plaidcut.page.downloads import download, plain_name
from plaidcut.page.forms import typed_in
from plaidcut.page.jobs import REPORT
from plaidcut.page.pieces import settings_here
from plaidcut.page.table import Cloth, Phase
from plaidcut.reports.card_sheet import Paper
from plaidcut.settings import Settings
from plaidcut.units import Units

MADE: Final = "made"
"""Field of the form: when it was made, in words."""

LONGEST_MADE: Final = 200
"""Letters of that (chosen here)."""

FILES: Final = {
    "report.html": "The report as one page, which any browser opens",
    "report.pdf": "The report on paper",
    "guide.pdf": "The paper guide to lay on the cloth, in true size",
    "plan.csv": "The plan, strip by strip, as a table (CSV)",
    "yield.csv": "Strips of every band in every cut, as a table (CSV)",
    "plan.json": "The plan for programs (JSON)",
    "yield.json": "Strips of every band for programs (JSON)",
    "measurement.json": "The cloth as it was measured and put right (JSON)",
    "marked.png": "Picture: the photo with its bands",
    "bands.png": "Picture: the rows of bands",
    "plan.png": "Picture: the plan",
    "strips.png": "Picture: the cloth cut into strips",
    "hooked.png": "Picture: roughly what they look like hooked",
    "sorting.png": "Picture: can they be sorted?",
    "yield.png": "Picture: which cuts keep the stripe whole",
}
"""What a report is made of, and what the page calls it."""


async def report(request: Request) -> Response:
    """Ask for a report; show how far it is, or its files."""
    return await run_in_threadpool(_page, request, cloth_of(request))


def _page(request: Request, cloth: Cloth) -> Response:
    settings = settings_here(request)
    measurement = desk_of(request).opener.measurement(cloth)
    asked, choices = cloth.read(table.REPORT_ASKED), cloth.read(table.CHOICES)
    state = cloth.state_in(table.REPORT_STATE) if cloth.has(table.REPORT_STATE) else None
    done = state is not None and state.phase is Phase.DONE
    return render(
        request,
        "report.html",
        settings=settings,
        cloth=cloth,
        typed={"paper": _usual_paper(settings).value, **asked},
        chosen=in_words(measurement, choices, settings),
        piece=choices.get("piece", ""),
        state=state,
        files=[(name, words) for name, words in FILES.items() if done and _has(cloth, name)],
        stale=done and asked.get("of") != _of(cloth),
        **_progress(request, cloth),
    )


async def make(request: Request) -> Response:
    """Begin to make it."""
    found = cloth_of(request)
    typed = await typed_in(request)
    asked = {"paper": typed.get("paper", ""), MADE: typed.get(MADE, "")[:LONGEST_MADE]}
    paper_of(asked)
    await run_in_threadpool(_check, request, found)
    settings = settings_here(request)
    desk_of(request).jobs.start(found, REPORT)  # or it is refused, and all stays as it was
    found.keep(table.REPORT_ASKED, {**asked, "units": settings.units.value, "of": _of(found)})
    return go_to(f"/cloths/{found.id}/report")


def _check(request: Request, cloth: Cloth) -> None:
    """Refuse what can't be planned before anything is begun."""
    measurement = desk_of(request).opener.measurement(cloth)
    what_to_plan(measurement, cloth.read(table.CHOICES), settings_here(request))


async def state(request: Request) -> Response:
    """Say how far it is, to a page that waits for it."""
    found = cloth_of(request)
    phase = found.state_in(table.REPORT_STATE).phase.value
    return JSONResponse({"phase": phase, **_progress(request, found)})


async def cancel(request: Request) -> Response:
    """Make it no further."""
    found = cloth_of(request)
    await desk_of(request).jobs.cancel(found, REPORT)
    return go_to(f"/cloths/{found.id}/report")


async def file(request: Request) -> Response:
    """One of its files, to be kept."""
    found, name = cloth_of(request), request.path_params["name"]
    done = found.state_in(table.REPORT_STATE).phase is Phase.DONE
    if not done or name not in FILES or not _has(found, name):
        msg = "There is no such file."
        raise NotFound(msg, hint="Make the report first.")
    content = await run_in_threadpool(found.path(_kept(name)).read_bytes)
    return download(content, f"{plain_name(found.name)}-{name}")


def asked_settings(asked: Mapping[str, str]) -> Settings:
    """Her settings, with the units in which the report was asked for."""
    settings = own_settings()
    units = asked.get("units", "")
    return replace(settings, units=Units(units)) if units in set(Units) else settings


def paper_of(asked: Mapping[str, str]) -> Paper | None:
    """The paper that was chosen; None for the usual one.

    Raises
    ------
    UsageError
        If there is no such paper.
    """
    typed = asked.get("paper", "")
    try:
        return Paper(typed) if typed else None
    except ValueError as error:
        msg = f'"{typed}" is no paper that is known.'
        raise UsageError(msg, hint="Choose Letter or A4.") from error


def _usual_paper(settings: Settings) -> Paper:
    return Paper.LETTER if settings.units is Units.IN else Paper.A4


def _progress(request: Request, cloth: Cloth) -> dict[str, Any]:
    jobs = desk_of(request).jobs
    return {"step": jobs.step(cloth, REPORT), "before": jobs.waiting_before(cloth, REPORT)}


def _kept(name: str) -> str:
    return f"{table.REPORT}{name}"


def _has(cloth: Cloth, name: str) -> bool:
    return cloth.has(_kept(name))


def _of(cloth: Cloth) -> str:
    """What a report is made of: it is another once anything of that changes."""
    files = [name for name in (table.MEASURED, table.CORRECTIONS) if cloth.has(name)]
    changed = [str(cloth.path(name).stat().st_mtime_ns) for name in files]
    choices = cloth.read(table.CHOICES)
    return " ".join([*changed, *(f"{name}={choices.get(name, '')}" for name in PLAN_CHOICES)])


ROUTES: Final = [
    Route("/cloths/{cloth}/report", report, methods=["GET"]),
    Route("/cloths/{cloth}/report", make, methods=["POST"]),
    Route("/cloths/{cloth}/report/state", state),
    Route("/cloths/{cloth}/report/cancel", cancel, methods=["POST"]),
    Route("/cloths/{cloth}/report/files/{name}", file),
]
