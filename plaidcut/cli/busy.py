"""A sign of life while something takes a while."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def busy(doing: str) -> Iterator[None]:
    """Show what is being done on standard error, if that is a terminal, until it is done."""
    from rich.console import Console

    console = Console(stderr=True)
    if not console.is_terminal:
        yield
        return
    with console.status(doing):
        yield
