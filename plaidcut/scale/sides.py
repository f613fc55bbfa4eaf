"""The four sides of a rectangle in a photo: where they cross, and how the lens bows them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.errors import ScaleUncertain
from plaidcut.scale.edges import Edge, locate_edge
from plaidcut.scale.lines import bend_px, crossing, crossing_std, fit_line
from plaidcut.scale.plane import LENS_STD, Lens, Points
from plaidcut.scale.profiles import step_across

BOW_STD: Final = 0.0006
"""How far the side of a card may bow by itself, as a share of its length: 0.1 mm of an index
card's (from memory, no source)."""

MOST_BOW: Final = 4.0
"""Standard deviations from which a side's bow is neither the lens's nor the card's."""

LEAST_SUPPORT: Final = 0.5
"""Share of a side along which its edge must show."""

CLOSE_REACH_PX: Final = 4.0
"""How far off a side may be once it was found roughly."""

RUN_ON_SHARE: Final = 0.3
"""How far beyond a corner it is looked whether a side runs on, as a share of its length."""

MOST_RUN_ON: Final = 0.5
"""How strongly sides may run on beyond their corners, median of eight, as a share of the
sides' own contrast: a block of the plaid goes on as a band, a card ends."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corners:
    """A rectangle's corners in a photo."""

    ideal_px: Points
    """Corners (4, 2), clockwise (y down), without the lens's distortion."""
    std_px: float
    """Standard uncertainty of one coordinate."""
    lens: Lens
    lens_std: float
    blur_px: float | None = None
    """Blur of the sides; None where they weren't seen."""

    @property
    def seen_px(self) -> Points:
        """Corners (4, 2) as the photo shows them."""
        return self.lens.distort(self.ideal_px)


def side_lengths_px(outline: Points) -> NDArray[np.float64]:
    """Lengths (4,) of an outline's sides, from each corner (4, 2) to the next."""
    return np.asarray(np.hypot(*(np.roll(outline, -1, axis=0) - outline).T))


def sides_near(
    pixels: NDArray[np.uint8], outline: Points, *, reach_px: float, cut_px: float = 0.0
) -> tuple[Edge, ...] | None:
    """Find the four sides near a rough outline; None when one of them doesn't show.

    Parameters
    ----------
    pixels
        sRGB photo (height, width, 3).
    outline
        Corners (4, 2), clockwise (y down), where the sides would meet.
    reach_px
        How far off they may be.
    cut_px
        How much of each side's ends belongs to rounded corners.
    """
    edges: tuple[Edge, ...] = ()
    for reach in (reach_px, CLOSE_REACH_PX):
        found = []
        for corner, following in zip(outline, np.roll(outline, -1, axis=0), strict=True):
            ahead = (following - corner) / np.hypot(*(following - corner))
            spare = (cut_px + 1.2 * reach) * ahead
            edge = locate_edge(pixels, corner + spare, following - spare, reach_px=reach)
            if edge is None or edge.support < LEAST_SUPPORT:
                return None
            found.append(edge)
        edges = tuple(found)
        lines = [fit_line(edge.xy_px) for edge in edges]
        outline = np.array([crossing(lines[side - 1], lines[side]) for side in range(4)])
    return edges


def where_sides_cross(sides: tuple[Edge, ...], size_px: tuple[int, int]) -> Corners:
    """Corners and lens from four sides, clockwise.

    A side's bow is nearly linear in ``k1``. Each bow votes with its own
    uncertainty, a cut card's own bow included, against what is likely of a lens.

    Raises
    ------
    ScaleUncertain
        If the sides bow more than a lens and a flat card can.
    """
    lens = Lens.of_size(*size_px)
    trial = 0.01
    bows = np.array([bend_px(side.xy_px) for side in sides])
    bent = [bend_px(replace(lens, k1=trial).undistort(side.xy_px)) for side in sides]
    by_k1 = (bows - np.array(bent)) / trial
    length_px = np.array([np.hypot(*(side.xy_px[-1] - side.xy_px[0])) for side in sides])
    std = np.hypot(BOW_STD * length_px, [side.shift_std_px for side in sides])
    precision = np.sum((by_k1 / std) ** 2) + 1 / LENS_STD**2
    k1 = float(np.sum(by_k1 * bows / std**2) / precision)
    if np.any(np.abs(bows - k1 * by_k1) > MOST_BOW * std):
        msg = "The sides of the rectangle don't show as straight lines."
        raise ScaleUncertain(
            msg,
            hint="If it is curled or lies over a fold, flatten it; if the cloth has its colour, "
            "take another card; or mark its corners with --corners.",
        )

    lens = replace(lens, k1=k1)
    lines = [fit_line(lens.undistort(side.xy_px), shift_std_px=side.shift_std_px) for side in sides]
    pairs = [(lines[side - 1], lines[side]) for side in range(4)]
    return Corners(
        ideal_px=np.array([crossing(*pair) for pair in pairs]),
        std_px=float(np.sqrt(np.mean([crossing_std(*pair) ** 2 for pair in pairs]))),
        lens=lens,
        lens_std=float(1 / np.sqrt(precision)),
        blur_px=float(np.median([side.blur_px for side in sides])),
    )


def end_at_corners(
    pixels: NDArray[np.uint8], outline: Points, *, gap_px: float, cut_px: float = 0.0
) -> bool:
    """Whether the sides of an outline (4, 2) end at its corners, as a plaid's bands don't.

    ``gap_px`` is how far the outline may be off, ``cut_px`` as in `sides_near`.
    """
    run_on = []
    for corner, following in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        side = following - corner
        spare = (cut_px + 2 * gap_px) * side / np.hypot(*side)
        own = step_across(pixels, corner + spare, following - spare, gap_px=gap_px)
        for end, on in ((following, 1), (corner, -1)):
            start = end + on * 2 * gap_px * side / np.hypot(*side)
            beyond = step_across(pixels, start, end + on * RUN_ON_SHARE * side, gap_px=gap_px)
            run_on.append(beyond / max(own, 1e-6))
    known = [share for share in run_on if np.isfinite(share)]
    return not known or float(np.median(known)) < MOST_RUN_ON
