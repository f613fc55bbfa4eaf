"""The pieces of a garment: typed, drawn or loaded, and the strips that they give."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.cutting.garment import Garment, GarmentStrips
from plaidcut.cutting.garment_file import parse_garment
from plaidcut.cutting.starting_shapes import STARTING_SHAPES
from plaidcut.documents.garment import to_document
from plaidcut.documents.text import to_text
from plaidcut.errors import FileTrouble, NotFound, PlaidcutError, UsageError
from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.chosen import in_words, what_to_cut
from plaidcut.page.desk import cloth_of, desk_of, go_to, render, units_of
from plaidcut.page.downloads import download, plain_name
from plaidcut.page.forms import (
    Typed,
    in_form_words,
    parts_of,
    text_in,
    typed_in,
    with_part,
    without_part,
)
from plaidcut.page.garments import garment_in, garment_values, typed_garment
from plaidcut.page.table import Cloth
from plaidcut.reports.garment_content import garment_content
from plaidcut.reports.garment_csv import garment_csv
from plaidcut.settings import Settings
from plaidcut.stripes.measurement import Measurement
from plaidcut.units import Units, on_ruler

PIECES: Final = "pieces.json"
"""A cloth's file with what was typed into the form."""

FIRST: Final = {"piece-0-shape": "rectangle", "piece-0-count": "1"}
"""The form before anything was typed: one empty rectangle."""

NEW_HOLE: Final = {"wide": "", "high": "", "left": "", "top": ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """A cloth, its garment, and the strips of it."""

    measurement: Measurement
    garment: Garment
    strips: GarmentStrips


async def pieces(request: Request) -> Response:
    """Show the form, and the strips where its pieces can be read."""
    found = cloth_of(request)
    return await run_in_threadpool(_page, request, found, typed_of(found), counted=False)


async def typed_pieces(request: Request) -> Response:
    """Keep what was typed, then do what the button says."""
    found = cloth_of(request)
    typed = await typed_in(request)
    what, _, which = typed.pop("do", "count").partition(":")
    typed = _changed(typed, what, which)
    await run_in_threadpool(found.keep, PIECES, typed)
    if what == "count":
        return await run_in_threadpool(_page, request, found, typed, counted=True)
    return go_to(f"/cloths/{found.id}/pieces#{_place(typed, what, which)}")


async def load(request: Request) -> Response:
    """Take the pieces of a garment's file."""
    found = cloth_of(request)
    text = await text_in(request)
    await run_in_threadpool(parse_garment, text, file_name="The file")
    found.keep(PIECES, typed_garment(tomllib.loads(text)))
    return go_to(f"/cloths/{found.id}/pieces")


async def taken_away(request: Request) -> Response:
    """The strips as JSON or CSV, or the pieces as a garment file."""
    found, kind = cloth_of(request), request.path_params["kind"]
    content = await run_in_threadpool(_content, request, found, kind)
    return download(content, f"{plain_name(found.name)}-pieces.{kind}")


def typed_of(cloth: Cloth) -> Typed:
    """What was typed into a cloth's form of pieces."""
    return cloth.read(PIECES) if cloth.has(PIECES) else dict(FIRST)


def cutting_of(request: Request, cloth: Cloth, typed: Typed, settings: Settings) -> Cutting:
    """The strips of the pieces that were typed.

    Raises
    ------
    PlaidcutError
        If something can't be read, or no direction can be cut.
    """
    opener = desk_of(request).opener
    measurement = opener.measurement(cloth)
    garment = garment_in(typed, measurement, name=cloth.name)
    choices = cloth.read(table.CHOICES)
    what = what_to_cut(measurement, choices, typed.get("cuts", ""), settings)
    strips = opener.strips(measurement, garment, what)
    return Cutting(measurement=measurement, garment=garment, strips=strips)


def garment_toml(typed: Typed, name: str) -> str:
    """The garment file of a form."""
    import tomlkit

    return tomlkit.dumps({"garment": name, **garment_values(typed)})


def settings_here(request: Request) -> Settings:
    """Her settings, with the units that she chose on the page."""
    settings = own_settings()
    return replace(settings, units=units_of(request, settings))


def _page(request: Request, cloth: Cloth, typed: Typed, *, counted: bool) -> Response:
    """The form with its answer; what its fields still lack is said once it is to be counted."""
    settings = settings_here(request)
    measurement = desk_of(request).opener.measurement(cloth)
    error, content = None, None
    if typed != FIRST or counted:
        try:
            cut = cutting_of(request, cloth, typed, settings)
            content = garment_content(measurement, cut.strips, units=settings.units)
        except PlaidcutError as told:
            error = in_form_words(told) if counted or not isinstance(told, FileTrouble) else None
    return render(
        request,
        "pieces.html",
        status=400 if error else 200,
        settings=settings,
        cloth=cloth,
        typed=typed,
        pieces=parts_of(typed, "piece", shape=""),
        holes_of=lambda piece: parts_of(piece, "hole"),
        shapes=STARTING_SHAPES,
        rough=_rough(settings.units),
        has_photo=measurement.photo is not None,
        chosen=in_words(measurement, cloth.read(table.CHOICES), settings),
        error=error,
        content=content,
    )


def _rough(units: Units) -> dict[str, dict[str, str]]:
    """The sizes of starting shapes, as the form shows them."""
    return {
        name: {
            "top": on_ruler(shape.top_mm, units),
            "bottom": on_ruler(shape.bottom_mm, units),
            "height": on_ruler(shape.height_mm, units),
        }
        for name, shape in STARTING_SHAPES.items()
    }


def _changed(typed: Typed, what: str, which: str) -> Typed:
    """The form after a button was pressed.

    Raises
    ------
    UsageError
        If there is no such button.
    """
    if what == "count":
        return typed
    if what == "add":
        return with_part(typed, "piece", {"shape": which, "count": _usual_count(which)})
    if what == "remove":
        return without_part(typed, which)
    if what == "hole":
        return with_part(typed, f"{which}-hole", NEW_HOLE)
    if what == "drawn-hole":
        return with_part(typed, f"{which}-hole", {"points": ""})
    msg = "There is no such button."
    raise UsageError(msg, hint="Load the page anew.")


def _usual_count(shape: str) -> str:
    return str(STARTING_SHAPES[shape].count) if shape in STARTING_SHAPES else "1"


def _place(typed: Typed, what: str, which: str) -> str:
    """Where on the page she wants to be then."""
    if what == "add":
        return f"piece-{parts_of(typed, 'piece')[-1]['number']}"
    return which.partition("-hole")[0] if "hole" in f"{what}{which}" else "pieces"


def _content(request: Request, cloth: Cloth, kind: str) -> str:
    typed = typed_of(cloth)
    if kind == "toml":
        garment_in(typed, desk_of(request).opener.measurement(cloth), name=cloth.name)
        return garment_toml(typed, cloth.name)
    cut = cutting_of(request, cloth, typed, settings_here(request))
    if kind == "json":
        return to_text(to_document(cut.strips, cut.measurement))
    if kind == "csv":
        return garment_csv(cut.strips)
    msg = "There is no such file."
    raise NotFound(msg)


ROUTES: Final = [
    Route("/cloths/{cloth}/pieces", pieces, methods=["GET"]),
    Route("/cloths/{cloth}/pieces", typed_pieces, methods=["POST"]),
    Route("/cloths/{cloth}/pieces/load", load, methods=["POST"]),
    Route("/cloths/{cloth}/pieces/strips.{kind}", taken_away),
]
