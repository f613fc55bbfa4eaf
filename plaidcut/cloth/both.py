"""The same work on both thread systems, or on parts of a picture, side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from os import cpu_count
from typing import Final, TypeVar

S = TypeVar("S")
T = TypeVar("T")

MOST_THREADS: Final = 4
"""More would wait for memory, and hold more of it."""


def both(work: Callable[..., T], *of_each: Iterable[object]) -> tuple[T, T]:
    """``work`` on the first of each argument and on the second, in two threads.

    Nearly all the time goes into NumPy and OpenCV, which let other threads run.
    """
    with ThreadPoolExecutor(2) as pool:
        up, across = pool.map(work, *of_each)
    return up, across


def one_by_one(work: Callable[[S], None], parts: Iterable[S]) -> None:
    """``work`` on every part, each thread taking the next one that is left."""
    with ThreadPoolExecutor(min(MOST_THREADS, cpu_count() or 1)) as pool:
        for done in [pool.submit(work, part) for part in parts]:
            done.result()
