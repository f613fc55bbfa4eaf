"""From a photo with its scale to its loose strips: the stages in their order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.cloth.light import work_picture
from plaidcut.cloth.view import plane_view
from plaidcut.errors import NoCloth, ScaleTooSmall, TooBlurred
from plaidcut.loose.cautions import cautions_of
from plaidcut.loose.ends import is_stepped
from plaidcut.loose.ground import foreground
from plaidcut.loose.join import joined
from plaidcut.loose.middle import middle_lines
from plaidcut.loose.pieces import pieces_of
from plaidcut.loose.strips import LooseStrips
from plaidcut.loose.summed_up import is_strip, summed_up
from plaidcut.loose.thickness import eye_over
from plaidcut.scale.plane import Scale
from plaidcut.stripes.measurement import PhotoRecord

if TYPE_CHECKING:
    from plaidcut.photo import Photo

LEAST_PX_PER_MM: Final = 3.0
"""With fewer, cuts a 32nd of an inch apart are hardly two pixels apart."""
MOST_BLUR_MM: Final = 0.35
"""Blur (standard deviation) of the card's own edges from which a #3 has no sharp middle left."""
FINE_PX_PER_MM: Final = 10.0
VIEW_PX_PER_MM: Final = 4.0
LEAST_ENDED: Final = 0.5
"""Share of the strips that must show an end: the stripes of a cloth run on."""


def measure_strips(photo: Photo, scale: Scale) -> LooseStrips:
    """Measure the ready-cut strips that lie loose in a photo.

    Parameters
    ----------
    photo
        Upright sRGB pixels.
    scale
        Where the table's plane lies in the photo, and how sure that is.

    Raises
    ------
    ScaleTooSmall, TooBlurred
        If cuts can't be told apart in it.
    NoCloth
        If no loose strips are seen.
    """
    _check_fine_enough(scale)
    picture = work_picture(photo, scale, px_per_mm=FINE_PX_PER_MM)
    view = plane_view(picture, scale, px_per_mm=VIEW_PX_PER_MM)
    marks = [px for px in (scale.mark_px, *scale.other_marks_px) if px is not None and len(px) > 2]
    lying = foreground(view, [scale.to_mm(px) for px in marks])
    lines = [
        (view.to_mm(line * view.px_per_mm), half)
        for line, half in middle_lines(lying.lying, view.px_per_mm)
    ]
    pieces = pieces_of(picture, scale, lying, lines, eye=eye_over(scale))
    chains = [chain for chain in joined(pieces, lying) if is_strip(chain)]
    told_apart = [chain for chain in chains if not is_stepped(chain, lying)]
    if chains and not told_apart:
        msg = "The strips lie so close against each other that they can't be told apart."
        raise NoCloth(msg, hint="Pull them apart, so that the table shows between them.")
    strips = summed_up(told_apart, scale, lying)
    if not strips:
        msg = "No loose strips were found in the photo."
        raise NoCloth(
            msg, hint="Lay the strips apart on a plain table of another colour, the card beside."
        )
    if np.mean([strip.ends_seen > 0 for strip in strips]) < LEAST_ENDED:
        msg = "What is seen looks like the stripes of a cloth, not like loose strips: nothing ends."
        raise NoCloth(
            msg,
            hint="Show at least one end of each strip; a cloth's stripes are for plaidcut measure.",
        )
    width, height = photo.size_px
    doubts = cautions_of(scale, strips, run_together=len(chains) - len(told_apart))
    return LooseStrips(
        photo=PhotoRecord(name=photo.name, width_px=width, height_px=height, sha256=photo.sha256),
        scale=scale,
        strips=strips,
        cautions=(*photo.cautions, *doubts),
    )


def _check_fine_enough(scale: Scale) -> None:
    """Refuse a photo in which cuts can't be told apart."""
    if scale.px_per_mm < LEAST_PX_PER_MM:
        msg = (
            f"The photo has {scale.px_per_mm:.1f} pixels to the millimetre; to tell cuts apart "
            f"it takes {LEAST_PX_PER_MM:g}."
        )
        raise ScaleTooSmall(msg, hint="Move the camera closer, and lay out fewer strips at a time.")
    if scale.mark_blur_px is not None and scale.mark_blur_px / scale.px_per_mm > MOST_BLUR_MM:
        blur_mm = 2.36 * scale.mark_blur_px / scale.px_per_mm
        msg = f"The photo is blurred over {blur_mm:.1f} mm: too much to tell cuts apart."
        raise TooBlurred(msg, hint="Hold the phone still, tap the strips to focus, take it again.")
