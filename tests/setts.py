"""Cloths for tests, written as people write setts: ``R20 Y2 K6``, widths in millimetres."""

import numpy as np

from plaidcut.stripes.bold import bold_stripes
from plaidcut.stripes.colour import colour_of_hex
from plaidcut.stripes.kind import kind_of_cloth
from plaidcut.stripes.measurement import (
    Band,
    ClothRecord,
    Direction,
    Measurement,
    ThreadSystem,
)
from plaidcut.stripes.sett import unfold

HEX = {
    "K": "#1a1a1c",
    "W": "#e9e5d8",
    "R": "#ac2138",
    "B": "#27407c",
    "G": "#24502f",
    "Y": "#e2b93b",
    "N": "#8a8883",
    "T": "#6b4a30",
}
"""Invented yarns behind the usual letters (facts section 10)."""


def sett(text):
    """Letters and widths of a sett: ``R20 Y2`` gives (("R", 20.0), ("Y", 2.0))."""
    return tuple((word[0], float(word[1:])) for word in text.split())


def bands_of(items, direction=Direction.UP, *, edge_std_mm=0.05, relative_std=0.0, cut_off=False):
    """Bands of letters and widths; ``cut_off`` makes the first and last partial."""
    starts = np.cumsum([0.0, *(width for _, width in items)])
    return tuple(
        Band(
            id=f"{direction.letter}{k + 1}",
            start_mm=float(starts[k]),
            width_mm=width,
            width_edge_std_mm=edge_std_mm,
            width_std_mm=float(np.hypot(edge_std_mm, relative_std * width)),
            partial=cut_off and k in (0, len(items) - 1),
            yarn=colour_of_hex(HEX[letter]),
            reads=colour_of_hex(HEX[letter]),
        )
        for k, (letter, width) in enumerate(items)
    )


def system(text, direction=Direction.UP, *, mirrored=False, repeats=True, **how):
    """A thread system of a sett; one band is a system without stripes."""
    items = unfold(sett(text)) if mirrored else sett(text)
    repeats = repeats and len(items) > 1
    bands = bands_of(items, direction, cut_off=not repeats and len(items) > 1, **how)
    total = sum(width for _, width in items)
    return ThreadSystem(
        direction=direction,
        angle_px_deg=90.0 if direction is Direction.UP else 0.0,
        repeat_mm=total if repeats else None,
        repeat_std_mm=0.1 if repeats else None,
        mirrored=mirrored and len(items) > 2,
        origin_mm=0.0,
        bands=bands,
        stripes=bold_stripes(bands, circular=repeats),
    )


def cloth(up, across="K100", **how):
    """A measurement of two setts, as if typed by hand."""
    systems = [
        each if isinstance(each, ThreadSystem) else system(each, direction, **how)
        for each, direction in zip((up, across), Direction, strict=True)
    ]
    kind, confidence = kind_of_cloth(*systems)
    return Measurement(
        photo=None,
        scale=None,
        cloth=ClothRecord(
            kind=kind,
            kind_confidence=confidence,
            outline_px=np.empty((0, 2)),
            skew_deg=None,
            bow=None,
            sharpness_mm=None,
        ),
        up=systems[0],
        across=systems[1],
    )
