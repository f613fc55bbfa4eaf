"""Finer words for checks, stripes and tweeds, where what was measured meets what is published.

The sizes are those of facts section 10; each says where it has none.
"""

from __future__ import annotations

from typing import Final

from plaidcut.stripes.flecks import Flecks
from plaidcut.stripes.measurement import Band, Kind, ThreadSystem
from plaidcut.units import MM_PER_INCH

ALIKE: Final = 0.2
"""Share by which bands that count as equal may differ; ginghams are sold 8 checks by 7 (T11)."""
GINGHAM_MM: Final = (MM_PER_INCH / 16, MM_PER_INCH)
"""Checks of 16 to the inch (T10) up to an inch, the last from memory."""
BUFFALO_MM: Final = (MM_PER_INCH, 3 * MM_PER_INCH)
"""Squares of 1 to 3 in, from memory."""
SIZE_TOLERANCE: Final = 0.1
"""Share by which cloth misses the size that it is sold as."""
THIN: Final = 0.25
"""Share of a pane that its line may be and still be a thin line (chosen here)."""
PANE_MM: Final = 1.5 * MM_PER_INCH
"""A windowpane's panes are 1.5 x 1.5 in or more."""
GRAPH_MM: Final = (MM_PER_INCH / 4 * 0.75, MM_PER_INCH / 4 * 1.25)
"""A graph check's panes are about 1/4 in."""
PIN_MM: Final = MM_PER_INCH / 18
PIN_APART_MM: Final = (MM_PER_INCH / 10, MM_PER_INCH)
"""T14: a pin stripe is at most 1/18 in wide, spaced 1/10 to 1 in; inclusive."""
HAIR_MM: Final = 1e-6


def finer_word(kind: Kind, up: ThreadSystem, across: ThreadSystem) -> str | None:
    """The finer word for a check or a stripe; None where none fits."""
    if kind is Kind.STRIPE:
        striped = up if up.striped else across
        return "pin stripe" if is_pin_stripe(striped) else None
    if kind is not Kind.CHECK or up.repeat_mm is None or across.repeat_mm is None:
        return None
    if all(len(system.bands) == 2 for system in (up, across)):
        return _of_two_bands(up, across)
    return "tattersall" if is_tattersall(up, across) else None


def word_for_tweed(seen: Flecks | None) -> str | None:
    """Heather, for a tweed of mixed fibres without specks."""
    return "heather" if seen is not None and not seen.specked else None


def is_pin_stripe(system: ThreadSystem) -> bool:
    """Whether a system's stripes are pin stripes (T14)."""
    if len(system.bands) != 2 or system.repeat_mm is None:
        return False
    line, ground = sorted(system.bands, key=lambda band: band.width_mm)
    low, high = PIN_APART_MM
    return line.width_mm <= PIN_MM + HAIR_MM and low - HAIR_MM <= ground.width_mm <= high + HAIR_MM


def is_tattersall(up: ThreadSystem, across: ThreadSystem) -> bool:
    """Whether thin lines stand on a light ground both ways, of two colours at least one way."""
    colours = [_line_colours(system) for system in (up, across)]
    return all(colours) and max(len(each) for each in colours) > 1


def _line_colours(system: ThreadSystem) -> set[str]:
    """Colours of thin lines that stand on one light ground; none where that isn't so."""
    bands = system.bands
    if len(bands) < 2 or len(bands) % 2 or system.repeat_mm is None:
        return set()
    grounds, lines = bands[0::2], bands[1::2]
    if sum(b.width_mm for b in grounds) < sum(b.width_mm for b in lines):
        grounds, lines = lines, grounds
    thin = max(b.width_mm for b in lines) <= THIN * min(b.width_mm for b in grounds)
    one_light = {(b.yarn.name, b.yarn.value) for b in grounds} == {(grounds[0].yarn.name, "light")}
    return {b.yarn.name for b in lines} if thin and one_light else set()


def out_of_square(up: ThreadSystem, across: ThreadSystem) -> float | None:
    """How many times as long as it is wide a check is, or the other way about, at least 1.

    None where there is no repeat both ways.

    Examples
    --------
    8 checks to the inch one way and 7 the other are 1.143 times as long as wide (T11).
    """
    if up.repeat_mm is None or across.repeat_mm is None:
        return None
    return max(up.repeat_mm, across.repeat_mm) / min(up.repeat_mm, across.repeat_mm)


def _of_two_bands(up: ThreadSystem, across: ThreadSystem) -> str | None:
    pairs = [sorted(system.bands, key=lambda band: band.width_mm) for system in (up, across)]
    if all(_equal(narrow, wide) for narrow, wide in pairs):
        widths = [(narrow.width_mm + wide.width_mm) / 2 for narrow, wide in pairs]
        light = any(band.yarn.value == "light" for pair in pairs for band in pair)
        if light:
            return "gingham" if _within(widths, GINGHAM_MM) else None
        return "buffalo check" if _within(widths, BUFFALO_MM) else None
    if all(line.width_mm <= THIN * pane.width_mm for line, pane in pairs):
        panes = [pane.width_mm for _, pane in pairs]
        if min(panes) >= PANE_MM * (1 - SIZE_TOLERANCE):
            return "windowpane"
        if GRAPH_MM[0] <= min(panes) and max(panes) <= GRAPH_MM[1]:
            return "graph check"
    return None


def _equal(narrow: Band, wide: Band) -> bool:
    return wide.width_mm - narrow.width_mm <= ALIKE * wide.width_mm


def _within(widths_mm: list[float], sizes_mm: tuple[float, float]) -> bool:
    low, high = sizes_mm[0] * (1 - SIZE_TOLERANCE), sizes_mm[1] * (1 + SIZE_TOLERANCE)
    return all(low <= width <= high for width in widths_mm)
