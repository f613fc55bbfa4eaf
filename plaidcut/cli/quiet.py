"""Keeping compiled libraries from writing on standard output, which holds the answer alone."""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress


@contextmanager
def quiet_output() -> Iterator[None]:
    """Send away what a library prints with C's own functions, as HiGHS does at times."""
    with suppress(ValueError, OSError):
        sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # there is no standard output that could be spoilt
        yield
        return
    away = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(away, 1)
        yield
    finally:
        with suppress(OSError, AttributeError, TypeError):
            ctypes.CDLL(None).fflush(None)  # what C holds back must not come out later
        os.dup2(kept, 1)
        os.close(kept)
        os.close(away)
