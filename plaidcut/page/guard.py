"""Who may ask, and how much: the page answers its own computer only, and nothing else.

A web page that she has open in another tab can send requests to 127.0.0.1 too, and a name of its
own can be made to lead there. So a request counts only if it names this page as its host, carries
the key of this start, and, where it changes anything, comes from this page itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from hmac import compare_digest
from http.cookies import CookieError, SimpleCookie
from typing import Final, Protocol
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES: Final = 200_000_000
"""Of one request: a photo of 100 megapixels as a phone or scanner saves it fits (chosen here)."""

ARCHIVE: Final = "/shelf/archive"
"""Where archives of a shelf are taken in ..."""

MOST_OF_ARCHIVE: Final = 8_000_000_000
"""... which have about half a million bytes a cloth (chosen here)."""

SAFE: Final = frozenset({"GET", "HEAD"})
"""Methods that change nothing."""

HEADERS: Final = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""Sent with every answer: nothing from elsewhere is loaded, framed, sent to or kept."""


class Entrance(Protocol):
    """Who is let in, under which name, and with how much."""

    @property
    def hosts(self) -> frozenset[str]:
        """What the page is called there, with its port: ``127.0.0.1:8740``."""

    def most_bytes(self, scope: Scope, headers: Headers) -> int:
        """How much a request may bring."""

    def refusal(self, scope: Scope, headers: Headers) -> Response | None:
        """The answer to those who may not come in; None to those who may."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What lets her in, on her own computer."""

    key: str
    """Of this start; whoever has it may do everything."""
    hosts: frozenset[str]
    """What the page is called, with its port: ``127.0.0.1:8740``."""
    cookie: str = field(default="plaidcut")
    """Name of the cookie that holds the key; another one for each port."""

    def most_bytes(self, scope: Scope, headers: Headers) -> int:  # noqa: ARG002 -- a door's own
        """How much a request may bring: an archive of the shelf more than a photo."""
        return MOST_OF_ARCHIVE if scope["path"] == ARCHIVE else MOST_BYTES

    def refusal(self, scope: Scope, headers: Headers) -> Response | None:
        """The answer to those without the key; who brings it in the address gets it as a cookie."""
        if self._is_key(cookie_of(headers, self.cookie)):
            return None
        typed = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
        if scope["method"] == "GET" and self._is_key(typed):
            answer = RedirectResponse(scope["path"], status_code=303)
            answer.set_cookie(self.cookie, self.key, httponly=True, samesite="strict")
            return answer
        words = "Open the page with the address that plaidcut page printed: its key is missing."
        return PlainTextResponse(words, status_code=403)

    def _is_key(self, text: str) -> bool:
        return compare_digest(text.encode(), self.key.encode())


class TooLarge(Exception):
    """A request's body goes on beyond what is taken."""


@dataclass(frozen=True, slots=True)
class Guard:
    """Lets through what may come in, and puts the headers on every answer."""

    app: ASGIApp
    door: Entrance

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        headers = Headers(scope=scope)
        most = self.door.most_bytes(scope, headers)
        refusal = self._refusal(scope, headers, most)
        if refusal is not None:
            await refusal(scope, receive, with_headers)
            return
        try:
            await self.app(scope, _bounded(receive, most), with_headers)
        except TooLarge:
            await too_large(most)(scope, receive, with_headers)

    def _refusal(self, scope: Scope, headers: Headers, most: int) -> Response | None:
        """What is answered to those who may not come in; None to those who may."""
        if int(headers.get("content-length") or 0) > most:
            return too_large(most)
        return self._stranger(scope, headers) or self.door.refusal(scope, headers)

    def _stranger(self, scope: Scope, headers: Headers) -> Response | None:
        """The answer to what doesn't come from this page."""
        host = headers.get("host", "")
        if host not in self.door.hosts:
            return PlainTextResponse("This page has another address.", status_code=421)
        changes = scope["method"] not in SAFE
        from_here = not changes or headers.get("origin") == f"http://{host}"
        if not from_here or headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return PlainTextResponse("That came from another page.", status_code=403)
        return None


def too_large(most: int) -> Response:
    """The answer to what is too large."""
    words = f"That is too large: at most {most:,} bytes are taken here."
    return PlainTextResponse(words, status_code=413)


def cookie_of(headers: Headers, name: str) -> str:
    """What a cookie holds; nothing where there is none."""
    try:
        morsel = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return ""
    return morsel.value if morsel else ""


def _bounded(receive: Receive, most: int) -> Receive:
    """The same body, but no more of it than is taken."""
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > most:
            raise TooLarge
        return message

    return bounded
