"""Flecks: how unevenly plain cloth is coloured, from yarn to yarn and along them.

A tweed has bits of other colours spun in, which show as specks a yarn wide and a few long; a
heather's yarns are mixed of differently dyed fibres. Both are looked for once single threads are
blurred away, and before light and folds count.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.cloth.patches import Patch
from plaidcut.stripes.profile import lab_of

FINE_MM: Final = 0.8
"""Standard deviation of the blur under which threads vanish ..."""
WIDE_MM: Final = 3.0
"""... and of that whose rest is light."""
PLAIN_COLOUR: Final = 0.44
"""Spread of a* and b* up to which cloth is plain: drawn plain cloth has up to 0.39 ..."""
HEATHER_COLOUR: Final = 0.5
"""... and drawn heathers from 0.55."""
SPECK_COLOUR, SPECK_LIGHT = 1.5, 0.85
"""Spread of a* and b*, or of L*, from which there are specks: drawn tweeds have 1.1 or more of the
latter, heathers up to 1.2 and 0.6."""
PLAIN_LIGHT: Final = 0.6
"""Spread of L* up to which cloth is plain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flecks:
    """How uneven the cloth is."""

    light: float
    """Spread of L*, standard deviation."""
    colour: float
    """Spread of a* and b* together."""

    @property
    def specked(self) -> bool:
        """Whether bits of other colours show."""
        return self.colour >= SPECK_COLOUR or self.light >= SPECK_LIGHT

    @property
    def mixed(self) -> bool:
        """Whether the yarns are at least of mixed fibres."""
        return self.specked or self.colour >= HEATHER_COLOUR

    @property
    def plain(self) -> bool:
        """Whether neither shows."""
        return self.colour <= PLAIN_COLOUR and self.light <= PLAIN_LIGHT


def flecks(patches: Sequence[Patch]) -> Flecks | None:
    """How uneven most of the patches are; None without any."""
    import cv2

    if not patches:
        return None
    spreads = []
    for patch in patches:
        fine, wide = (
            lab_of(np.asarray(cv2.GaussianBlur(patch.light, (0, 0), std / patch.step_mm)))
            for std in (FINE_MM, WIDE_MM)
        )
        spreads.append((fine - wide).std(axis=(0, 1)))
    light, a, b = np.median(spreads, axis=0).tolist()
    return Flecks(light=light, colour=float(np.hypot(a, b)))
