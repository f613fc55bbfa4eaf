"""The page as an application: its addresses, and what becomes of errors."""

from __future__ import annotations

import contextlib
import logging
from collections.abc import AsyncIterator
from importlib import resources

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from plaidcut.errors import Busy, FileTrouble, NotFound, PlaidcutError, UsageError
from plaidcut.page import (
    bands,
    card,
    cloth_files,
    cloths,
    cuts,
    cutting,
    keep,
    phone,
    pieces,
    planning,
    reporting,
    rows,
    rug,
    shelf,
    shelf_cloth,
    square,
    start,
    strips,
)
from plaidcut.page.desk import Desk, render
from plaidcut.page.guard import Door, Guard
from plaidcut.page.jobs import REPORT, STATES, Jobs, first_task
from plaidcut.page.pairing import Pairing
from plaidcut.page.table import Phase, Table
from plaidcut.page.ways_on import advice
from plaidcut.units import Units

log = logging.getLogger("plaidcut.page")


def make_app(
    table: Table,
    door: Door,
    *,
    jobs: Jobs | None = None,
    units: Units | None = None,
    pairing: Pairing | None = None,
) -> Starlette:
    """The page on a table, behind a door.

    Parameters
    ----------
    table
        Where cloths at work lie.
    door
        Who may come in.
    jobs
        Who does the heavy work.
    units
        What lengths are shown in until she chooses; those of her settings if None.
    pairing
        Where phones come in, if they may.
    """
    static = resources.files("plaidcut.page") / "static"
    app = Starlette(
        routes=[
            *start.ROUTES,
            *cloths.ROUTES,
            *bands.ROUTES,
            *cutting.ROUTES,
            *pieces.ROUTES,
            *planning.ROUTES,
            *reporting.ROUTES,
            *rug.ROUTES,
            *cloth_files.ROUTES,
            *keep.ROUTES,
            *shelf.ROUTES,
            *shelf_cloth.ROUTES,
            *cuts.ROUTES,
            *square.ROUTES,
            *rows.ROUTES,
            *card.ROUTES,
            *phone.ROUTES,
            *strips.ROUTES,
            Mount("/static", StaticFiles(directory=str(static))),
        ],
        middleware=[Middleware(Guard, door=door)],
        exception_handlers={
            PlaidcutError: _told,
            HTTPException: _not_there,
            Exception: _fault,
        },
        lifespan=_lifespan,
    )
    app.state.desk = Desk(table=table, door=door, jobs=jobs or Jobs(), units=units, pairing=pairing)
    return app


@contextlib.asynccontextmanager
async def _lifespan(app: Starlette) -> AsyncIterator[None]:
    """Go on with what was under way when the page was last closed, and end all at the close."""
    desk: Desk = app.state.desk
    await run_in_threadpool(desk.table.clear_old)
    for cloth in desk.table.cloths():
        for what in (first_task(cloth), REPORT):
            begun = what != REPORT or cloth.has(STATES[what])
            if begun and cloth.state_in(STATES[what]).phase in (Phase.WAITING, Phase.WORKING):
                with contextlib.suppress(Busy):
                    desk.jobs.start(cloth, what)
    yield
    await desk.jobs.close()


async def _told(request: Request, error: Exception) -> Response:
    """An error of ours, in words."""
    assert isinstance(error, PlaidcutError)  # noqa: S101 -- it is registered for these only
    status = 500
    if isinstance(error, NotFound):
        status = 404
    elif isinstance(error, Busy):
        status = 503
    elif isinstance(error, UsageError | FileTrouble) or error.exit_status > 1:
        status = 400
    return _page(request, error, status)


async def _not_there(request: Request, error: Exception) -> Response:
    """An address that there isn't, or that doesn't take this."""
    status = error.status_code if isinstance(error, HTTPException) else 400
    words = "There is no such page." if status == 404 else "That can't be done here."
    return _page(request, NotFound(words, hint="Begin at the first page."), status)


async def _fault(request: Request, error: Exception) -> Response:
    """A fault of our own: told without its traceback, which goes to the log."""
    log.error("a fault at %s", request.url.path, exc_info=error)
    told = PlaidcutError(f"plaidcut ran into a fault of its own: {type(error).__name__}.")
    return _page(request, told, 500)


def _page(request: Request, error: PlaidcutError, status: int) -> HTMLResponse | JSONResponse:
    hint = advice(error.code, error.hint)
    if "application/json" in request.headers.get("accept", ""):
        told = {"code": error.code, "message": error.message, "hint": hint}
        return JSONResponse({"error": told}, status_code=status)
    return render(request, "error.html", status=status, error=error, hint=hint)
