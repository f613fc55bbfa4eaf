"""The test square: her own wool-per-area from a hooked sample."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.errors import FileTrouble, UsageError
from plaidcut.page.asked import cut_of, own_settings
from plaidcut.page.desk import render, units_of
from plaidcut.page.forms import typed_in
from plaidcut.reports.sample_words import sample_words
from plaidcut.rug.sample import Sample, sample_of
from plaidcut.settings import Settings
from plaidcut.settings_file import keep_settings, own_settings_path

FIGURE: Final = 2
"""Decimals of the figure that is kept."""


async def square(request: Request) -> Response:
    """Ask what was hooked, and with how much wool."""
    settings = own_settings()
    return _shown(request, settings, {"cut": cut_of("", settings).name})


async def reckon(request: Request) -> Response:
    """Work out her figure, and keep it if she says so."""
    settings, typed = own_settings(), await typed_in(request)
    try:
        sample = sample_typed(typed, settings)
        kept = "keep" in typed
        if kept:
            figure = round(sample.multiplier, FIGURE)
            changes = [(("coverage", sample.cut.name), figure)]
            await run_in_threadpool(keep_settings, own_settings_path(), changes)
    except (UsageError, FileTrouble) as error:
        return _shown(request, settings, typed, error=error)
    return _shown(request, own_settings(), typed, sample=sample, kept=kept)


def sample_typed(typed: Mapping[str, str], settings: Settings) -> Sample:
    """The sample that the form says.

    Raises
    ------
    UsageError, BadLength
        If its area is missing, or its wool is given in no way or in two.
    """
    said = {name: text.strip() or None for name, text in typed.items()}
    strips = [each for each in (said.get("strips") or "").splitlines() if each.strip()]
    return sample_of(
        cut_of(typed.get("cut", ""), settings),
        said.get("hooked"),
        strips=strips,
        weighed=(said.get("piece"), said.get("before"), said.get("after")),
    )


def _shown(
    request: Request,
    settings: Settings,
    typed: Mapping[str, str],
    *,
    error: UsageError | FileTrouble | None = None,
    sample: Sample | None = None,
    kept: bool = False,
) -> Response:
    words = "" if sample is None else sample_words(sample, units_of(request, settings))
    return render(
        request,
        "square.html",
        status=200 if error is None else 400,
        settings=settings,
        typed=typed,
        error=error,
        words=tuple(words.split("\n")) if words else (),
        sample=sample,
        kept=kept,
        cuts=settings.cuts.cuts,
        own=settings.coverage,
    )


ROUTES: Final = [
    Route("/test-square", square, methods=["GET"]),
    Route("/test-square", reckon, methods=["POST"]),
]
