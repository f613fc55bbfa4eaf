"""The file that the user's settings are kept in."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from plaidcut.errors import CannotWrite, NotFound
from plaidcut.files import read_text, write_whole
from plaidcut.settings import Settings, parse_settings, settings_path, with_setting

Change = tuple[Sequence[str], str | float | None]
"""Where a field lies, and what it is set to; None takes it out."""


VARIABLE: Final = "PLAIDCUT_SETTINGS"
"""Names the settings' file in the environment, where it isn't at its usual place."""


def own_settings_path() -> Path:
    """Where her settings are, if there are any."""
    return Path(os.environ.get(VARIABLE) or settings_path())


def open_settings(path: Path) -> Settings:
    """The user's settings in a file.

    Raises
    ------
    NotFound
        If there is no such file.
    FileTrouble
        If it can't be read, or isn't one of settings.
    """
    return parse_settings(read_text(path), file_name=path.name)


def keep_settings(path: Path, changes: Iterable[Change]) -> None:
    """Write changes into the settings of a file, all or none; it is made if there is none.

    Raises
    ------
    FileTrouble
        If the settings would not be valid then.
    CannotWrite
        If the file or its folder can't be written.
    """
    try:
        text = read_text(path)
    except NotFound:
        text = ""
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            msg = f"The folder {path.parent} can't be made."
            raise CannotWrite(msg) from error
    for where, value in changes:
        text = with_setting(text, where, value)
    parse_settings(text, file_name=path.name)
    write_whole(path, text, force=True)
