"""The cut table: shown, and kept as her own cutter cuts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.cutting.cuts import CutTable, Numbering
from plaidcut.cutting.own_cuts import LEAST_LAID, parse_laid, parse_per_pass, parse_width
from plaidcut.errors import FileTrouble, UsageError
from plaidcut.page.asked import one_of, own_settings
from plaidcut.page.desk import go_to, render, units_of
from plaidcut.page.forms import typed_in
from plaidcut.reports.cuts_words import AGREED, NUMBERING, cut_lines
from plaidcut.settings import Settings
from plaidcut.settings_file import Change, keep_settings, own_settings_path
from plaidcut.units import Units, format_length


async def cuts(request: Request) -> Response:
    """Show the cuts that there are, and what her own cutter does."""
    settings = own_settings()
    return _shown(request, settings, typed_of(settings, units_of(request, settings)))


def _shown(
    request: Request,
    settings: Settings,
    typed: Mapping[str, str],
    error: UsageError | FileTrouble | None = None,
) -> Response:
    return render(
        request,
        "cuts.html",
        status=200 if error is None else 400,
        settings=settings,
        lines=cut_lines(settings.cuts, settings.own_widths_mm),
        numberings={each.value: NUMBERING[each] for each in Numbering},
        agreed=AGREED,
        least_laid=LEAST_LAID,
        typed=typed,
        error=error,
        kept="kept" in request.query_params,
    )


def typed_of(settings: Settings, units: Units) -> dict[str, str]:
    """What is kept as the form's fields show it."""
    typed = {
        "numbering": settings.cuts.numbering.value,
        "own": "" if settings.cut is None else settings.cut.name,
    }
    for cut in settings.cuts.cuts:
        if cut.name in settings.own_widths_mm:
            typed[f"width {cut.name}"] = format_length(cut.width_mm, units)
        if cut.per_pass is not None:
            typed[f"per_pass {cut.name}"] = str(cut.per_pass)
    return typed


async def keep(request: Request) -> Response:
    """Keep what was typed, all of it or nothing."""
    typed = await typed_in(request)
    settings = own_settings()
    try:
        await run_in_threadpool(_keep, typed, settings, units_of(request, settings))
    except (UsageError, FileTrouble) as error:
        return _shown(request, settings, typed, error)
    return go_to("/cuts?kept=yes")


def _keep(typed: Mapping[str, str], settings: Settings, units: Units) -> None:
    keep_settings(own_settings_path(), list(changes_of(typed, settings, units)))


def changes_of(typed: Mapping[str, str], settings: Settings, units: Units) -> Iterator[Change]:
    """What the form says otherwise than what is kept.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    before = typed_of(settings, units)
    fresh = {
        name: text.strip() for name, text in typed.items() if text.strip() != before.get(name, "")
    }
    for cut in settings.cuts.cuts:
        yield from _of_cut(cut.name, fresh)
    if "numbering" in fresh:
        yield ("cuts", "numbering"), one_of(Numbering, fresh["numbering"]).value
    if "own" in fresh:
        yield ("cut",), fresh["own"] or None
    if fresh.get("laid_width") or fresh.get("laid_strips"):
        text = f"{fresh.get('laid_strips', '')} of {typed.get('laid_cut', '')}"
        name, width_mm = parse_laid(f"{text} = {fresh.get('laid_width', '')}")
        yield _width(name, width_mm)
    if fresh.get("new_width") or fresh.get("new_name"):
        name, width_mm = parse_width(f"{fresh.get('new_name', '')} = {fresh.get('new_width', '')}")
        yield _width(name, width_mm)


def _of_cut(name: str, fresh: Mapping[str, str]) -> Iterator[Change]:
    """What was said otherwise of one cut; an empty field takes it away."""
    width, per_pass = fresh.get(f"width {name}"), fresh.get(f"per_pass {name}")
    if width is not None:
        yield _width(*parse_width(f"{name} = {width}")) if width else _nothing("widths", name)
    if per_pass is not None:
        strips = parse_per_pass(f"{name} = {per_pass}")[1] if per_pass else None
        yield ("cuts", "per_pass", name), strips


def _width(name: str, width_mm: float) -> Change:
    return ("cuts", "widths", name), f"{width_mm:.3f} mm"


def _nothing(table: str, name: str) -> Change:
    return ("cuts", table, name), None


async def reset(_: Request) -> Response:
    """Take all that is her own of the cut table away again."""
    settings = own_settings()
    await run_in_threadpool(keep_settings, own_settings_path(), list(_all_away(settings.cuts)))
    return go_to("/cuts?kept=yes")


def _all_away(table: CutTable) -> Iterator[Change]:
    for cut in table.cuts:
        yield _nothing("widths", cut.name)
        yield _nothing("per_pass", cut.name)
    yield ("cuts", "numbering"), None
    yield ("cut",), None


ROUTES: Final = [
    Route("/cuts", cuts, methods=["GET"]),
    Route("/cuts", keep, methods=["POST"]),
    Route("/cuts/reset", reset, methods=["POST"]),
]
