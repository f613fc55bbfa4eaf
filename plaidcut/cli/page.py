"""``plaidcut page``: everything in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from typer import Option

from plaidcut.cli.options import AnswerOptions


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
    answer: AnswerOptions,
) -> str:
    """Open a page in the browser that does everything the commands do.

    It is on this computer alone: no account, no network, and nothing leaves it.
    Ctrl-C ends it.

    Example: plaidcut page
    """
    import os
    import sys
    import webbrowser

    from plaidcut.documents.text import to_text
    from plaidcut.page.asked import own_settings
    from plaidcut.page.server import address_of, door_of, listen, serve, table_path
    from plaidcut.settings_file import VARIABLE

    if answer.settings_file is not None:
        os.environ[VARIABLE] = str(answer.settings_file.absolute())
    own_settings()  # a fault in them is told before the page opens
    own = listen(port)
    port = own.getsockname()[1]
    door = door_of(port)
    address = address_of(door, port)
    if answer.as_json:
        document = {"document": "plaidcut-page", "version": 1, "address": address}
        sys.stdout.write(to_text(document))
    else:
        sys.stdout.write(f"The page is open at\n  {address}\nCtrl-C ends it.\n")
    sys.stdout.flush()
    if not no_open:
        webbrowser.open(address)
    serve(own, door, folder or table_path(), units=answer.units)
    return ""
