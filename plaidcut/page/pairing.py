"""A phone on the same network that may send photos: the word that lets it in, and nothing else.

The network is not this computer: others are in it too. So a phone reaches a little page of its
own, never hers: it asks for a word that only her screen shows, and then takes photos.
"""

from __future__ import annotations

import re
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from hmac import compare_digest
from typing import Final

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, Response
from starlette.types import Scope

from plaidcut.errors import TooSoon
from plaidcut.page import guard
from plaidcut.page.guard import cookie_of

DIGITS: Final = 8
"""Of the word: a hundred million of them, and an hour for each try after the first few."""

MOST_PHONES: Final = 8
"""That may be let in at a time (chosen here)."""

WAITS_S: Final = {1: 0.0, 2: 0.0, 3: 0.0, 4: 0.0, 5: 30.0, 6: 60.0, 7: 120.0, 8: 600.0}
"""How long nothing is let in after so many wrong words (chosen here)."""

LONGEST_WAIT_S: Final = 3600.0
"""After each further one."""

OPEN: Final = frozenset({("GET", "/"), ("POST", "/word"), ("GET", "/page.css")})
"""What is answered to a phone that hasn't typed the word: the page that asks for it."""

MOST_OF_WORD: Final = 1000
"""Bytes that such a phone may send."""


@dataclass(frozen=True, slots=True)
class Arrived:
    """A photo that came from a phone."""

    cloth: str
    """Id of the cloth that it is on the table."""
    name: str


@dataclass(slots=True, kw_only=True)
class Pairing:
    """The phones' entrance: its word, and who has typed it."""

    host: str
    """What phones call this computer, with its port: ``192.168.1.5:8740``."""
    cookie: str = "plaidcut-phone"
    now: Callable[[], float] = time.monotonic
    """Seconds on a clock that only runs on."""
    word: str = field(init=False, default="")
    wrong: int = field(init=False, default=0)
    """Words that were typed wrongly since the last right one."""
    arrived: dict[str, list[Arrived]] = field(init=False, default_factory=dict)
    """What came, by the cookie of the phone that sent it."""
    _until: float = field(init=False, default=0.0)

    def __post_init__(self) -> None:
        """Choose a word."""
        self.renew()

    @property
    def hosts(self) -> frozenset[str]:
        """What the phones' page is called."""
        return frozenset({self.host})

    @property
    def address(self) -> str:
        """What to open on the phone."""
        return f"http://{self.host}/"

    @property
    def shown(self) -> str:
        """The word as people read it: ``1234 5678``."""
        return " ".join(re.findall("....", self.word))

    def renew(self) -> None:
        """Choose another word, and send away whoever came in by the old one."""
        self.word = "".join(secrets.choice("0123456789") for _ in range(DIGITS))
        self.arrived.clear()
        self.wrong, self._until = 0, self.now()

    def let_in(self, typed: str) -> str | None:
        """The cookie of a phone that typed the word; None where the word is wrong.

        Raises
        ------
        TooSoon
            If too many wrong ones were typed, by whomever: then not even the right one is heard.
        """
        if self.now() < self._until:
            msg = "Wrong digits were typed too often."
            raise TooSoon(msg)
        digits = re.sub(r"\D", "", typed, flags=re.ASCII)
        if not compare_digest(digits.encode(), self.word.encode()):
            self.wrong += 1
            self._until = self.now() + WAITS_S.get(self.wrong, LONGEST_WAIT_S)
            return None
        if len(self.arrived) >= MOST_PHONES:
            msg = f"{MOST_PHONES} phones send photos already."
            raise TooSoon(msg, hint="Choose other digits on the computer's page: they then go.")
        token = secrets.token_urlsafe(24)
        self.arrived[token] = []
        self.wrong = 0
        return token

    def photos_of(self, token: str) -> list[Arrived] | None:
        """What a phone has sent; None if it hasn't typed the word."""
        for known, photos in self.arrived.items():
            if compare_digest(known.encode(), token.encode()):
                return photos
        return None

    def most_bytes(self, scope: Scope, headers: Headers) -> int:  # noqa: ARG002 -- an entrance's
        """How much a request may bring: a photo, from a phone that was let in."""
        return MOST_OF_WORD if self._unknown(headers) else guard.MOST_BYTES

    def refusal(self, scope: Scope, headers: Headers) -> Response | None:
        """The answer to a phone that wasn't let in, but for the page that asks for the word."""
        if self._unknown(headers) and (scope["method"], scope["path"]) not in OPEN:
            return PlainTextResponse("Type the digits first.", status_code=403)
        return None

    def _unknown(self, headers: Headers) -> bool:
        return self.photos_of(cookie_of(headers, self.cookie)) is None
