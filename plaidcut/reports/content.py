"""What a report says, whatever it is written on: terminal, CSV, page or paper.

Words and numbers are settled here once; the writers only lay them out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.yields import Section, State, StripCount, StripeCut, StripeYield, Yields
from plaidcut.errors import Caution
from plaidcut.scale.plane import Method, Scale
from plaidcut.stripes.measurement import (
    Band,
    Direction,
    Kind,
    Measurement,
    ThreadSystem,
    Washed,
)
from plaidcut.units import (
    MM_PER_INCH,
    RULER_DENOMINATOR,
    Units,
    format_length,
    format_measured,
    ruler_inches,
)

COVERAGE: Final = 2.0
"""Standard uncertainties in a ± that people read: it holds 19 times in 20."""

_BLADES: Final = (
    "Blades: a cutter's wheels and a rotary blade cut like razors. Keep fingers back from the "
    "edge, close a rotary blade each time you put it down, and keep both from children."
)

_DUST: Final = (
    "Dust: cutting and tearing wool makes lint that irritates the airways. Vacuum it up, "
    "don't blow or sweep it."
)

SAFETY: Final = (_BLADES, _DUST)
"""Rotary blades and wool dust as trade and work-safety pages have it (facts section 5);
fingers back is common practice."""

NOT_ADDED: Final = (
    "Each count is for that band alone: it can't be added to its neighbours', as a strip "
    "that reaches over an edge is wanted by both."
)

HOW_COUNTED: Final = (
    '"3-4" reads: count on 3, maybe 4. You can count on those that lie inside the band '
    "however the edge wanders; the others may come out with a sliver of the next band."
)

HOW_KEPT: Final = (
    'How many strips of each cut keep it whole in one repeat. "2t" is tight: 2 just hold it, '
    'if they are cut with care. "-" is split: the stripe is wider than the strip.'
)

_SCALE_WORDS: Final = {
    Method.CARD: "the printed card",
    Method.RECTANGLE: "a rectangle of known size",
    Method.RULER: "a ruler",
    Method.POINTS: "two points",
    Method.GIVEN: "pixels per millimetre, as given",
    Method.HAND: "your own ruler",
}

_ORDER: Final = {Direction.UP: "left to right", Direction.ACROSS: "top to bottom"}

_KIND_WORDS: Final = {
    Kind.SOLID: "plain cloth",
    Kind.STRIPE: "a stripe",
    Kind.CHECK: "a check",
    Kind.PLAID: "a plaid",
    Kind.HOUNDSTOOTH: "a houndstooth",
    Kind.HERRINGBONE: "a herringbone",
    Kind.TWEED: "a tweed",
    Kind.UNSURE: "a cloth of a kind that isn't sure",
}

_WASHED_WORDS: Final = {
    Washed.YES: "Measured after washing.",
    Washed.NO: (
        "Measured before washing: it will shrink, and every count with it. Wash and dry the "
        "cloth and measure it again before you cut."
    ),
    Washed.UNKNOWN: (
        "Not said whether it was washed. If it wasn't, wash and dry it and measure it again "
        "before you cut: wool shrinks, and every count with it."
    ),
}


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
        about=_about(measurement),
        systems=(
            _system_part(measurement, measurement.up, yields, units),
            _system_part(measurement, measurement.across, yields, units),
        ),
        cuts=yields.cuts if yields else (),
        own=tuple(_own_cut(cut, measurement, yields, units) for cut in own) if yields else (),
        section=_section_part(yields.section, measurement, units)
        if yields and yields.section
        else None,
        cautions=measurement.cautions,
        safety=SAFETY if yields else (),
    )


def run_label(ids: Sequence[str], system: ThreadSystem) -> str:
    """A band or a run of bands with its colours: ``yellow (U4)``, ``red, white (U3-U4)``."""
    colours = ", ".join(system.band(band_id).yarn.name for band_id in ids)
    return f"{colours} ({'-'.join([ids[0], ids[-1]]) if len(ids) > 1 else ids[0]})"


def kept_count(each: StripeCut) -> str:
    """Whole strips a repeat for a narrow column: ``2``, ``2t`` (tight), ``-`` (split).

    Without a repeat the state alone: ``yes``, ``t``, ``-``.
    """
    if each.state is State.SPLIT:
        return "-"
    tight = "t" if each.state is State.TIGHT else ""
    if each.whole_per_repeat is None:
        return tight or "yes"
    return f"{round(each.whole_per_repeat, 2):g}{tight}"


def short_count(strip: StripCount) -> str:
    """A count for a narrow column: ``3``, ``3-4`` (count on 3, maybe 4), ``0``."""
    if strip.count > strip.sure:
        return f"{strip.sure}-{strip.count}"
    return str(strip.sure)


def _title(measurement: Measurement) -> str:
    return "Widths typed by hand" if measurement.photo is None else measurement.photo.name


def _about(measurement: Measurement) -> tuple[str, ...]:
    cloth, sentences = measurement.cloth, []
    kind = f"This is {_KIND_WORDS[cloth.kind]}"
    if cloth.kind is not Kind.UNSURE and cloth.kind_confidence < 0.75:
        kind = f"This may be {_KIND_WORDS[cloth.kind]}"
    sentences.append(f"{kind}.")
    if measurement.scale is None:
        sentences.append("Widths are as you took them with a ruler.")
    else:
        sentences.append(_scale_words(measurement.scale))
    sentences.append(_WASHED_WORDS[cloth.washed])
    if measurement.warp is not None:
        sentences.append(
            f"The threads running {_runs(measurement.warp)} are the warp (lengthwise)."
        )
    return tuple(sentences)


def _scale_words(scale: Scale) -> str:
    percent = 100 * COVERAGE * scale.relative_std
    tilt = "" if scale.tilt_deg is None else f"; the camera was tilted {scale.tilt_deg:.0f}°"
    return f"Scale from {_SCALE_WORDS[scale.method]}, to ±{percent:.1f} %{tilt}."


def _runs(direction: Direction) -> str:
    return "up and down" if direction is Direction.UP else "from side to side"


def _system_part(
    measurement: Measurement, system: ThreadSystem, yields: Yields | None, units: Units
) -> SystemPart:
    strips = {each.band.id: each.strips for each in yields.bands} if yields else {}
    rows = tuple(_band_row(band, system, strips.get(band.id, ()), units) for band in system.bands)
    cuts = yields.cuts if yields and system.repeat_mm else ()
    runs = _runs(system.direction)
    return SystemPart(
        direction=system.direction,
        heading=f"Bands running {runs}, {_ORDER[system.direction]}",
        about=_system_about(measurement, system, units),
        rows=rows,
        counts=_count_rows(rows),
        stripes_heading=f"Stripes running {runs}, and which cut keeps them whole",
        plain=tuple((system.repeat_mm or 0.0) / cut.width_mm for cut in cuts),
        stripes=tuple(
            _stripe_part(each, system, units)
            for each in (yields.stripes if yields else ())
            if each.direction is system.direction
        ),
        striped=system.striped,
    )


def _system_about(measurement: Measurement, system: ThreadSystem, units: Units) -> tuple[str, ...]:
    if not system.striped:
        return (_plain_words(measurement, system),)
    sentences = []
    if system.repeat_mm is None:
        sentences.append("No repeat was seen: these are all the bands in the photo.")
    else:
        std_mm = None if system.repeat_std_mm is None else COVERAGE * system.repeat_std_mm
        length = format_measured(system.repeat_mm, std_mm, units)
        mirrored = ", in an order that reads the same from either end" if system.mirrored else ""
        sentences.append(
            f"They repeat every {length} ({ruler_inches(system.repeat_mm)} in){mirrored}."
        )
    way = f"Strips of them are cut {_runs(system.direction)}"
    if measurement.warp is not None:
        along = measurement.warp is system.direction
        way += f", {'lengthwise' if along else 'crosswise'} in the cloth"
    sentences.append(f"{way}.")
    return tuple(sentences)


def _plain_words(measurement: Measurement, system: ThreadSystem) -> str:
    own = system.bands[0]
    if any(other.striped for other in measurement.systems):
        flecks = "flecked by the stripes that cross them"
        return f"No stripes this way: strips of these threads are {own.yarn.spoken}, {flecks}."
    return f"No stripes this way: strips read {own.reads.spoken}."


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


def _count_rows(rows: Sequence[BandRow]) -> tuple[CountRow, ...]:
    """A row for each colour and count, in the order of their first bands."""
    alike: dict[tuple[str, ...], list[BandRow]] = {}
    for row in rows:
        if row.strips:
            counts = [short_count(strip) for strip in row.strips]
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
        advice=_advice(stripe, units),
        stripe=stripe,
    )


def _advice(stripe: StripeYield, units: Units) -> str:
    if stripe.best_cut is not None:
        return f"{stripe.best_cut.label} is the narrowest cut that keeps it whole."
    step_mm = MM_PER_INCH / RULER_DENOMINATOR if units is Units.IN else 1.0
    at_least_mm = math.ceil((stripe.hand_width_mm or 0.0) / step_mm) * step_mm
    width = format_length(at_least_mm, units)
    return f"No cut keeps it whole: cut or tear it by hand, at least {width} wide."


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
            f"{_kept_words(each, units, several=len(stripe.bands) > 1)}"
            for stripe in stripes
            for each in stripe.cuts
            if each.cut == cut
        ),
    )


def _kept_words(each: StripeCut, units: Units, *, several: bool) -> str:
    if each.state is State.SPLIT:
        if not each.all_stripe or several:
            return "split"
        strips = f"{each.all_stripe} strips" if each.all_stripe > 1 else "1 strip"
        return f"split; count on {strips} of nothing but stripe"
    margin = (
        f"{ruler_inches(each.margin_mm, denominator=64)} in"
        if units is Units.IN
        else f"{each.margin_mm:.1f} mm"
    )
    beside = (
        "edge to edge" if margin.startswith(("0 ", "0.0")) else f"{margin} of ground on each side"
    )
    return f"kept {each.state.value}, {beside}"
