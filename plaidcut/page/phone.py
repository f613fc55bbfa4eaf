"""The phones' page, which takes photos and nothing else; and what her own page says of it."""

from __future__ import annotations

import logging
from importlib import resources
from typing import Final, cast

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from plaidcut.errors import Busy, NotFound, PlaidcutError, TooSoon, UsageError
from plaidcut.page.desk import PART, Desk, desk_of, go_to, render
from plaidcut.page.guard import Guard
from plaidcut.page.jobs import MEASURE
from plaidcut.page.pairing import Arrived, Pairing
from plaidcut.page.start import MOST_PHOTOS, lay

log = logging.getLogger("plaidcut.page")

ASKED: Final = {"way": "card"}
"""What is said of a photo that a phone sends; the rest is said on the computer."""


def make_phone_app(desk: Desk, pairing: Pairing) -> Starlette:
    """The page for phones: on the table of a desk, behind an entrance of its own."""
    app = Starlette(
        routes=[
            Route("/", ask),
            Route("/word", word, methods=["POST"]),
            Route("/photos", take, methods=["POST"]),
            Route("/page.css", style),
        ],
        middleware=[Middleware(Guard, door=pairing)],
        exception_handlers={HTTPException: _not_there, Exception: _fault},
    )
    app.state.desk, app.state.pairing = desk, pairing
    return app


class ByAddress:
    """Gives each request to the page of the address that it came to, whatever it says of itself.

    Hers is on one address of this computer; whatever comes elsewhere is for phones.
    """

    def __init__(self, own: ASGIApp, phone: ASGIApp, *, host: str) -> None:
        self.own, self.phone, self.host = own, phone, host

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        here = scope["type"] == "lifespan" or (scope.get("server") or ("",))[0] == self.host
        await (self.own if here else self.phone)(scope, receive, send)


def _pairing(request: Request) -> Pairing:
    return cast(Pairing, request.app.state.pairing)


def _photos(request: Request) -> list[Arrived] | None:
    pairing = _pairing(request)
    return pairing.photos_of(request.cookies.get(pairing.cookie, ""))


async def ask(request: Request) -> Response:
    """Ask for the word; or for photos, once it was typed."""
    return _page(request, None)


def _page(request: Request, error: PlaidcutError | None, status: int = 200) -> Response:
    photos = _photos(request)
    template = "phone_word.html" if photos is None else "phone_photos.html"
    return render(request, template, status=status, photos=photos or [], error=error)


async def word(request: Request) -> Response:
    """Let a phone in that typed the word."""
    form = await request.form(max_files=0, max_fields=4, max_part_size=200)
    typed, pairing = form.get("word"), _pairing(request)
    try:
        token = pairing.let_in(typed if isinstance(typed, str) else "")
    except TooSoon as error:
        return _page(request, error, 429)
    if token is None:
        wrong = UsageError("Those aren't the digits.", hint="Look at the computer's screen again.")
        return _page(request, wrong, 403)
    answer = go_to("/")
    answer.set_cookie(pairing.cookie, token, httponly=True, samesite="strict")
    return answer


async def take(request: Request) -> Response:
    """Take photos, and begin to measure them."""
    desk, photos = desk_of(request), _photos(request)
    async with request.form(max_files=MOST_PHOTOS, max_fields=4, max_part_size=1000) as form:
        sent = [each for each in form.getlist("photo") if isinstance(each, UploadFile)]
        for photo in sent:
            if not photo.size:
                continue
            cloth = await run_in_threadpool(lay, desk.table, photo, ASKED)
            try:
                desk.jobs.start(cloth, MEASURE)
            except Busy as error:
                await run_in_threadpool(desk.table.remove, cloth)
                return _page(request, error, 503)
            if photos is not None:
                photos.append(Arrived(cloth.id, cloth.name))
    if not any(photo.size for photo in sent):
        return _page(request, UsageError("No photo was chosen.", hint="Choose one."), 400)
    return go_to("/")


async def style(_: Request) -> Response:
    """How the page looks."""
    held = (resources.files("plaidcut.page") / "static" / "page.css").read_text("utf-8")
    return Response(held, media_type="text/css")


async def _not_there(_: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 400
    return PlainTextResponse("There is no such page.", status_code=status)


async def _fault(request: Request, error: Exception) -> Response:
    log.error("a fault at %s", request.url.path, exc_info=error)
    return PlainTextResponse("plaidcut ran into a fault of its own.", status_code=500)


async def phones(request: Request) -> Response:
    """On her own page: the address and the word, and what has arrived."""
    pairing = desk_of(request).pairing
    if pairing is None:
        msg = "Phones can't send photos now."
        raise NotFound(msg, hint="End the page and start it anew so that they can.")
    arrived = {each.cloth for photos in pairing.arrived.values() for each in photos}
    template = "arrived.html" if PART in request.headers else "phones.html"
    cloths = [each for each in desk_of(request).table.cloths() if each.id in arrived]
    return render(request, template, cloths=cloths)


async def renew(request: Request) -> Response:
    """Choose another word; phones that were let in are so no more."""
    pairing = desk_of(request).pairing
    if pairing is not None:
        pairing.renew()
    return go_to("/phones")


ROUTES: Final = [
    Route("/phones", phones),
    Route("/phones/word", renew, methods=["POST"]),
]
"""Of her own page."""
