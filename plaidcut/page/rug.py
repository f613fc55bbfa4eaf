"""A rug: what it needs, the wool for it, and whether that is enough."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from functools import partial
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut import tasks
from plaidcut.documents.rug import to_document
from plaidcut.documents.text import to_text
from plaidcut.errors import NotFound, PlaidcutError, UsageError
from plaidcut.files import read_text, write_whole
from plaidcut.page.desk import Desk, desk_of, go_to, render
from plaidcut.page.downloads import download
from plaidcut.page.forms import (
    Typed,
    in_form_words,
    parts_of,
    text_in,
    typed_in,
    with_part,
    with_part_before,
    without_part,
)
from plaidcut.page.pieces import settings_here
from plaidcut.page.rug_supplies import Cloths
from plaidcut.page.rugs import CLOTH, KINDS, rug_values, typed_rug
from plaidcut.reports.rug_content import rug_content
from plaidcut.rug.answer import Rug, RugAnswer
from plaidcut.rug.coverage import multiplier_of
from plaidcut.rug.rug_file import SHAPES, parse_rug, rug_of_table
from plaidcut.rug.supply_file import GarmentSupply, hooked_of
from plaidcut.rug.typed import with_left
from plaidcut.settings import Settings
from plaidcut.tables import form_table

RUG: Final = "rug.json"
"""File of the table with what was typed into the form."""

FORM: Final = "form"
"""In the address: she is at the form, and wants no answer yet."""

NAME: Final = "the rug"
"""What it is called where she gave it no name."""


async def rug(request: Request) -> Response:
    """Show the rug, and whether the wool is enough."""
    typed = _kept(desk_of(request))
    asked = FORM not in request.query_params and bool(parts_of(typed, "supply"))
    return await run_in_threadpool(_page, request, typed, asked=asked)


async def typed_rug_in(request: Request) -> Response:
    """Keep what was typed, then do what the button says."""
    typed = await typed_in(request)
    what, _, which = typed.pop("do", "answer").partition(":")
    typed, place = _changed(typed, what, which)
    await run_in_threadpool(_keep, desk_of(request), typed)
    if what == "answer":
        return await run_in_threadpool(_page, request, typed, asked=True)
    return go_to(f"/rug?{FORM}=1#{place}")


async def load(request: Request) -> Response:
    """Take a rug's file."""
    text = await text_in(request)
    settings = settings_here(request)
    habits = settings.habits(settings.own_cut)
    await run_in_threadpool(parse_rug, text, file_name="The file", habits=habits)
    typed = typed_rug(tomllib.loads(text), Cloths(desk_of(request)).called)
    await run_in_threadpool(_keep, desk_of(request), typed)
    return go_to(f"/rug?{FORM}=1")


async def taken_away(request: Request) -> Response:
    """The answer as JSON, the rug as a file, or that with the files of its cloths."""
    kind = request.path_params["kind"]
    content = await run_in_threadpool(_content, request, kind)
    return download(content, f"rug.{kind}")


def answer_of(desk: Desk, typed: Typed, settings: Settings) -> RugAnswer:
    """Whether the wool is enough.

    Raises
    ------
    PlaidcutError
        If something can't be read, measured or planned.
    """
    cloths = Cloths(desk)
    table = form_table(rug_values(typed, cloths.files_of), hint="Type it in, then ask again.")
    file = rug_of_table(table, name=NAME, habits=settings.habits(settings.own_cut))
    parts = parts_of(typed, "supply")
    supplies = [
        cloths.counted(supply, part, file.needs, settings)
        if isinstance(supply, GarmentSupply)
        else supply
        for supply, part in zip(file.supplies, parts, strict=True)
    ]
    planned = Rug(name=file.name, needs=file.needs, supplies=tuple(supplies), reserve=file.reserve)
    for supply, part in zip(supplies, parts, strict=True):
        if part.get("left"):
            planned = with_left(planned, f"{supply.name}={part['left']}")
    if typed.get("hooked"):
        planned = replace(planned, hooked=hooked_of(typed["hooked"]))
    return tasks.rug(planned, settings.cuts.cuts, partial(multiplier_of, own=settings.coverage))


def _page(request: Request, typed: Typed, *, asked: bool) -> Response:
    desk, settings = desk_of(request), settings_here(request)
    cloths = Cloths(desk)
    error, content = None, None
    if asked:
        try:
            content = rug_content(answer_of(desk, typed, settings), units=settings.units)
        except PlaidcutError as told:
            error = in_form_words(told)
    return render(
        request,
        "rug.html",
        status=400 if error else 200,
        settings=settings,
        typed=typed,
        areas=parts_of(typed, "area", shape=""),
        supplies=parts_of(typed, "supply", kind=""),
        cuts=settings.cuts.cuts,
        own=settings.own_cut,
        on_table=cloths.on_table(),
        on_shelf=cloths.on_shelf(),
        error=error,
        content=content,
    )


def _kept(desk: Desk) -> Typed:
    """What was typed when she was here last."""
    path = desk.table.root / RUG
    typed: Typed = json.loads(read_text(path)) if path.is_file() else {}
    return typed


def _keep(desk: Desk, typed: Typed) -> None:
    write_whole(desk.table.root / RUG, json.dumps(typed, indent=1), force=True)


def _changed(typed: Typed, what: str, which: str) -> tuple[Typed, str]:
    """The form after a button was pressed, and where on the page she wants to be then.

    Raises
    ------
    UsageError
        If there is no such button.
    """
    if what == "answer":
        return typed, ""
    if what == "area" and which in SHAPES:
        typed = with_part(typed, "area", {"shape": which})
        return typed, f"area-{parts_of(typed, 'area')[-1]['number']}"
    if what == "supply" and which in (CLOTH, *KINDS):
        typed = with_part(typed, "supply", {"kind": which})
        return typed, f"supply-{parts_of(typed, 'supply')[-1]['number']}"
    if what == "remove":
        return without_part(typed, which), f"{which.partition('-')[0]}-list"
    if what == "raise":
        return with_part_before(typed, which), "area-list"
    msg = "There is no such button."
    raise UsageError(msg, hint="Load the page anew.")


def _content(request: Request, kind: str) -> str | bytes:
    import tomlkit

    desk = desk_of(request)
    typed, cloths = _kept(desk), Cloths(desk)
    if kind == "json":
        return to_text(to_document(answer_of(desk, typed, settings_here(request))))
    values = {"rug": NAME, **rug_values(typed, cloths.files_of)}
    if kind == "toml":
        return tomlkit.dumps(values)
    if kind == "zip":
        return cloths.archive(typed, tomlkit.dumps(values))
    msg = "There is no such file."
    raise NotFound(msg)


ROUTES: Final = [
    Route("/rug", rug, methods=["GET"]),
    Route("/rug", typed_rug_in, methods=["POST"]),
    Route("/rug/load", load, methods=["POST"]),
    Route("/rug/rug.{kind}", taken_away),
]
