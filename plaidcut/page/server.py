"""Opening the page: a free port on this computer, a key for this start, and the browser."""

from __future__ import annotations

import secrets
import socket
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from starlette.types import ASGIApp

from plaidcut.errors import CannotWrite
from plaidcut.page.app import make_app
from plaidcut.page.guard import Door
from plaidcut.page.pairing import Pairing
from plaidcut.page.phone import ByAddress, make_phone_app
from plaidcut.page.table import Table
from plaidcut.units import Units

if TYPE_CHECKING:
    import uvicorn

HOST: Final = "127.0.0.1"
"""The page listens there only: no other computer reaches it."""


def table_path() -> Path:
    """Where cloths at work lie: the platform's usual place for a program's own data."""
    import platformdirs

    return platformdirs.user_data_path("plaidcut", appauthor=False) / "table"


def listen(port: int, host: str = HOST) -> socket.socket:
    """A socket on this computer; port 0 takes any that is free.

    Parameters
    ----------
    port, host
        Where it listens: for this computer alone, unless ``host`` is its address in a network.

    Raises
    ------
    CannotWrite
        If the port is taken.
    """
    own = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    own.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        own.bind((host, port))
        own.listen()  # who opens the address at once waits, and isn't turned away
    except OSError as error:
        own.close()
        msg = f"Port {port} of this computer can't be used: {error.strerror}."
        raise CannotWrite(msg, hint="Choose another --port, or leave it out.") from error
    return own


def door_of(port: int) -> Door:
    """The door of a page on a port, with a new key."""
    return Door(
        key=secrets.token_urlsafe(24),
        hosts=frozenset({f"{HOST}:{port}", f"localhost:{port}"}),
        cookie=f"plaidcut-{port}",
    )


def address_of(door: Door, port: int) -> str:
    """What to open in the browser; whoever has it may use the page."""
    return f"http://{HOST}:{port}/?key={door.key}"


def pairing_of(listening: socket.socket) -> Pairing:
    """The phones' entrance where a socket listens, with a new word."""
    host, port = listening.getsockname()
    return Pairing(host=f"{host}:{port}", cookie=f"plaidcut-phone-{port}")


@dataclass(frozen=True, slots=True)
class Phones:
    """Where phones come in."""

    listening: socket.socket
    pairing: Pairing


def server_of(
    door: Door, root: Path, *, units: Units | None = None, phones: Phones | None = None
) -> uvicorn.Server:
    """What answers, for her and for phones."""
    import uvicorn

    pairing = None if phones is None else phones.pairing
    own = make_app(Table.at(root), door, units=units, pairing=pairing)
    app: ASGIApp = own
    if pairing is not None:
        app = ByAddress(own, make_phone_app(own.state.desk, pairing), host=HOST)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=3,
    )
    return uvicorn.Server(config)


def serve(
    own: socket.socket,
    door: Door,
    root: Path,
    *,
    units: Units | None = None,
    phones: Phones | None = None,
) -> None:
    """Answer until Ctrl-C."""
    listening = [own] if phones is None else [own, phones.listening]
    server_of(door, root, units=units, phones=phones).run(sockets=listening)
