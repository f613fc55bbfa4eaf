"""The first page: choose a photo, go on with a cloth, or begin with the demo."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut import tasks
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.errors import Busy, UsageError
from plaidcut.page import table
from plaidcut.page.asked import scale_way, warp_of, washed_of
from plaidcut.page.desk import UNITS, desk_of, go_to, render
from plaidcut.page.jobs import MEASURE, first_task
from plaidcut.page.table import Cloth, Kind, Phase, State, Table
from plaidcut.units import Units

MOST_PHOTOS: Final = 30
"""Photos of one request (chosen here)."""

FIELDS: Final = (
    *("way", "size", "corners", "points", "apart", "px_per_mm"),
    *("printed_width", "printed_height", "washed", "warp", "narrowest", "outline"),
)
"""What a form may say of a photo."""

LONGEST_NAME: Final = 80
"""Characters of a photo's name that are kept; it is shown, and never becomes a path."""

DEMO: Final = {"name": "Harbour skirt (invented)", "way": "card", "washed": "yes", "demo": "yes"}


async def start(request: Request) -> Response:
    """Show the first page."""
    desk = desk_of(request)
    return render(request, "start.html", cloths=desk.table.cloths(), days=table.DAYS_KEPT)


async def choose(request: Request) -> Response:
    """Take photos, and begin to measure them."""
    laid = await lay_photos(request, Kind.CLOTH)
    return go_to(f"/cloths/{laid[0].id}" if len(laid) == 1 else "/")


async def lay_photos(request: Request, kind: Kind) -> list[Cloth]:
    """Lay the photos that a form sends on the table, and begin to measure them.

    Raises
    ------
    UsageError, BadLength
        If there is none, or what is said of them can't be read.
    Busy
        If too many wait already; those that were begun before go on.
    """
    desk, laid = desk_of(request), []
    async with request.form(max_files=MOST_PHOTOS, max_fields=60, max_part_size=100_000) as form:
        asked = {**asked_of(form), "kind": kind.value}
        scale_way(asked)  # refused before anything is kept
        sent = [each for each in form.getlist("photo") if isinstance(each, UploadFile)]
        for photo in sent:
            if photo.size:
                cloth = await run_in_threadpool(lay, desk.table, photo, asked)
                laid.append(cloth)
                try:
                    desk.jobs.start(cloth, first_task(cloth))
                except Busy:
                    await run_in_threadpool(desk.table.remove, cloth)
                    raise
    if not laid:
        msg = "No photo was chosen."
        raise UsageError(msg, hint="Choose one, or drop it onto the page.")
    return laid


def asked_of(form: FormData) -> dict[str, str]:
    """What a form says of a photo, each field as typed."""
    typed = {name: form.get(name) for name in FIELDS}
    return {name: text.strip() for name, text in typed.items() if isinstance(text, str) and text}


def lay(on: Table, photo: UploadFile, asked: Mapping[str, str]) -> Cloth:
    """Lay a photo that was sent on the table, with what was said of it."""
    cloth = on.new({**asked, "name": shown_name(photo.filename or "")})
    with cloth.path(table.PHOTO).open("xb") as file:
        shutil.copyfileobj(photo.file, file)
    return cloth


def shown_name(name: str) -> str:
    """The name of a photo as it is shown: its last part, without what can't be seen."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(letter for letter in last if letter.isprintable())[:LONGEST_NAME] or "photo"


async def demo(request: Request) -> Response:
    """Lay the demo's photo on the table."""
    desk = desk_of(request)
    cloth = desk.table.new(DEMO)
    await run_in_threadpool(cloth.keep, table.PHOTO, tasks.demo_photo_bytes())
    desk.jobs.start(cloth, MEASURE)
    return go_to(f"/cloths/{cloth.id}")


async def by_hand(request: Request) -> Response:
    """Ask for widths taken by ruler."""
    return render(request, "by_hand.html", typed={}, error=None)


async def typed_by_hand(request: Request) -> Response:
    """Take widths that were typed."""
    form = await request.form(max_files=0, max_fields=20, max_part_size=100_000)
    typed = {name: text for name, text in form.items() if isinstance(text, str)}
    try:
        measured = await run_in_threadpool(
            tasks.measure_by_hand,
            typed.get("up", ""),
            typed.get("across") or None,
            mirrored="mirrored" in typed,
            warp=warp_of(typed),
            washed=washed_of(typed),
        )
    except UsageError as error:
        return render(request, "by_hand.html", status=400, typed=typed, error=error)
    name = shown_name(typed.get("name", "").strip() or "Widths typed by hand")
    cloth = desk_of(request).table.new({"name": name, "way": "hand"})
    cloth.keep(table.MEASURED, to_text(to_document(measured)))
    cloth.set_state(State(phase=Phase.DONE))
    return go_to(f"/cloths/{cloth.id}/cut")


async def units(request: Request) -> Response:
    """Show lengths in inches or millimetres from now on."""
    form = await request.form(max_files=0, max_fields=4, max_part_size=1000)
    chosen, back = form.get("units"), form.get("back")
    own_page = isinstance(back, str) and back.startswith("/") and not back.startswith("//")
    answer = go_to(back if own_page and isinstance(back, str) else "/")
    if chosen in set(Units):
        answer.set_cookie(UNITS, str(chosen), max_age=31_536_000, samesite="strict")
    return answer


ROUTES: Final = [
    Route("/", start),
    Route("/photos", choose, methods=["POST"]),
    Route("/demo", demo, methods=["POST"]),
    Route("/by-hand", by_hand, methods=["GET"]),
    Route("/by-hand", typed_by_hand, methods=["POST"]),
    Route("/units", units, methods=["POST"]),
]
