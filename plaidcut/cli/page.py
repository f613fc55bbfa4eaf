"""``plaidcut page``: everything in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from typer import Option

from plaidcut.cli.options import AnswerOptions, ShelfOptions

if TYPE_CHECKING:
    from plaidcut.page.pairing import Pairing


def page(
    *,
    port: Annotated[
        int, Option(metavar="N", min=0, max=65535, help="The port; else any that is free.")
    ] = 0,
    no_open: Annotated[
        bool, Option("--no-open", help="Don't open the browser, only say the address.")
    ] = False,
    folder: Annotated[
        Path | None,
        Option(
            metavar="FOLDER",
            help="Where photos at work are kept; else the usual place for a program's data.",
        ),
    ] = None,
    lan: Annotated[
        bool,
        Option(
            "--lan",
            help="Let a phone in the same network send photos, once it has typed some digits. Only "
            "in a network that you trust.",
        ),
    ] = False,
    shelf: ShelfOptions,
    answer: AnswerOptions,
) -> str:
    """Open a page in the browser that does everything the commands do.

    It is on this computer alone: no account, no network, and nothing leaves it; with --lan a phone
    may send photos to it. Ctrl-C ends it.

    Example: plaidcut page
    """
    import os
    import sys
    import webbrowser

    from plaidcut.documents.text import to_text
    from plaidcut.page.asked import own_settings
    from plaidcut.page.lan import lan_host
    from plaidcut.page.server import (
        Phones,
        address_of,
        door_of,
        listen,
        pairing_of,
        serve,
        table_path,
    )
    from plaidcut.settings_file import VARIABLE
    from plaidcut.shelf.opening import NAMED_BY

    if shelf.shelf is not None:
        os.environ[NAMED_BY] = str(shelf.shelf.absolute())
    if answer.settings_file is not None:
        os.environ[VARIABLE] = str(answer.settings_file.absolute())
    own_settings()  # a fault in them is told before the page opens
    own = listen(port)
    port = own.getsockname()[1]
    door = door_of(port)
    address = address_of(door, port)
    phones = None
    if lan:
        listening = listen(port, lan_host())
        phones = Phones(listening, pairing_of(listening))
    if answer.as_json:
        document = {"document": "plaidcut-page", "version": 1, "address": address}
        if phones is not None:
            pairing = phones.pairing
            document |= {"phone_address": pairing.address, "phone_word": pairing.word}
        sys.stdout.write(to_text(document))
    else:
        sys.stdout.write(f"The page is open at\n  {address}\nCtrl-C ends it.\n")
        if phones is not None:
            sys.stdout.write(f"\n{_for_phones(phones.pairing)}\n")
    sys.stdout.flush()
    if not no_open:
        webbrowser.open(address)
    serve(own, door, folder or table_path(), units=answer.units, phones=phones)
    return ""


def _for_phones(pairing: Pairing) -> str:
    """What to do on the phone, and what to mind."""
    return (
        f"On the phone, open\n  {pairing.address}\nand type\n  {pairing.shown}\n"
        "MIND: do this only in a network that you trust, such as your own at home. Photos cross it "
        "unencrypted, and whoever reads the digits here can send some too."
    )
