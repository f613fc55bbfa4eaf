"""What kind of cloth the two thread directions make.

====== ======================================================================
solid  no stripes either way
stripe stripes one way only
check  stripes both ways, each repeat two bands: gingham, panes, buffalo check
plaid  stripes both ways, and more than two bands to a repeat
unsure none of these with confidence
====== ======================================================================

Confidence starts at 0.95 and is multiplied for each doubt:

- a system with stripes of which no repeat was seen: 0.7;
- stripes that barely stand out, the strongest step between neighbours in a system under
  CIEDE2000 6: 0.6 (a tweed's or a herringbone's unevenness looks so);
- repeats under 8 mm both ways: 0.5, as a houndstooth or shepherd's check, whose weave makes
  the figure, has bands like a small check's.

Under 0.5 the kind is ``unsure``. Houndstooth, herringbone and tweed are told by the weave,
not by the bands, and never come from here. The figures were chosen here; they have no source.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from plaidcut.stripes.measurement import Kind, ThreadSystem
from plaidcut.stripes.runs import differences

SURE: Final = 0.95
NO_REPEAT: Final = 0.7
FAINT: Final = 0.6
FAINT_DIFFERENCE: Final = 6.0
"""CIEDE2000 under which the strongest step in a system is faint."""
SMALL: Final = 0.5
SMALL_REPEAT_MM: Final = 8.0
"""Houndstooth, 4 + 4 threads at 36 an inch, repeats in 5.6 mm (facts section 10, derived)."""
LEAST_CONFIDENCE: Final = 0.5


def kind_of_cloth(up: ThreadSystem, across: ThreadSystem) -> tuple[Kind, float]:
    """The kind of cloth, and how sure that is, 0..1."""
    striped = [system for system in (up, across) if system.striped]
    if not striped:
        return Kind.SOLID, SURE
    confidence = SURE
    for system in striped:
        if system.repeat_mm is None:
            confidence *= NO_REPEAT
        if _strongest_step(system) < FAINT_DIFFERENCE:
            confidence *= FAINT
    kind = _kind_by_bands(striped)
    if kind is not Kind.STRIPE and all(
        system.repeat_mm is not None and system.repeat_mm < SMALL_REPEAT_MM for system in striped
    ):
        confidence *= SMALL
    confidence = round(confidence, 3)
    return (kind if confidence >= LEAST_CONFIDENCE else Kind.UNSURE), confidence


def _kind_by_bands(striped: list[ThreadSystem]) -> Kind:
    if len(striped) == 1:
        return Kind.STRIPE
    return Kind.CHECK if all(len(system.bands) == 2 for system in striped) else Kind.PLAID


def _strongest_step(system: ThreadSystem) -> float:
    """CIEDE2000 of the strongest step between neighbours."""
    apart = differences(system.bands, system.bands)
    return float(np.diagonal(apart, offset=1).max())
