"""What a report says, whatever it is written on: terminal, CSV, page or paper.

Words and numbers are settled here once; the writers only lay them out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.strips import StripCount
from plaidcut.cutting.yields import Section, StripeYield, Yields
from plaidcut.errors import Caution
from plaidcut.reports.texture_words import texture_words
from plaidcut.reports.words import (
    COVERAGE,
    ORDER,
    SAFETY,
    about_cloth,
    about_system,
    advice,
    kept_words,
    run_label,
    short_count,
)
from plaidcut.stripes.measurement import Band, Direction, Measurement, ThreadSystem
from plaidcut.units import Units, format_length, format_measured, ruler_inches


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRow:
    """One band, ready to be shown."""

    band: Band
    label: str
    """``yellow (U4)``."""
    width: str
    """In her unit, with its ±; for a band that the photo cuts off, "more than ..."."""
    inches: str
    """The nearest graduation of an inch ruler, without the unit."""
    reads: str
    """How a strip of it reads: ``dark brown``."""
    strips: tuple[StripCount, ...]
    """One of each cut; none where the width isn't known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CountRow:
    """The strips of a band; a mirrored sett's twins, which give the same, are one row."""

    label: str
    """``yellow (U5, U7)``."""
    hex: str
    reads: str
    reads_hex: str
    strips: tuple[StripCount, ...]
    """One of each cut, from each of the bands."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StripePart:
    """One stripe, ready to be shown."""

    label: str
    """``white, green, white (U5-U7)``."""
    hexes: tuple[str, ...]
    width: str
    inches: str
    advice: str
    """Which cut keeps it whole, or how wide to cut by hand."""
    stripe: StripeYield


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemPart:
    """One thread direction, ready to be shown."""

    direction: Direction
    heading: str
    about: tuple[str, ...]
    """Sentences on the repeat, and on which way its strips run."""
    rows: tuple[BandRow, ...]
    counts: tuple[CountRow, ...]
    stripes_heading: str
    plain: tuple[float, ...]
    """Strips of each cut that a repeat gives, cut edge to edge; none without a repeat."""
    stripes: tuple[StripePart, ...]
    striped: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionPart:
    """The section that was asked for, ready to be shown."""

    label: str
    width: str
    section: Section


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnCut:
    """Her own cut, first of all."""

    cut: Cut
    heading: str
    stripes: tuple[str, ...]
    """A sentence on every stripe."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportContent:
    """All that a report says."""

    title: str
    about: tuple[str, ...]
    """Sentences on the cloth, the scale and washing."""
    systems: tuple[SystemPart, SystemPart]
    cuts: tuple[Cut, ...]
    """Narrowest first; none where yields weren't asked for."""
    own: tuple[OwnCut, ...]
    section: SectionPart | None
    texture: tuple[str, ...]
    """Sentences on what cuts make of a texture; none where yields weren't asked for."""
    cautions: tuple[Caution, ...]
    safety: tuple[str, ...]
    """What to beware of; none where nothing is going to be cut."""


def report_content(
    measurement: Measurement,
    yields: Yields | None = None,
    *,
    units: Units = Units.IN,
    own: Sequence[Cut] = (),
) -> ReportContent:
    """Put a measurement, and what it yields, into words.

    Parameters
    ----------
    measurement
        The cloth.
    yields
        Its strips; without them the report is about the bands only.
    units
        The unit that lengths are shown in; an inch ruler's fraction stands besides.
    own
        Her own cuts, of those that the yields answer for: they come first.
    """
    return ReportContent(
        title=_title(measurement),
        about=about_cloth(measurement),
        systems=(
            _system_part(measurement, measurement.up, yields, units),
            _system_part(measurement, measurement.across, yields, units),
        ),
        cuts=yields.cuts if yields else (),
        own=tuple(_own_cut(cut, measurement, yields, units) for cut in own) if yields else (),
        section=_section_part(yields.section, measurement, units)
        if yields and yields.section
        else None,
        texture=texture_words(measurement, yields.texture, own=own) if yields else (),
        # whether it was washed is said at the head already
        cautions=tuple(c for c in measurement.cautions if c.code != "washing-unknown"),
        safety=SAFETY if yields else (),
    )


def _title(measurement: Measurement) -> str:
    return "Widths typed by hand" if measurement.photo is None else measurement.photo.name


def _system_part(
    measurement: Measurement, system: ThreadSystem, yields: Yields | None, units: Units
) -> SystemPart:
    strips = {each.band.id: each.strips for each in yields.bands} if yields else {}
    about = about_system(measurement, system, units)
    if yields is None and system.stripes:
        labels = [run_label(stripe.bands, system) for stripe in system.stripes]
        about = (*about, f"Bold: {'; '.join(labels)}.")
    rows = tuple(_band_row(band, system, strips.get(band.id, ()), units) for band in system.bands)
    cuts = yields.cuts if yields and system.repeat_mm else ()
    runs = system.direction.spoken
    return SystemPart(
        direction=system.direction,
        heading=f"Bands running {runs}, {ORDER[system.direction]}",
        about=about,
        rows=rows,
        counts=count_rows(rows),
        stripes_heading=f"Stripes running {runs}, and which cut keeps them whole",
        plain=tuple((system.repeat_mm or 0.0) / cut.width_mm for cut in cuts),
        stripes=tuple(
            _stripe_part(each, system, units)
            for each in (yields.stripes if yields else ())
            if each.direction is system.direction
        ),
        striped=system.striped,
    )


def _band_row(
    band: Band, system: ThreadSystem, strips: tuple[StripCount, ...], units: Units
) -> BandRow:
    if band.partial:
        width = f"over {format_length(band.width_mm, units)}"
    else:
        width = format_measured(band.width_mm, COVERAGE * band.width_std_mm, units)
    return BandRow(
        band=band,
        label=run_label([band.id], system),
        width=width,
        inches=ruler_inches(band.width_mm),
        reads=band.reads.spoken,
        strips=strips,
    )


def count_rows(rows: Sequence[BandRow], *, cut: Cut | None = None) -> tuple[CountRow, ...]:
    """A row for each colour and count, of all cuts or of one, in the order of first bands."""
    alike: dict[tuple[str, ...], list[BandRow]] = {}
    for row in rows:
        if row.strips:
            counts = [short_count(strip) for strip in row.strips if cut in (None, strip.cut)]
            alike.setdefault((row.band.yarn.name, row.reads, *counts), []).append(row)
    return tuple(
        CountRow(
            label=f"{same[0].band.yarn.name} ({', '.join(row.band.id for row in same)})",
            hex=same[0].band.yarn.hex,
            reads=same[0].reads,
            reads_hex=same[0].band.reads.hex,
            strips=same[0].strips,
        )
        for same in alike.values()
    )


def _stripe_part(stripe: StripeYield, system: ThreadSystem, units: Units) -> StripePart:
    return StripePart(
        label=run_label(stripe.bands, system),
        hexes=tuple(system.band(band_id).yarn.hex for band_id in stripe.bands),
        width=format_measured(stripe.width_mm, COVERAGE * stripe.width_std_mm, units),
        inches=ruler_inches(stripe.width_mm),
        advice=advice(stripe, units),
        stripe=stripe,
    )


def _section_part(section: Section, measurement: Measurement, units: Units) -> SectionPart:
    system = measurement.system(section.direction)
    first, last = section.bands[0], section.bands[-1]
    ends = f"{run_label([first], system)} to {run_label([last], system)}"
    return SectionPart(
        label=ends if len(section.bands) > 1 else run_label([first], system),
        width=format_measured(section.width_mm, COVERAGE * section.width_std_mm, units),
        section=section,
    )


def _own_cut(cut: Cut, measurement: Measurement, yields: Yields | None, units: Units) -> OwnCut:
    stripes = yields.stripes if yields else ()
    width = format_length(cut.width_mm, units)
    return OwnCut(
        cut=cut,
        heading=f"Your cut, {cut.label} ({width})" if cut.numbered else f"Your cut, {cut.label}",
        stripes=tuple(
            f"{run_label(stripe.bands, measurement.system(stripe.direction))}: "
            f"{kept_words(each, units, several=len(stripe.bands) > 1)}"
            for stripe in stripes
            for each in stripe.cuts
            if each.cut == cut
        ),
    )
