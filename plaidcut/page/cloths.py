"""One cloth: how far it is, what was found, where its scale lies, and its files."""

from __future__ import annotations

from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from plaidcut.errors import NotFound, UsageError
from plaidcut.page import table
from plaidcut.page.asked import how_to_measure, own_settings
from plaidcut.page.desk import cloth_of, desk_of, go_to, render, units_of
from plaidcut.page.jobs import STATES, first_task
from plaidcut.page.marks import found_marks
from plaidcut.page.start import asked_of
from plaidcut.page.table import Cloth, Kind, Phase
from plaidcut.page.ways_on import advice, ways_on
from plaidcut.reports.content import report_content

FILES: Final = {table.PREVIEW: "image/jpeg", table.THUMBNAIL: "image/jpeg"}
"""Files of a cloth that pages show."""


async def cloth(request: Request) -> Response:
    """Show how far a cloth is; once it is measured, what was found."""
    found = cloth_of(request)
    state = found.state
    match state.phase:
        case Phase.DONE if found.kind is Kind.STRIPS:
            return go_to(f"/cloths/{found.id}/strips")
        case Phase.DONE:
            return await run_in_threadpool(_bands, request, found)
        case Phase.WAITING | Phase.WORKING:
            return render(request, "working.html", cloth=found, **_progress(request, found))
    return render(
        request,
        "refused.html",
        cloth=found,
        state=state,
        ways=ways_on(state.code),
        advice=advice(state.code, state.hint),
    )


def _bands(request: Request, found: Cloth) -> Response:
    settings = own_settings()
    measurement = desk_of(request).opener.measurement(found)
    content = report_content(measurement, units=units_of(request, settings))
    return render(
        request,
        "bands.html",
        settings=settings,
        cloth=found,
        measurement=measurement,
        content=content,
        size=found.read(table.SIZE),
        marks=found_marks(measurement),
    )


async def state(request: Request) -> Response:
    """Say how far a cloth is, to a page that waits for it."""
    found = cloth_of(request)
    return JSONResponse({"phase": found.state.phase.value, **_progress(request, found)})


def _progress(request: Request, found: Cloth) -> dict[str, Any]:
    jobs = desk_of(request).jobs
    return {"step": jobs.step(found), "before": jobs.waiting_before(found)}


async def cancel(request: Request) -> Response:
    """End what is being done with a cloth."""
    found = cloth_of(request)
    await desk_of(request).jobs.cancel(found)
    return go_to(f"/cloths/{found.id}")


async def scale(request: Request) -> Response:
    """Ask where the scale lies, on the photo."""
    return await _marking(request, "scale.html")


async def _marking(request: Request, template: str) -> Response:
    found = cloth_of(request)
    if not found.has(table.PREVIEW):
        msg = "There is no photo to mark."
        raise NotFound(msg, hint="Choose a photo first.")
    marks = None
    if found.has(table.MEASURED):
        measurement = await run_in_threadpool(desk_of(request).opener.measurement, found)
        marks = found_marks(measurement)
    asked, size = found.read(table.ASKED), found.read(table.SIZE)
    return render(request, template, cloth=found, asked=asked, size=size, marks=marks)


async def outline(request: Request) -> Response:
    """Ask what of the photo is cloth."""
    return await _marking(request, "outline.html")


async def measure_again(request: Request) -> Response:
    """Measure a cloth once more, with what the form says now."""
    found = cloth_of(request)
    if not found.has(table.PHOTO):
        msg = "There is no photo to measure."
        raise UsageError(msg, hint="Choose a photo first.")
    form = await request.form(max_files=0, max_fields=40, max_part_size=100_000)
    before = found.read(table.ASKED)
    stays = before if "outline" in form else ("name", "kind", "outline")
    kept = {name: before[name] for name in stays if name in before}
    asked = {**kept, **asked_of(form)}
    how_to_measure(asked, own_settings())  # refused before anything is changed
    found.keep(table.ASKED, asked)
    for name in (table.MEASURED, table.CORRECTIONS, table.STRAIGHT):
        found.path(name).unlink(missing_ok=True)
    for begins in ("look-", table.REPORT):
        for made in found.folder.glob(f"{begins}*"):
            made.unlink(missing_ok=True)
    found.path(table.REPORT_STATE).unlink(missing_ok=True)
    desk_of(request).jobs.start(found, first_task(found))
    return go_to(f"/cloths/{found.id}")


async def forget(request: Request) -> Response:
    """Take a cloth off the table, with its photo."""
    found = cloth_of(request)
    desk = desk_of(request)
    for what in STATES:
        await desk.jobs.cancel(found, what)
    await run_in_threadpool(desk.table.remove, found)
    return go_to("/")


async def file(request: Request) -> Response:
    """One of a cloth's pictures."""
    found, name = cloth_of(request), request.path_params["name"]
    if name not in FILES or not found.has(name):
        msg = "There is no such picture."
        raise NotFound(msg)
    return FileResponse(found.path(name), media_type=FILES[name])


ROUTES: Final = [
    Route("/cloths/{cloth}", cloth),
    Route("/cloths/{cloth}/state", state),
    Route("/cloths/{cloth}/cancel", cancel, methods=["POST"]),
    Route("/cloths/{cloth}/scale", scale),
    Route("/cloths/{cloth}/outline", outline),
    Route("/cloths/{cloth}/measure", measure_again, methods=["POST"]),
    Route("/cloths/{cloth}/forget", forget, methods=["POST"]),
    Route("/cloths/{cloth}/pictures/{name}", file),
]
