"""The scale card: drawn for her printer, with what to check when it is printed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.errors import UsageError
from plaidcut.page.asked import one_of, own_settings, printed_of
from plaidcut.page.desk import render, units_of
from plaidcut.pictures.card_picture import card_png_bytes
from plaidcut.reports.card_sheet import STEPS, Paper, card_pdf_bytes
from plaidcut.scale.card_layout import CardSize
from plaidcut.units import Units

SHOWN_DPI: Final = 110
"""Dots per inch of the card as the page shows it."""


async def card(request: Request) -> Response:
    """Ask which card, and for which paper."""
    return _shown(request, _first(request), None)


def _first(request: Request) -> dict[str, str]:
    units = units_of(request, own_settings())
    paper = Paper.LETTER if units is Units.IN else Paper.A4
    return {"size": CardSize.SHEET.value, "paper": paper.value, **request.query_params}


def _shown(request: Request, typed: Mapping[str, str], error: UsageError | None) -> Response:
    status = 200 if error is None else 400
    return render(request, "card.html", status=status, typed=typed, error=error, steps=STEPS)


async def sheet(request: Request) -> Response:
    """The page to print."""
    typed = _first(request)
    try:
        size = one_of(CardSize, typed["size"])
        paper = one_of(Paper, typed["paper"])
        printed = printed_of(typed)
    except UsageError as error:
        return _shown(request, typed, error)
    page = await run_in_threadpool(card_pdf_bytes, size, paper=paper, printed=printed)
    named = f'attachment; filename="scale-card-{size.value}-{paper.value}.pdf"'
    return Response(page, media_type="application/pdf", headers={"content-disposition": named})


async def picture(request: Request) -> Response:
    """What the card looks like."""
    size = one_of(CardSize, request.path_params["size"])
    drawn = await run_in_threadpool(card_png_bytes, size, dpi=SHOWN_DPI)
    return Response(drawn, media_type="image/png")


ROUTES: Final = [
    Route("/card", card),
    Route("/card/scale-card.pdf", sheet),
    Route("/card/pictures/{size}.png", picture),
]
