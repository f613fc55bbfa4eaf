"""What comes of a measured cloth: strips counted, pieces planned, rugs reckoned, the report."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from plaidcut.cutting.cuts import Cut, cut_table
from plaidcut.cutting.yields import WANDER_TORN_MM, Yields, yields_of
from plaidcut.photo import Photo
from plaidcut.stripes.measurement import Measurement
from plaidcut.stripes.runs import parse_run
from plaidcut.units import Units

if TYPE_CHECKING:
    from plaidcut.cutting.both_ways import Plan, WhatToPlan
    from plaidcut.cutting.garment import Garment, GarmentStrips, WhatToCut
    from plaidcut.reports.full_report import FullReport
    from plaidcut.rug.answer import Rug, RugAnswer
    from plaidcut.rug.coverage import Multiplier
    from plaidcut.rug.gaps import Gap, GapRows, WhatToFill


def yields(
    measurement: Measurement,
    *,
    cuts: Sequence[Cut] | None = None,
    keep: Sequence[str] = (),
    section: str | None = None,
    wander_mm: float = WANDER_TORN_MM,
) -> Yields:
    """Count the strips of every band, and say what every cut makes of every stripe.

    Parameters
    ----------
    measurement
        The cloth.
    cuts
        The cuts to answer for; those of the stepped table unless given.
    keep
        Stripes to keep whole, in place of the bold ones: ``"U4"`` or ``"U3-U5"``.
    section
        A part of the cloth to count in: ``"U3-U7"``.
    wander_mm
        How far an edge may stray from where it was aimed.

    Raises
    ------
    UsageError
        If there are no such bands.
    """
    return yields_of(
        measurement,
        cut_table().cuts if cuts is None else cuts,
        keep=[parse_run(text, measurement) for text in keep],
        section=None if section is None else parse_run(section, measurement),
        wander_mm=wander_mm,
    )


def plan(measurement: Measurement, what: WhatToPlan) -> Plan:
    """Plan where to tear and cut a piece, for strips of each thread direction.

    Parameters
    ----------
    measurement
        The cloth.
    what
        The piece, and what is wanted of it.

    Raises
    ------
    UsageError, BadLength
        If a wish or a place can't be read.
    NothingFits
        If no plan fits what was asked.
    """
    from plaidcut.cutting.both_ways import plan_both_ways

    return plan_both_ways(measurement, what)


def garment(measurement: Measurement, pieces: Garment, what: WhatToCut) -> GarmentStrips:
    """Count and measure the strips of a whole garment, in each direction and cut.

    Parameters
    ----------
    measurement
        Its cloth.
    pieces
        Its pieces; `plaidcut.cutting.garment_file` reads them.
    what
        Cuts and wishes.

    Raises
    ------
    UsageError, BadLength
        If a wish or a place can't be read.
    NothingFits
        If no direction can be cut.
    """
    from plaidcut.cutting.garment_strips import strips_of_garment

    return strips_of_garment(measurement, pieces, what)


def rows(gap: Gap, what: WhatToFill, multipliers: Sequence[Multiplier]) -> GapRows:
    """Say which cuts fill a gap in whole rows.

    Parameters
    ----------
    gap
        Its width.
    what
        What it is, and the cuts at hand.
    multipliers
        How much wool each of those cuts takes.

    Raises
    ------
    NothingFits
        If no row fits.
    """
    from plaidcut.rug.gaps import rows_of_gap

    return rows_of_gap(gap, what, multipliers)


def rug(planned: Rug, cuts: Sequence[Cut], multiplier: Callable[[Cut], Multiplier]) -> RugAnswer:
    """Say whether the wool at hand covers a rug, and what would mend it if it doesn't.

    Parameters
    ----------
    planned
        The rug's areas and supplies.
    cuts
        The cuts there are.
    multiplier
        How much wool a cut takes.
    """
    from plaidcut.rug.answer import answer

    return answer(planned, cuts, multiplier)


def report(
    measurement: Measurement,
    counted: Yields,
    planned: Plan,
    *,
    photo: Photo | None,
    own: Cut,
    units: Units = Units.IN,
    made: str = "",
) -> FullReport:
    """Put the whole report together: words, tables and pictures.

    Parameters
    ----------
    measurement, counted, planned
        The cloth, its strips in every cut, the plan of a piece.
    photo
        Its photo; without it there are no pictures of the cloth itself.
    own
        Her cut, one of those counted.
    units
        The unit that lengths are shown in.
    made
        When it was made, in words: the same input gives the same report.
    """
    from plaidcut.reports.full_report import full_report

    return full_report(measurement, counted, planned, photo=photo, own=own, units=units, made=made)
