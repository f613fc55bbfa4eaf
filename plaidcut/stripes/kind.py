"""What kind of cloth it is: by its stripes, and by what its threads make of them.

=============== ==============================================================================
solid           no stripes either way, and evenly coloured
tweed           no stripes, and specked with other colours, or spun of mixed fibres (heather)
herringbone     a twill that turns round in columns, without stripes of another colour
stripe          stripes one way only
houndstooth     four dark threads and four light ones both ways, in 2/2 twill (up to five)
shepherds-check six to eight threads of either, both ways, in 2/2 twill
glen-check      blocks of two and two threads by turns with blocks of four and four, both ways
check           stripes both ways, each repeat two bands: gingham, panes, buffalo check; or thin
                lines of several colours on a light ground: tattersall
plaid           stripes both ways, and more than two bands to a repeat
unsure          none of these with confidence
=============== ==============================================================================

Confidence starts at 0.95 and is multiplied for each doubt:

- a system with stripes of which no repeat was seen: 0.7;
- stripes that barely stand out, the strongest step between neighbours in a system under
  CIEDE2000 6: 0.6 (a tweed's or a herringbone's unevenness looks so);
- repeats under 8 mm both ways, if single threads aren't told apart: 0.5, as a houndstooth or
  shepherd's check, whose weave makes the figure, has bands like a small check's;
- repeats under 20 mm both ways, or bands under 2.5 mm on the mean, whose threads weren't counted:
  0.75;
- a tweed whose threads aren't told apart, as a herringbone is as uneven: 0.75;
- cloth without stripes whose colours vary more than a plain one's and less than a heather's: 0.5;
- a small check, a glen check or a herringbone by how clearly its figure stands out: 0.8 to 1.

Under 0.5 the kind is ``unsure``. The figures were chosen here; they have no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.cloth.lattice import Structure
from plaidcut.stripes.finer import is_tattersall
from plaidcut.stripes.measurement import Kind, ThreadSystem
from plaidcut.stripes.runs import differences

if TYPE_CHECKING:
    from plaidcut.stripes.flecks import Flecks
    from plaidcut.stripes.texture import Texture

SURE: Final = 0.95
NO_REPEAT: Final = 0.7
FAINT: Final = 0.6
FAINT_DIFFERENCE: Final = 6.0
"""CIEDE2000 under which the strongest step in a system is faint."""
SMALL: Final = 0.5
SMALL_REPEAT_MM: Final = 8.0
"""Houndstooth, 4 + 4 threads at 36 an inch, repeats in 5.6 mm (facts section 10, derived)."""
UNCLEAR: Final = 0.75
HEATHER: Final = 0.8
IN_BETWEEN: Final = 0.5
HOUNDSTOOTH_THREADS: Final = 5
"""A houndstooth has four threads to a check, by some two; from six it is a shepherd's check
(facts section 10)."""
SHEPHERDS_THREADS: Final = 8
CLEAR_SWING: Final = 0.7
"""Swing of a herringbone's columns from which they are as clear as can be."""
LEAST_CONFIDENCE: Final = 0.5


def kind_of_cloth(
    up: ThreadSystem,
    across: ThreadSystem,
    texture: Texture | None = None,
    *,
    counted: bool = False,
) -> tuple[Kind, float]:
    """The kind of cloth, and how sure that is, 0..1.

    Without its texture it is told by its bands alone; ``counted`` then says that the threads of
    its checks were counted, and that it is no houndstooth.
    """
    systems = (up, across)
    if texture is not None:
        counted = texture.small is not None
    unclear = texture is not None and texture.small_unclear
    kind, confidence = _by_texture(systems, texture) or _by_bands(
        systems, counted=counted, unclear=unclear
    )
    confidence = round(confidence, 3)
    return (kind if confidence >= LEAST_CONFIDENCE else Kind.UNSURE), confidence


def _by_texture(
    systems: tuple[ThreadSystem, ThreadSystem], texture: Texture | None
) -> tuple[Kind, float] | None:
    """What the threads make; None where the bands decide."""
    if texture is None:
        return None
    striped = [system for system in systems if system.striped]
    small, columns = texture.small, texture.columns
    if small is not None:
        is_twill = small.structure is Structure.TWILL
        kind = _of_twill(max(small.threads)) if is_twill else Kind.CHECK
        return kind, SURE * _between(small.like, 0.5, 0.8)
    if texture.glen:
        return Kind.GLEN_CHECK, SURE
    if columns is not None and all(_strongest_step(each) < FAINT_DIFFERENCE for each in striped):
        return Kind.HERRINGBONE, SURE * _between(columns.swing, 0.35, CLEAR_SWING)
    if striped or texture.flecks is None:
        return None
    kind, confidence = _by_flecks(texture.flecks)
    # a herringbone whose threads aren't told apart is as uneven as a tweed
    unsure = kind is Kind.TWEED and texture.weave.structure is None
    return kind, confidence * UNCLEAR if unsure else confidence


def _of_twill(threads: int) -> Kind:
    """The check that so many threads make in 2/2 twill."""
    if threads <= HOUNDSTOOTH_THREADS:
        return Kind.HOUNDSTOOTH
    return Kind.SHEPHERDS_CHECK if threads <= SHEPHERDS_THREADS else Kind.CHECK


def _by_flecks(seen: Flecks) -> tuple[Kind, float]:
    """What cloth without stripes is by its colours' unevenness."""
    if seen.mixed:
        return Kind.TWEED, SURE if seen.specked else SURE * HEATHER
    return Kind.SOLID, SURE if seen.plain else SURE * IN_BETWEEN


def _between(value: float, low: float, high: float) -> float:
    """From 0.8 at ``low`` and below to 1 at ``high`` and above."""
    return float(np.interp(value, (low, high), (0.8, 1.0)))


def _by_bands(
    systems: tuple[ThreadSystem, ThreadSystem], *, counted: bool, unclear: bool
) -> tuple[Kind, float]:
    """What the bands tell; less surely where a small check's threads weren't counted."""
    striped = [system for system in systems if system.striped]
    if not striped:
        return Kind.SOLID, SURE
    confidence = SURE
    for system in striped:
        if system.repeat_mm is None:
            confidence *= NO_REPEAT
        if _strongest_step(system) < FAINT_DIFFERENCE:
            confidence *= FAINT
    kind = _kind_by_bands(striped)
    if not counted:
        small = all(s.repeat_mm is not None and s.repeat_mm < SMALL_REPEAT_MM for s in striped)
        if small and kind is not Kind.STRIPE:
            confidence *= SMALL
        elif unclear:
            confidence *= UNCLEAR
    return kind, confidence


def _kind_by_bands(striped: list[ThreadSystem]) -> Kind:
    if len(striped) == 1:
        return Kind.STRIPE
    two = all(len(system.bands) == 2 for system in striped)
    return Kind.CHECK if two or is_tattersall(striped[0], striped[1]) else Kind.PLAID


def _strongest_step(system: ThreadSystem) -> float:
    """CIEDE2000 of the strongest step between neighbours."""
    apart = differences(system.bands, system.bands)
    return float(np.diagonal(apart, offset=1).max())
