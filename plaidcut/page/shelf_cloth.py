"""One cloth of the shelf: shown, said more of, used, opened on the table, taken off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.documents.text import to_text
from plaidcut.errors import NotFound, PlaidcutError, UsageError
from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.desk import desk_of, go_to, render, units_of
from plaidcut.page.forms import typed_in
from plaidcut.page.jobs import DRAW
from plaidcut.page.keep import address_of
from plaidcut.page.said import about_typed, number_of, typed_of
from plaidcut.page.table import Cloth, Phase, State, Table
from plaidcut.reports.content import report_content
from plaidcut.reports.shelf_words import entry_lines
from plaidcut.shelf import store
from plaidcut.shelf.derived import measurement_of
from plaidcut.shelf.opening import open_shelf, shelf_path, writing
from plaidcut.shelf.said import today, used
from plaidcut.shelved import Cloth as Kept
from plaidcut.shelved import Entry, Pictures
from plaidcut.shelved_typed import checked_day, checked_name

NOTHING: Final[dict[str, str]] = {}


async def cloth(request: Request) -> Response:
    """Show a cloth: what is known of it, and its stripes."""
    return await run_in_threadpool(_shown, request)


def _shown(
    request: Request, typed: dict[str, str] = NOTHING, error: PlaidcutError | None = None
) -> Response:
    settings = own_settings()
    units = units_of(request, settings)
    kept, pictures = _load(request)
    measurement = measurement_of(kept)
    about = typed_of(kept.entry.about, units)
    return render(
        request,
        "shelf_cloth.html",
        status=200 if error is None else 400,
        settings=settings,
        address=address_of(kept.entry.name),
        entry=kept.entry,
        lines=tuple(entry_lines(kept.entry, units)),
        content=report_content(measurement, units=units),
        measurement=measurement,
        pictured=pictures is not None,
        typed={"name": kept.entry.name, **about, **typed},
        error=error,
    )


def _load(request: Request) -> tuple[Kept, Pictures | None]:
    name = request.path_params["name"]
    with open_shelf(shelf_path()) as connection:
        return store.load(connection, name), store.pictures_of(connection, name)


async def picture(request: Request) -> Response:
    """Its photo as the shelf keeps it, or the thumbnail."""
    _, pictures = await run_in_threadpool(_load, request)
    known = {}
    if pictures is not None:
        known = {"photo.jpg": pictures.copy, "thumbnail.jpg": pictures.thumbnail}
    data = known.get(request.path_params["picture"])
    if not data:
        msg = "No photo of it is kept."
        raise NotFound(msg)
    return Response(data, media_type="image/jpeg")


async def say(request: Request) -> Response:
    """Keep what is said of it now, its name too."""
    units = units_of(request, own_settings())

    def said(entry: Entry, typed: dict[str, str]) -> Entry:
        told = store.with_words(entry, about_typed(typed, entry.about, units))
        return replace(told, name=checked_name(typed.get("name", "")))

    return await _change(request, said)


async def use(request: Request) -> Response:
    """Keep strips for a rug or release them, or note what was cut."""
    return await _change(request, _used)


def _used(entry: Entry, typed: dict[str, str]) -> Entry:
    words = {name: text.strip() for name, text in typed.items()}
    about = entry.about
    match words.get("what", ""):
        case "reserve":
            rug = _filled(words, "rug", "which rug it is kept for")
            strips = number_of(words.get("strips", ""), what="strips")
            kept = rug if strips is None else f"{rug} = {strips}"
            about = used(about, today=today(), reserve=[kept])
        case "release":
            about = used(about, today=today(), release=[words.get("rug", "")])
        case "cut":
            what = _filled(words, "for", "for what it was cut")
            much = _filled(words, "how_much", "how much was cut")
            on = checked_day(words.get("on", "") or today())
            about = used(about, today=on, was_cut=[f"{what} = {much}"])
        case _:
            msg = "It isn't said what became of the cloth."
            raise UsageError(msg, hint="Choose what the page shows.")
    return replace(entry, about=about)


def _filled(words: dict[str, str], name: str, what: str) -> str:
    """A field that must not be empty."""
    if not words.get(name):
        msg = f"It isn't said {what}."
        raise UsageError(msg, hint="Fill it in, then try again.")
    return words[name]


async def _change(request: Request, change: Callable[[Entry, dict[str, str]], Entry]) -> Response:
    """Change a cloth's line as a form says; all that was typed stays where it can't be."""
    typed = await typed_in(request)
    try:
        name = await run_in_threadpool(_changed, request.path_params["name"], typed, change)
    except UsageError as error:
        return await run_in_threadpool(_shown, request, typed, error)
    return go_to(address_of(name))


def _changed(
    name: str, typed: dict[str, str], change: Callable[[Entry, dict[str, str]], Entry]
) -> str:
    with open_shelf(shelf_path()) as connection, writing(connection):
        (before,) = store.entries(connection, [store.known_id(connection, name)])
        entry = change(before, typed)
        store.change(connection, name, entry)
    return entry.name


async def ask_to_remove(request: Request) -> Response:
    """Ask whether it is meant."""
    kept, _ = await run_in_threadpool(_load, request)
    name = kept.entry.name
    return render(request, "shelf_remove.html", name=name, address=address_of(name))


async def remove(request: Request) -> Response:
    """Take it off the shelf, with its photo and all that was said of it."""
    await run_in_threadpool(_remove, request.path_params["name"])
    return go_to("/shelf")


def _remove(name: str) -> None:
    with open_shelf(shelf_path()) as connection, writing(connection):
        store.remove(connection, name)


async def open_on_table(request: Request) -> Response:
    """Lay it on the table, with the shelf's copy of its photo to draw on."""
    kept, pictures = await run_in_threadpool(_load, request)
    desk = desk_of(request)
    laid = await run_in_threadpool(lay, desk.table, kept, pictures)
    if pictures is None:
        return go_to(f"/cloths/{laid.id}/cut")
    desk.jobs.start(laid, DRAW)
    return go_to(f"/cloths/{laid.id}")


def lay(on: Table, kept: Kept, pictures: Pictures | None) -> Cloth:
    """A cloth of the shelf on the table, measured and put right as it is there."""
    measurement = measurement_of(kept)
    laid = on.new({"name": kept.entry.name, "way": "shelf"})
    laid.keep(table.MEASURED, to_text(kept.document))
    if kept.corrections is not None:
        laid.keep(table.CORRECTIONS, to_text(kept.corrections))
    if pictures is not None and measurement.photo is not None:
        photo = measurement.photo
        laid.keep(table.PREVIEW, pictures.copy)
        laid.keep(table.THUMBNAIL, pictures.thumbnail)
        laid.keep(table.SIZE, {"width": str(photo.width_px), "height": str(photo.height_px)})
    laid.set_state(State(phase=Phase.DONE))
    return laid


ONE: Final = "/shelf/cloths/{name}"

ROUTES: Final = [
    Route(ONE, cloth),
    Route(f"{ONE}/said", say, methods=["POST"]),
    Route(f"{ONE}/used", use, methods=["POST"]),
    Route(f"{ONE}/remove", ask_to_remove, methods=["GET"]),
    Route(f"{ONE}/remove", remove, methods=["POST"]),
    Route(f"{ONE}/table", open_on_table, methods=["POST"]),
    Route(f"{ONE}/pictures/{{picture}}", picture),
]
