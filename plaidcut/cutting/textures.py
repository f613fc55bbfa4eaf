"""What each cut makes of a texture: how light and dark its strips come out, and what will hold.

Strips cut side by side begin anywhere in the repeat. A strip ``c`` wide that begins at ``x`` shows
the mean of the bands it lies over, ``(F(x + c) - F(x)) / c`` with F the bands' luminance summed
up: between the places where either edge crosses from band to band that is a straight line, so the
share of strips under any luminance follows without trying a single one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cutting.cuts import Cut
from plaidcut.srgb import LUMINANCE
from plaidcut.stripes.colour import (
    Colour,
    colour_of_linear_rgb,
    lab_of_linear_rgb,
    linear_rgb_of_lab,
)
from plaidcut.stripes.measurement import Direction, Kind, Measurement, ThreadSystem
from plaidcut.units import MM_PER_INCH

Floats = NDArray[np.float64]

THIRD: Final = 1 / 3
"""A strip is light or dark if it lies in that share of the way from the darkest band to the
lightest, at either end; in between it is mixed (chosen here)."""
ALIKE_LIGHTNESS: Final = 5.0
"""L* between the darkest and the lightest strip up to which all read alike (chosen here: at arm's
length a loop beside a loop no longer shows)."""
SMALL_BAND_MM: Final = MM_PER_INCH / 2
"""Bands up to the widest cut (#10 in one system) are texture to it."""
FLOOR_MM: Final = {
    Kind.SOLID: 3 / 32 * MM_PER_INCH,
    None: 5 / 32 * MM_PER_INCH,
}
"""Small cuts suit plain cloth; many plaids, tweeds and herringbones fray at #3 and #4, and are good
from #5 up (facts section 4, common practice)."""
LOOSE_MM: Final = MM_PER_INCH / 4
"""Loosely woven cloth falls apart in strips under 1/4 in (facts section 4)."""
LOOSE_PITCH_MM: Final = MM_PER_INCH / 20
"""Under 20 threads to the inch wool is loosely woven: flannel has 25 to 45 (from memory)."""
LEAST_THREADS: Final = 4
"""Threads along a strip that hold it together (chosen here; no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripTones:
    """How strips of one cut come out, wherever the first is cut; shares add up to 1."""

    cut: Cut
    light: float
    mixed: float
    dark: float
    darkest: float
    """L* of the darkest strip there can be ..."""
    lightest: float
    """... and of the lightest."""
    reads: Colour
    """What they read on the mean."""

    @property
    def alike(self) -> bool:
        """Whether all of them read alike."""
        return self.lightest - self.darkest <= ALIKE_LIGHTNESS


@dataclass(frozen=True, slots=True, kw_only=True)
class TextureWay:
    """Strips along one system of threads, in every cut."""

    direction: Direction
    band_mm: float
    """Mean width of its bands."""
    cuts: tuple[StripTones, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NarrowestCut:
    """The narrowest cut that will hold, as advice."""

    cut: Cut | None
    """None where no cut of those asked for is so wide."""
    floor_mm: float
    why: str
    """``plain``, ``texture``, ``loose`` or ``threads``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TextureStrips:
    """What all cuts make of a cloth."""

    ways: tuple[TextureWay, ...]
    """Directions with a repeat; none for cloth without stripes."""
    narrowest: NarrowestCut
    is_texture: bool
    """Whether its figure is so small that cuts mix it, or it has none."""


def texture_strips(measurement: Measurement, cuts: Sequence[Cut]) -> TextureStrips:
    """Say what every cut makes of a cloth, in both directions.

    Parameters
    ----------
    measurement
        The cloth.
    cuts
        Narrowest first.
    """
    ways = tuple(_way(system, cuts) for system in measurement.systems if system.repeat_mm)
    return TextureStrips(
        ways=ways,
        narrowest=narrowest_cut(measurement, cuts),
        is_texture=all(way.band_mm <= SMALL_BAND_MM for way in ways),
    )


def _way(system: ThreadSystem, cuts: Sequence[Cut]) -> TextureWay:
    widths = np.array([band.width_mm for band in system.bands])
    light = np.array([linear_rgb_of_lab(band.reads.lab) for band in system.bands])
    return TextureWay(
        direction=system.direction,
        band_mm=float(widths.mean()),
        cuts=tuple(strip_tones(widths, light, cut) for cut in cuts),
    )


def strip_tones(widths_mm: Floats, light: Floats, cut: Cut) -> StripTones:
    """How strips of a cut come out of a repeat of bands.

    Parameters
    ----------
    widths_mm
        Of its bands in order (N,).
    light
        Linear light (N, 3) that strips of each read.
    cut
        The cut.
    """
    luminance = light @ LUMINANCE.astype(float)
    starts, tones = tones_by_start(widths_mm, luminance, cut.width_mm)
    low, high = float(luminance.min()), float(luminance.max())
    dark = _share_under(starts, tones, low + THIRD * (high - low))
    not_light = _share_under(starts, tones, high - THIRD * (high - low))
    if high - low < 1e-9:
        dark, not_light = 0.0, 1.0
    ends = [_lightness(float(tone)) for tone in (tones.min(), tones.max())]
    return StripTones(
        cut=cut,
        light=1 - not_light,
        mixed=max(0.0, not_light - dark),
        dark=dark,
        darkest=ends[0],
        lightest=ends[1],
        reads=colour_of_linear_rgb(np.average(light, axis=0, weights=widths_mm)),
    )


def tones_by_start(widths_mm: Floats, luminance: Floats, cut_mm: float) -> tuple[Floats, Floats]:
    """Luminance of a strip by where it begins in the repeat.

    Returns
    -------
    starts : ndarray of shape (M,)
        Beginnings between which it changes in a straight line, from 0 to the repeat.
    tones : ndarray of shape (M,)
        The luminance of the strips that begin there.
    """
    repeat = float(widths_mm.sum())
    edges = np.concatenate([[0.0], np.cumsum(widths_mm)])
    whole = np.concatenate([[0.0], np.cumsum(widths_mm * luminance)])

    def summed(at: Floats) -> Floats:
        turns = np.floor(at / repeat)
        return np.asarray(turns * whole[-1] + np.interp(at - turns * repeat, edges, whole))

    starts = np.unique(np.concatenate([edges, (edges - cut_mm) % repeat]))
    return starts, (summed(starts + cut_mm) - summed(starts)) / cut_mm


def _share_under(starts: Floats, tones: Floats, limit: float) -> float:
    """Share of beginnings at which a piecewise straight line lies under a limit."""
    first, last = tones[:-1], tones[1:]
    low, high = np.minimum(first, last), np.maximum(first, last)
    level = high - low < 1e-15
    part = np.where(level, low < limit, (limit - low) / np.where(level, 1.0, high - low))
    share = np.clip(part, 0, 1) @ np.diff(starts) / (starts[-1] - starts[0])
    return min(1.0, float(share))  # which rounding may overstep


def _lightness(luminance: float) -> float:
    return float(lab_of_linear_rgb(np.full(3, luminance))[0])


def narrowest_cut(measurement: Measurement, cuts: Sequence[Cut]) -> NarrowestCut:
    """The narrowest of some cuts that will hold, by kind, threads and the trade's floors."""
    kind, weave = measurement.cloth.kind, measurement.cloth.weave
    pitches = [] if weave is None else [p.mm for p in (weave.up, weave.across) if p is not None]
    floors = [
        (FLOOR_MM[Kind.SOLID], "plain") if kind is Kind.SOLID else (FLOOR_MM[None], "texture")
    ]
    if pitches and max(pitches) > LOOSE_PITCH_MM:
        floors.append((LOOSE_MM, "loose"))
    if pitches:
        floors.append((LEAST_THREADS * max(pitches), "threads"))
    floor_mm, why = max(floors)
    fits = [cut for cut in cuts if cut.width_mm >= floor_mm - 1e-6]
    return NarrowestCut(
        cut=min(fits, key=lambda cut: cut.width_mm) if fits else None, floor_mm=floor_mm, why=why
    )
