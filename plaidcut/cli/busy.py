"""A sign of life while something takes a while."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def busy(doing: str) -> Iterator[None]:
    """Show what is being done on standard error, if that is a terminal, until it is done."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(doing):
        yield


@contextmanager
def progress(doing: str, count: int) -> Iterator[Callable[[], None]]:
    """Show on standard error, if that is a terminal, how many of some things are done.

    What it gives is to be called once for each.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
    from rich.progress import TimeRemainingColumn as Remaining

    console = Console(stderr=True)
    columns = (TextColumn(doing), BarColumn(), MofNCompleteColumn(), Remaining())
    with Progress(*columns, console=console, disable=not console.is_terminal) as bar:
        task = bar.add_task(doing, total=count)
        yield lambda: bar.advance(task)
