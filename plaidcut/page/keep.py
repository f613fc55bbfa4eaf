"""Keeping a measured cloth on the shelf."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath
from typing import Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.documents.text import from_text
from plaidcut.errors import AlreadyExists, UsageError
from plaidcut.files import read_text
from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.desk import cloth_of, desk_of, go_to, render, units_of
from plaidcut.page.forms import typed_in
from plaidcut.page.said import about_added, about_typed, typed_of
from plaidcut.page.table import Cloth
from plaidcut.shelf import store
from plaidcut.shelf.opening import open_shelf, shelf_path, writing
from plaidcut.shelf.putting import cloth_for, put_again, put_in_place, source_of
from plaidcut.shelf.said import NOTHING
from plaidcut.shelved import About, Entry, Pictures
from plaidcut.shelved import Cloth as Kept
from plaidcut.shelved_typed import name_of_file
from plaidcut.stripes.correct import as_measured
from plaidcut.stripes.measurement import Measurement
from plaidcut.units import Units


async def keep(request: Request) -> Response:
    """Ask what a cloth is called on the shelf, and what is worth knowing of it."""
    return await run_in_threadpool(_keep, request, cloth_of(request))


def _keep(request: Request, found: Cloth) -> Response:
    units = units_of(request, own_settings())
    there = on_shelf(desk_of(request).opener.measurement(found))
    typed = {"name": _first_name(found), **typed_of(NOTHING, units)}
    if there is not None:
        typed = {"name": there.name, **typed_of(there.about, units)}
    return render(
        request,
        "keep.html",
        cloth=found,
        there=there,
        typed=typed,
        error=None,
        taken=False,
    )


async def put(request: Request) -> Response:
    """Put a cloth on the shelf."""
    typed = await typed_in(request)
    return await run_in_threadpool(_put, request, cloth_of(request), typed)


def _put(request: Request, found: Cloth, typed: dict[str, str]) -> Response:
    measurement = desk_of(request).opener.measurement(found)
    there = on_shelf(measurement)
    try:
        units = units_of(request, own_settings())
        name = _put_on_shelf(found, measurement, typed, there, units)
    except UsageError as error:
        return render(
            request,
            "keep.html",
            status=400,
            cloth=found,
            there=there,
            typed=typed,
            error=error,
            taken=isinstance(error, AlreadyExists),
        )
    return go_to(address_of(name))


def _put_on_shelf(
    found: Cloth, measurement: Measurement, typed: dict[str, str], there: Entry | None, units: Units
) -> str:
    """Put it there, in the place of the same one or of one that it takes; its name there."""
    about = about_typed(typed, NOTHING if there is None else there.about, units)
    cloth = _kept(found, measurement, typed.get("name", ""), about)
    pictures = _pictures(found)
    with open_shelf(shelf_path(), make=True) as connection, writing(connection):
        if there is not None:
            put_in_place(connection, cloth, pictures, about)
        elif "again" in typed:
            put_again(connection, cloth, pictures, lambda before: about_added(typed, before))
        else:
            store.add(connection, cloth, pictures)
        return cloth.entry.name


def _kept(found: Cloth, measurement: Measurement, name: str, about: About) -> Kept:
    """The cloth for the shelf: as it was measured, what was put right apart from it."""
    corrections = None
    if measurement.corrections:
        corrections = from_text(read_text(found.path(table.CORRECTIONS)))
    cloth = cloth_for(
        from_text(read_text(found.path(table.MEASURED))),
        source_of(measurement),
        as_measured(measurement).cloth.kind,
        name,
        about,
    )
    return replace(cloth, corrections=corrections)


def _pictures(found: Cloth) -> Pictures | None:
    """The shelf's copy of its photo, which the page shows too."""
    if not found.has(table.PREVIEW):
        return None
    copy, thumbnail = (found.path(name).read_bytes() for name in (table.PREVIEW, table.THUMBNAIL))
    return Pictures(copy=copy, thumbnail=thumbnail)


def on_shelf(measurement: Measurement) -> Entry | None:
    """The cloth's line on the shelf, if it lies there."""
    if not shelf_path().is_file():
        return None
    with open_shelf(shelf_path()) as connection:
        name = store.name_of_source(connection, source_of(measurement))
        if name is None:
            return None
        (entry,) = store.entries(connection, [store.known_id(connection, name)])
    return entry


def address_of(name: str) -> str:
    """Where a cloth of the shelf is shown."""
    return f"/shelf/cloths/{quote(name, safe='')}"


def _first_name(found: Cloth) -> str:
    return name_of_file(PurePath(found.name).stem)


ROUTES: Final = [
    Route("/cloths/{cloth}/keep", keep, methods=["GET"]),
    Route("/cloths/{cloth}/keep", put, methods=["POST"]),
]
