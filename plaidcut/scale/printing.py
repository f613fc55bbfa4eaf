"""What a printer makes of a length: the check bars on the card's page, and the correction."""

from __future__ import annotations

from typing import Final

from plaidcut.errors import UsageError
from plaidcut.units import MM_PER_INCH

CHECK_BAR_MM: Final = 100.0
"""Length of the millimetre check bar that is printed across the page and down it."""

CHECK_BAR_IN: Final = 4.0
"""Length of the inch check bar beside it."""

PRINTED_RANGE: Final = (0.88, 1.1)
"""What a printer can have made of a length: A4 fitted to Letter within 6 mm margins is 0.90
(derived from paper sizes); anything beyond is a misreading."""


def printed_ratio(measured_mm: float, *, inch_bar: bool = False) -> float:
    """How large a printer drew, from the check bar as it came out of it.

    Parameters
    ----------
    measured_mm
        Length of the printed bar.
    inch_bar
        True when the 4 in bar was measured, False for the 100 mm bar.

    Raises
    ------
    UsageError
        If no printer would have made that of the bar.

    Examples
    --------
    >>> printed_ratio(97.0)
    0.97
    """
    bar_mm = CHECK_BAR_IN * MM_PER_INCH if inch_bar else CHECK_BAR_MM
    ratio = measured_mm / bar_mm
    least, most = PRINTED_RANGE
    if not least <= ratio <= most:
        bar = f"{CHECK_BAR_IN:g} in" if inch_bar else f"{CHECK_BAR_MM:g} mm"
        msg = f"The {bar} check bar can't have been printed {measured_mm:.1f} mm long."
        raise UsageError(
            msg,
            hint="Measure the whole bar from end to end: the 100 mm bar in millimetres "
            "or the 4 in bar in inches.",
        )
    return ratio
