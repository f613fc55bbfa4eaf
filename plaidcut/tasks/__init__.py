"""What plaidcut can do, as functions: the public Python API.

Each loads what it needs when it is called, so that none waits for another's libraries.

The command line calls these; so can any program. They take and give the records of
the stages, touch no file but the photo they are given, and raise only errors of the
family in `plaidcut.errors`.

Examples
--------
>>> from plaidcut import tasks
>>> cloth = tasks.measure_by_hand("red 1/2 in, black 1 in")
>>> [band.width_mm for band in cloth.up.bands]
[12.7, 25.4]
"""

from __future__ import annotations

from plaidcut.photo import load_photo
from plaidcut.stripes.ruler_check import check_by_ruler
from plaidcut.tasks.measuring import (
    HowToMeasure,
    correct,
    demo_photo,
    demo_photo_bytes,
    measure,
    measure_by_hand,
    measure_cut,
    which_cut,
)
from plaidcut.tasks.reckoning import garment, plan, report, rows, rug, yields

__all__ = [
    "HowToMeasure",
    "check_by_ruler",
    "correct",
    "demo_photo",
    "demo_photo_bytes",
    "garment",
    "load_photo",
    "measure",
    "measure_by_hand",
    "measure_cut",
    "plan",
    "report",
    "rows",
    "rug",
    "which_cut",
    "yields",
]
