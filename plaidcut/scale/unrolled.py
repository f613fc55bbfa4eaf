"""The edge of a ruler laid out straight, so that its lines stand on rows and columns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.scale.edges import locate_edge
from plaidcut.scale.lines import Floats, bend_px
from plaidcut.scale.plane import Points
from plaidcut.srgb import light_table

EDGE_REACH: Final = 0.15
"""How far off the outline of a strip may be, as a share of its width: the longest lines may have
been taken for its border."""

FINER: Final = 2
"""Samples per pixel along the edge."""

MOST_BOW: Final = 0.003
"""Bow of an edge, as a share of its length, from which it wasn't the ruler's edge all along: two
standard deviations of a phone's lens bow a ruler near the picture's rim so much (derived)."""

BEYOND: Final = 0.03
"""How far beyond the ends of its outline a ruler is looked at, as a share of its length."""

OUTSIDE: Final = 0.2
"""How far outwards from there the ruler is laid out, as a share of its width."""

LEAST_LENGTH_PX: Final = 90.0
"""Length of edge in the picture below which no comb has place."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strip:
    """The edge of a ruler laid out straight: rows go inwards, columns along."""

    light: NDArray[np.float32]
    """Linear light (rows, columns): a row a pixel, `FINER` columns a pixel."""
    edge_row: int
    """The row on the edge."""
    feet: Points
    """Where each column meets the edge (columns, 2)."""
    inward: Points
    """Direction of the columns (2,)."""
    thickest: int
    """Width of the widest line, in columns."""

    def ink(self, *, dark: bool) -> NDArray[np.float32]:
        """How much darker (lighter) than the ground lines are, as a share of the ground."""
        import cv2

        along = np.ones((1, 2 * self.thickest + 1), np.uint8)
        if dark:
            ground = cv2.morphologyEx(self.light, cv2.MORPH_CLOSE, along)
            return np.asarray((ground - self.light) / (ground + 0.01), np.float32)
        ground = cv2.morphologyEx(self.light, cv2.MORPH_OPEN, along)
        return np.asarray((self.light - ground) / (self.light + 0.01), np.float32)

    def to_photo_px(self, columns: Floats, row: float) -> Points:
        """Photo positions (N, 2) of columns (N,) on a row."""
        at = np.arange(len(self.feet))
        feet = np.stack([np.interp(columns, at, self.feet[:, k]) for k in (0, 1)], axis=-1)
        return np.asarray(feet + (row - self.edge_row) * self.inward)


def unroll(
    pixels: NDArray[np.uint8], start_xy_px: Points, end_xy_px: Points, width_px: float
) -> Strip | None:
    """Lay out the edge of a ruler, a little beyond its ends, to three fifths of its width.

    The ruler lies to the right of the edge, going from its start to its end (2,). None when
    too little of the edge is in the picture for a comb.
    """
    import cv2

    start, end = start_xy_px, end_xy_px
    along = (end - start) / np.hypot(*(end - start))
    inward = np.array([-along[1], along[0]])
    length = float(np.hypot(*(end - start)))
    bow = np.zeros(3)
    spare = 0.05 * (end - start)
    edge = locate_edge(pixels, start + spare, end - spare, reach_px=EDGE_REACH * width_px)
    if edge is not None and abs(bend_px(edge.xy_px)) < MOST_BOW * length:
        off = edge.xy_px - start
        bow = np.polyfit(off @ along, off @ inward, 2)
    height, width = pixels.shape[:2]
    columns = np.arange(-BEYOND * length, (1 + BEYOND) * length, 1 / FINER)
    feet = start + columns[:, None] * along
    within = np.all((feet >= 0) & (feet <= [width - 1, height - 1]), axis=1)
    columns = columns[within]
    if len(columns) < LEAST_LENGTH_PX * FINER:
        return None
    # beyond the edge that was seen the parabola goes on straight
    held = np.clip(columns, 0, length)
    across = np.polyval(bow, held) + np.polyval(np.polyder(bow), held) * (columns - held)
    feet = start + columns[:, None] * along + across[:, None] * inward

    edge_row = round(OUTSIDE * width_px)
    rows = np.arange(-edge_row, max(8, round(0.6 * width_px)))
    at = (feet[None] + rows[:, None, None] * inward).astype(np.float32)
    # a line is as dark to its left as to its right, so that codes do as well as light for it
    codes = cv2.remap(
        pixels, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return Strip(
        light=light_table()[np.asarray(codes, np.uint8)].mean(axis=2),
        edge_row=edge_row,
        feet=feet,
        inward=inward,
        thickest=max(2, round(FINER * width_px / 40)),
    )
