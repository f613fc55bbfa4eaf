"""What is known of the loose strips in a photo: the records that later stages read."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from plaidcut.errors import Caution
from plaidcut.scale.plane import Points, Scale
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.measurement import PhotoRecord


class Odd(StrEnum):
    """What is odd about a strip: look at it before you believe its width."""

    VARYING = "varying"
    """Its width changes along it: it was fed askew, torn, or lies twisted."""
    RAVELLED = "ravelled"
    """Yarns have come off its edges."""
    SIDE_BY_SIDE = "side-by-side"
    """It may be two strips side by side, or one of two colours: no gap shows."""
    LITTLE_SEEN = "little-seen"
    """Less than half of its edges could be measured."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LooseStrip:
    """One strip, as it lies."""

    number: int
    """From the top of the photo down, beginning with 1."""
    width_mm: float
    """The median along its length."""
    spread_mm: float
    """How much the width scatters along it, as a standard deviation; robust."""
    width_std_mm: float
    """Standard uncertainty of the width, all in all ..."""
    width_own_std_mm: float
    """... and its own part, which the other strips of the photo don't share."""
    length_mm: float
    """How much of it is seen, along its middle; where it was crossed over, reckoned through."""
    ends_seen: int
    """How many of its two ends lie on bare ground in the photo."""
    reads: Colour
    """Its colour from far off, the yarns that cross it mixed in."""
    flecked: bool
    """Whether its colour changes along it."""
    odd: tuple[Odd, ...]
    outlines_px: tuple[Points, ...]
    """Where it was measured: polygons (N, 2) in the photo's pixels, one for each piece seen."""
    middle_px: tuple[float, float]
    """A point on its middle, half way along."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LooseStrips:
    """All strips of a photo."""

    photo: PhotoRecord
    scale: Scale
    strips: tuple[LooseStrip, ...]
    cautions: tuple[Caution, ...] = ()
