"""Profiles of a photo: its colours on short lines square to a longer one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.scale.lines import Floats
from plaidcut.scale.plane import Points
from plaidcut.srgb import light_table

STEP_PX: Final = 0.5
"""Spacing of samples along a profile: twice as fine as the pixels."""

PIECE_PX: Final = 150.0
"""Length of line whose surroundings are cut out together: the box around a long slanting line
would be half the photo."""

MARGIN_PX: Final = 6
"""Pixels beyond the profiles that a spline needs: what lies further off counts for less than a
two-thousandth."""


@dataclass(frozen=True, eq=False)
class Profiles:
    """Profiles across a line in a photo, evenly spaced along it."""

    feet_px: Points
    """Where they cross the line (N, 2)."""
    inward: Points
    """Their direction (2,): to the right, going along the line (y down)."""
    pieces: tuple[_Piece, ...]

    @classmethod
    def across(
        cls,
        pixels: NDArray[np.uint8],
        start_xy_px: ArrayLike,
        end_xy_px: ArrayLike,
        *,
        count: int,
        reach_px: float,
    ) -> Profiles | None:
        """Cut out what profiles of that reach touch; None when all is off the picture."""
        start, end = np.asarray(start_xy_px, float), np.asarray(end_xy_px, float)
        length = float(np.hypot(*(end - start)))
        along = (end - start) / length
        inward = np.array([-along[1], along[0]])
        feet = start + ((np.arange(count) + 0.5) / count)[:, None] * (end - start)
        groups = np.array_split(feet, min(count, int(np.ceil(length / PIECE_PX))))
        pieces = tuple(_Piece.around(pixels, group, reach_px * inward) for group in groups)
        return cls(feet, inward, pieces) if any(piece.codes.size for piece in pieces) else None

    def codes_at(self, offsets_px: Floats) -> Floats:
        """SRGB 0..1 (N, M, 3) at offsets (N, M) from the line; nan beyond the picture."""
        return self._sampled((piece.codes for piece in self.pieces), offsets_px, order=1) / 255

    def light_at(self, offsets_px: Floats) -> Floats:
        """Linear light (N, M, 3) there.

        By a spline: linear interpolation would move an edge along the rows by 0.03 px.
        """
        return self._sampled(self._splines, offsets_px, order=3)

    @cached_property
    def _splines(self) -> list[Floats]:
        """Linear light of the pieces as coefficients of a cubic spline."""
        from scipy.ndimage import spline_filter1d

        table = light_table()
        return [
            np.asarray(spline_filter1d(spline_filter1d(table[piece.codes], axis=0), axis=1))
            if piece.codes.size
            else piece.codes.astype(float)
            for piece in self.pieces
        ]

    def _sampled(
        self, pictures: Iterable[NDArray[np.generic]], offsets_px: Floats, *, order: Literal[1, 3]
    ) -> Floats:
        from scipy.ndimage import map_coordinates

        sample = partial(
            map_coordinates, order=order, prefilter=False, cval=np.nan, output=np.float64
        )
        sampled, first = [], 0
        for piece, picture in zip(self.pieces, pictures, strict=True):
            offsets = offsets_px[first : first + len(piece.feet_px)]
            first += len(piece.feet_px)
            at = piece.feet_px[:, None] + offsets[..., None] * self.inward - piece.corner_px
            where = [at[..., 1], at[..., 0]]
            sampled.append(
                np.stack([sample(picture[..., k], where) for k in range(3)], axis=-1)
                if picture.size
                else np.full((*offsets.shape, 3), np.nan)
            )
        return np.concatenate(sampled)


@dataclass(frozen=True, slots=True, eq=False)
class _Piece:
    """Some of the profiles and the part of the photo around them."""

    feet_px: Points
    codes: NDArray[np.uint8]
    """sRGB (h, w, 3); empty where it is off the picture."""
    corner_px: Points

    @classmethod
    def around(cls, pixels: NDArray[np.uint8], feet: Points, reach: Points) -> _Piece:
        """Cut out what profiles from ``feet - reach`` to ``feet + reach`` can touch."""
        ends = np.concatenate([feet + reach, feet - reach])
        height, width = pixels.shape[:2]
        low = np.maximum(np.floor(ends.min(axis=0)).astype(int) - MARGIN_PX, 0)
        high = np.minimum(np.ceil(ends.max(axis=0)).astype(int) + MARGIN_PX + 1, [width, height])
        if np.any(high - low < 2):
            return cls(feet, np.zeros((0, 0, 3), np.uint8), low.astype(float))
        return cls(feet, pixels[low[1] : high[1], low[0] : high[0]], low.astype(float))


def step_across(
    pixels: NDArray[np.uint8], start_xy_px: ArrayLike, end_xy_px: ArrayLike, *, gap_px: float
) -> float:
    """How much the mean colour changes across a line, in sRGB (0..1).

    Its two sides are taken from ``gap_px`` to ``gap_px + 3`` off the line, and
    averaged all along it, so that a pattern that crosses it does not count. nan
    where the line is off the picture.
    """
    profiles = Profiles.across(pixels, start_xy_px, end_xy_px, count=100, reach_px=gap_px + 3)
    if profiles is None:
        return float("nan")
    beside = np.tile(gap_px + np.arange(0, 3 + STEP_PX, STEP_PX), (100, 1))
    change = profiles.codes_at(beside) - profiles.codes_at(-beside)
    return float(np.linalg.norm(np.mean(change, axis=(0, 1))))
