"""What a command keeps with her settings."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from plaidcut.cli.options import AnswerOptions
from plaidcut.settings import settings_path
from plaidcut.settings_file import Change, keep_settings


def keep(answer: AnswerOptions, changes: Iterable[Change]) -> Path:
    """Write changes into her settings, all or none, and say where they are.

    Raises
    ------
    FileTrouble, CannotWrite
        As `keep_settings` does.
    """
    path = answer.settings_file or settings_path()
    keep_settings(path, changes)
    return path
