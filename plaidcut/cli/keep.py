"""What a command keeps with her settings."""

from __future__ import annotations

from pathlib import Path

from plaidcut.cli.files import read_text, write_whole
from plaidcut.cli.options import AnswerOptions
from plaidcut.cutting.cuts import Cut
from plaidcut.errors import CannotWrite, NotFound
from plaidcut.settings import settings_path, with_coverage


def keep_coverage(answer: AnswerOptions, cut: Cut, multiplier: float) -> Path:
    """Write her own figure for a cut into her settings, and say where they are.

    Raises
    ------
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
    write_whole(path, with_coverage(text, cut, multiplier), force=True)
    return path
