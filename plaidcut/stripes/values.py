"""Value: how much of the cloth is light, medium and dark, and how much strips of it differ."""

from __future__ import annotations

from typing import Final

import numpy as np

from plaidcut.cloth.field import Floats
from plaidcut.cloth.light import FULL
from plaidcut.cloth.unrolled import Unrolled
from plaidcut.cloth.weave import Weave
from plaidcut.srgb import LUMINANCE
from plaidcut.stripes.colour import value_of_lightness
from plaidcut.stripes.measurement import ValueShares
from plaidcut.stripes.profile import Profile, lab_of
from plaidcut.units import MM_PER_INCH

THINNED: Final = 2
"""Every second grid point each way tells the shares as well as all."""
STRIP_MM: Final = MM_PER_INCH / 4
"""Strips that are compared: #8, the cut most used (facts section 1)."""


def value_shares(unrolled: Unrolled, weave: Weave, lit: Floats) -> ValueShares:
    """Shares of the cloth's area by value, in the light that ``lit`` (3,) corrects.

    Threads count as far as the photo tells them apart.
    """
    every = (slice(None, None, THINNED), slice(None, None, THINNED))
    light = np.repeat(np.repeat(weave.light, weave.block, axis=0), weave.block, axis=1)
    rows, columns = unrolled.valid.shape
    light = light[:rows, :columns][every]
    seen = unrolled.valid[every][: light.shape[0], : light.shape[1]]
    weights = (LUMINANCE * lit / FULL).astype(np.float32)
    luminance = (unrolled.rgb[every] @ weights)[seen] / light[seen]
    values = _lightness_table()[np.clip(luminance * 1000, 0, 1000).astype(int)]
    count = np.bincount(values, minlength=3) / max(len(values), 1)
    return ValueShares(light=float(count[2]), medium=float(count[1]), dark=float(count[0]))


def _lightness_table() -> Floats:
    """0, 1 or 2 for dark, medium and light, by thousandths of luminance (1001,)."""
    grey = np.repeat(np.arange(1001)[:, None] / 1000, 3, axis=1)
    order = ("dark", "medium", "light")
    return np.array([order.index(value_of_lightness(float(each))) for each in lab_of(grey)[:, 0]])


def strips_differ(profiles: tuple[Profile, Profile], lit: Floats) -> tuple[float, float]:
    """Standard deviation of L* between strips of :data:`STRIP_MM`, along up and along across."""
    up, across = profiles
    return _differ(up, across, lit), _differ(across, up, lit)


def _differ(profile: Profile, other: Profile, lit: Floats) -> float:
    from scipy import ndimage

    first, last = profile.surely_seen
    known = profile.seen[first : last + 1]
    crossing = other.share[other.seen].mean(axis=0)
    linear = (profile.share[first : last + 1][known] + crossing) * lit
    wide = max(1, round(STRIP_MM / profile.step_mm))
    strips = ndimage.uniform_filter1d(linear, wide, axis=0)[wide // 2 : -wide // 2 or None]
    return float(lab_of(strips)[:, 0].std()) if len(strips) > 1 else 0.0
