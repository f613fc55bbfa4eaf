"""The address of this computer in the network at home."""

from __future__ import annotations

import socket
from ipaddress import IPv4Address
from typing import Final

from plaidcut.errors import CannotWrite

NOWHERE: Final = ("192.0.2.1", 9)
"""An address that is nobody's (RFC 5737): asking the way there sends nothing."""


def lan_host() -> str:
    """The address by which others in the same network reach this computer.

    Raises
    ------
    CannotWrite
        If it is in no network, or its address is one that the whole world reaches.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
            asking.connect(NOWHERE)
            host = str(asking.getsockname()[0])
    except OSError as error:
        msg = "This computer is in no network, so no phone reaches it."
        raise CannotWrite(msg, hint="Join the network that the phone is in.") from error
    check_private(host)
    return host


def check_private(host: str) -> None:
    """Refuse an address that isn't one of a network at home, with CannotWrite."""
    address = IPv4Address(host)
    if address.is_loopback or address.is_unspecified or not address.is_private:
        msg = f"This computer's address, {host}, isn't one of a network at home."
        raise CannotWrite(msg, hint="Send photos by cable or a message to yourself instead.")
