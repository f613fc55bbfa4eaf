"""Libraries loaded in the background, while the processor waits for a photo to be decoded."""

from __future__ import annotations

from importlib import import_module
from threading import Thread
from typing import Final

from plaidcut.one_heap import share_one_heap

MEASURING: Final = (
    "scipy.special",
    "scipy.ndimage",
    "scipy.linalg",
    "scipy.optimize",
    "scipy.fft",
    "skimage.color.delta_e",
    "plaidcut.documents.measurement",
)
"""What measuring a photo and writing it down uses, in the order of use."""


def preload(modules: tuple[str, ...] = MEASURING) -> None:
    """Begin to load modules; whoever imports one before it is there waits for it.

    For a whole process: its threads share one heap from now on.
    """
    share_one_heap()
    Thread(target=_load, args=(modules,), daemon=True).start()


def _load(modules: tuple[str, ...]) -> None:
    for module in modules:
        import_module(module)
