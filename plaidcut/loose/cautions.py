"""What is doubtful about measured strips that are given all the same."""

from __future__ import annotations

from typing import Final

from plaidcut.errors import Caution
from plaidcut.loose.strips import LooseStrip
from plaidcut.scale.plane import Method, Scale

STRONG_TILT_DEG: Final = 25.0
"""Past this the strips' cut sides are seen as much as their faces."""


def cautions_of(
    scale: Scale, strips: tuple[LooseStrip, ...], *, run_together: int
) -> tuple[Caution, ...]:
    """All that she should know of a photo of strips.

    Parameters
    ----------
    scale, strips
        What was measured.
    run_together
        In how many places strips lie side by side that couldn't be told apart.
    """
    found = []
    if scale.tilt_deg is not None and scale.tilt_deg > STRONG_TILT_DEG:
        found.append(
            Caution(
                "tilted",
                f"The camera was tilted by {scale.tilt_deg:.0f}°: the strips' thickness shows as "
                "width. Hold it straight above them.",
            )
        )
    if scale.method in (Method.RULER, Method.POINTS):
        found.append(
            Caution(
                "plane-unknown",
                "A ruler or two points tell only roughly how the camera was tilted; the ± allows "
                "for it. The printed card does better.",
            )
        )
    if scale.white is None:
        found.append(
            Caution(
                "colours-as-photographed",
                "No white is known in the photo: colours are as the camera took them.",
            )
        )
    if any(strip.odd for strip in strips):
        found.append(
            Caution(
                "odd-strips",
                "Some strips are odd and not counted: look at them, or lay them out again, apart.",
            )
        )
    if run_together:
        places = "one place" if run_together == 1 else f"{run_together} places"
        found.append(
            Caution(
                "strips-run-together",
                f"In {places} strips lie so close that they can't be told apart. They're left out, "
                "and have no number in the picture: pull them apart and take another photo.",
            )
        )
    return tuple(found)
