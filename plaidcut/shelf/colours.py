"""What colour is looked for: typed in words, or seen at a spot in a photo."""

from __future__ import annotations

from typing import Final

import numpy as np

from plaidcut.errors import UsageError
from plaidcut.photo import Photo
from plaidcut.srgb import light_table
from plaidcut.stripes.colour import NAMES, Colour, colour_of_linear_rgb, colour_of_words

SPOT_SHARE: Final = 1 / 150
"""Radius of a spot, as a share of the photo's longest side: about a stripe's half in a photo of
a piece (chosen here)."""

LEAST_SPOT_PX: Final = 3


def colour_asked(words: str) -> tuple[Colour, tuple[str, str | None] | None]:
    """The colour that words mean, and how strips of it are called.

    Returns
    -------
    Colour
        The middle of it.
    tuple of str, or None
        The ISCC-NBS level 2 name and the value before it, or None; where the words are one.

    Raises
    ------
    UsageError
        If they name no colour.
    """
    colour = colour_of_words(words)
    if colour is None:
        msg = f'"{words}" is no colour that is known.'
        raise UsageError(msg, hint='Write everyday words, "dark red", or "#7a1f2b".')
    plain = " ".join(words.lower().replace("grey", "gray").split())
    value, _, name = plain.partition(" ")
    if plain in NAMES:
        return colour, (plain, None)
    if value in ("light", "medium", "dark") and name in NAMES:
        return colour, (name, value)
    return colour, None


def colour_at(photo: Photo, x_px: float, y_px: float) -> Colour:
    """The colour of a spot in a photo, as strips of it would read in that light.

    Raises
    ------
    UsageError
        If there is no such spot.
    """
    width, height = photo.size_px
    if not (0 <= x_px < width and 0 <= y_px < height):
        msg = (
            f"There is no spot {x_px:g},{y_px:g} in {photo.name}: it has {width} × {height} pixels."
        )
        raise UsageError(msg)
    radius = max(LEAST_SPOT_PX, round(SPOT_SHARE * max(width, height)))
    x, y = round(x_px), round(y_px)
    spot = photo.pixels[max(0, y - radius) : y + radius + 1, max(0, x - radius) : x + radius + 1]
    return colour_of_linear_rgb(np.asarray(light_table()[spot]).reshape(-1, 3).mean(axis=0))
