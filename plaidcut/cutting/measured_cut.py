"""What her own cutter really cuts, from a photo of its strips."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from typing import Final

from plaidcut.cutting.cuts import CutTable
from plaidcut.errors import NoCloth, UsageError
from plaidcut.loose.strips import LooseStrips
from plaidcut.units import told

LEAST_STRIPS: Final = 3
"""Strips that tell a cutter's width: one alone may be the odd one (chosen here)."""

MOST_APART_MM: Final = 0.5
"""Strips of one cut differ less, besides by what each is measured to (chosen here: the cuts lie
0.8 mm apart)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredCut:
    """The width that a cutter cuts."""

    name: str
    width_mm: float
    width_std_mm: float
    strips: int
    """How many strips told it."""


def measured_cut(name: str, loose: LooseStrips, table: CutTable) -> MeasuredCut:
    """Take the width of a cut from strips that are all of it.

    Parameters
    ----------
    name
        The cut's number, or a name of her own.
    loose
        The strips in a photo; odd ones are left out.
    table
        The cuts by the book, without her own widths.

    Raises
    ------
    NoCloth
        If fewer than :data:`LEAST_STRIPS` can be measured.
    UsageError
        If they aren't all of one cut, or are nearer to another one of the table.
    """
    even = [strip for strip in loose.strips if not strip.odd]
    if len(even) < LEAST_STRIPS:
        count = "1 strip" if len(even) == 1 else f"{len(even)} strips"
        msg = f"Only {count} could be measured without doubt; it takes {LEAST_STRIPS}."
        raise NoCloth(
            msg, hint="Lay more strips of that one cut flat and apart, and take the photo again."
        )
    widths = sorted(strip.width_mm for strip in even)
    own_std = median(strip.width_own_std_mm for strip in even)
    if widths[-1] - widths[0] > MOST_APART_MM + 2 * own_std:
        msg = (
            f"These strips aren't all of one cut: they are from {told(widths[0])} to "
            f"{told(widths[-1])} wide."
        )
        raise UsageError(msg, hint="Photograph the strips of one cut alone.")
    width = median(widths)
    nearest = min(table.cuts, key=lambda cut: abs(cut.width_mm - width))
    if nearest.name != name and any(cut.name == name for cut in table.cuts):
        msg = f"These strips are {told(width)} wide, nearer to a #{nearest.name} than to #{name}."
        hint = f'If your cutter does cut so, say it: --set "{name} = {width:.2f} mm".'
        raise UsageError(msg, hint=hint)
    std = median(strip.width_std_mm for strip in even)
    return MeasuredCut(name=name, width_mm=width, width_std_mm=std, strips=len(even))
