"""Standard input, output and error as they are found, however odd."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from io import RawIOBase, TextIOWrapper
from typing import TextIO


def take_streams(*, as_json: bool) -> None:
    """Let nothing that is written fail for its letters, nor for a stream that was closed.

    Parameters
    ----------
    as_json
        Whether standard output is to hold JSON, which is UTF-8 wherever it goes (RFC 8259).
        Words go in the terminal's own encoding, with a mark for what it doesn't have.
    """
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        stream = getattr(sys, name)
        if stream is None:  # closed: the next file opened would take its number, and its output
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115
        elif isinstance(stream, TextIOWrapper) and mode == "w":
            encoding = "utf-8" if as_json and name == "stdout" else None
            stream.reconfigure(encoding=encoding, errors="replace")
            if isinstance(stream.buffer, RawIOBase):
                # with PYTHONUNBUFFERED Python loses what a full disk took no more of, unsaid
                whole = open(  # noqa: SIM115
                    stream.fileno(), "w", encoding=stream.encoding, errors="replace", closefd=False
                )
                setattr(sys, name, whole)


def close_quietly(stream: TextIO) -> None:
    """Keep Python from complaining at its end that it can't flush what nobody reads."""
    with suppress(OSError, ValueError):
        away = os.open(os.devnull, os.O_WRONLY)
        os.dup2(away, stream.fileno())
        os.close(away)
