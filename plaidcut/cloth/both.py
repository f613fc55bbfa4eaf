"""The same work on both thread systems, side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")


def both(work: Callable[..., T], *of_each: Iterable[object]) -> tuple[T, T]:
    """``work`` on the first of each argument and on the second, in two threads.

    Nearly all the time goes into NumPy and OpenCV, which let other threads run.
    """
    with ThreadPoolExecutor(2) as pool:
        up, across = pool.map(work, *of_each)
    return up, across
