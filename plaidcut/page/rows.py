"""Which cuts fill a gap in whole rows: a gap that was typed, or shown on a photo."""

from __future__ import annotations

from collections.abc import Mapping
from threading import Lock
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut import tasks
from plaidcut.cutting.cuts import Cut, parse_cut
from plaidcut.errors import CannotMeasure, UsageError
from plaidcut.page import table
from plaidcut.page.asked import own_settings, scale_way
from plaidcut.page.desk import PART, desk_of, render, units_of
from plaidcut.page.table import Cloth
from plaidcut.photo import load_photo
from plaidcut.reports.rows_words import rows_tables
from plaidcut.rug.coverage import multiplier_of
from plaidcut.rug.gaps import Gap, GapRows, WhatToFill, check_inside, gap_between
from plaidcut.rug.rows import RowWidths
from plaidcut.scale.plane import Scale
from plaidcut.scale.ways import take_scale
from plaidcut.settings import Settings
from plaidcut.typed_px import parse_numbers_px
from plaidcut.units import parse_length, parse_size

FIELDS: Final = ("width", "points", "photo", "border", "space")
"""What the form says, besides cuts."""

_ONE_AT_A_TIME: Final = Lock()
"""Photos are large: two of them needn't be in memory for two tabs."""


async def rows(request: Request) -> Response:
    """Ask for a gap, and say how it is filled."""
    return await run_in_threadpool(_rows, request)


def _rows(request: Request) -> Response:
    settings = own_settings()
    units = units_of(request, settings)
    typed = {name: request.query_params.get(name, "").strip() for name in FIELDS}
    names = request.query_params.getlist("cut")
    desk = desk_of(request)
    pictured = [each for each in desk.table.cloths() if each.has(table.PREVIEW)]
    photo = desk.table.cloth(typed["photo"]) if typed["photo"] else None
    error, found = None, None
    try:
        gap = _gap(request, typed, photo, settings)
        if gap is not None:
            found = _filled(gap, typed, names, settings)
    except (UsageError, CannotMeasure) as wrong:
        error = wrong
    return render(
        request,
        "filled.html" if PART in request.headers else "rows.html",
        status=200 if error is None else 400,
        settings=settings,
        typed=typed,
        names=names,
        cuts=settings.cuts.cuts,
        pictured=pictured,
        photo=photo,
        size=None if photo is None else photo.read(table.SIZE),
        error=error,
        tables=() if found is None else rows_tables(found, units),
    )


def _gap(
    request: Request, typed: Mapping[str, str], photo: Cloth | None, settings: Settings
) -> Gap | None:
    """The gap that was typed or marked; None where she has said none yet."""
    if photo is None or not typed["points"]:
        return Gap(width_mm=parse_length(typed["width"])) if typed["width"] else None
    x1, y1, x2, y2 = parse_numbers_px(typed["points"], 4, example="120,340,180,345")
    points = ((x1, y1), (x2, y2))
    size = photo.read(table.SIZE)
    check_inside(points, (int(size["width"]), int(size["height"])))
    return gap_between(points, _scale(request, photo, settings))


def _scale(request: Request, photo: Cloth, settings: Settings) -> Scale:
    """The scale of a photo of the table: a pattern has one too, though no cloth is found on it."""
    if photo.has(table.MEASURED):
        known = desk_of(request).opener.measurement(photo).scale
        if known is not None:
            return known
    with _ONE_AT_A_TIME:
        picture = load_photo(photo.path(table.PHOTO), max_megapixels=settings.max_megapixels)
        return take_scale(picture.pixels, scale_way(photo.read(table.ASKED)))


def _filled(gap: Gap, typed: Mapping[str, str], names: list[str], settings: Settings) -> GapRows:
    cuts: tuple[Cut, ...] = tuple(parse_cut(name, settings.cuts) for name in names)
    cuts = cuts or settings.cuts.cuts
    what = WhatToFill(
        cuts=cuts,
        widths=RowWidths(rows_per_inch=settings.rows_per_inch),
        border_mm=parse_size(typed["border"]) if typed["border"] else None,
        space_mm=parse_length(typed["space"]) if typed["space"] else None,
    )
    return tasks.rows(gap, what, [multiplier_of(each, settings.coverage) for each in cuts])


ROUTES: Final = [Route("/rows", rows)]
