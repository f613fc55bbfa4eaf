"""What a command keeps with her settings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from plaidcut.cli.files import read_text, write_whole
from plaidcut.cli.options import AnswerOptions
from plaidcut.errors import CannotWrite, NotFound
from plaidcut.settings import parse_settings, settings_path, with_setting

Change = tuple[Sequence[str], str | float | None]
"""Where a field lies, and what it is set to; None takes it out."""


def keep(answer: AnswerOptions, changes: Iterable[Change]) -> Path:
    """Write changes into her settings, all or none, and say where they are.

    Raises
    ------
    FileTrouble
        If the settings would not be valid then.
    CannotWrite
        If the file or its folder can't be written.
    """
    path = answer.settings_file or settings_path()
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
    return path
