"""Numbers and findings in words, for every kind of report."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from plaidcut.cutting.strips import StripCount
from plaidcut.cutting.yields import State, StripeCut, StripeYield
from plaidcut.reports.weave_words import weave_words
from plaidcut.scale.plane import Method, Scale
from plaidcut.stripes.cautions import TOO_FINE
from plaidcut.stripes.corrections import ByHand, MoveStart
from plaidcut.stripes.measurement import Direction, Kind, Measurement, ThreadSystem, Washed
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

MOTHS: Final = (
    "Thrifted wool: wash it before it comes near other wool, and rip seams outdoors. Moths are "
    "killed by heat or by long deep cold; moth chemicals are poisons, so follow their labels and "
    "air the cloth outdoors before you cut it."
)
"""Trade and museum pages (facts section 5); the last part common practice."""

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

ORDER: Final = {Direction.UP: "left to right", Direction.ACROSS: "top to bottom"}

KIND_WORDS: Final = {
    Kind.SOLID: "plain cloth",
    Kind.STRIPE: "a stripe",
    Kind.CHECK: "a check",
    Kind.PLAID: "a plaid",
    Kind.HOUNDSTOOTH: "a houndstooth",
    Kind.SHEPHERDS_CHECK: "a shepherd's check",
    Kind.GLEN_CHECK: "a glen check",
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


_BY_HAND_WORDS: Final = {
    ByHand.NAME: "name",
    ByHand.EXTENT: "edges",
    ByHand.WIDTH: "width",
    ByHand.COLOUR: "colour",
    ByHand.READS: "reading",
}


def listed(words: Sequence[str]) -> str:
    """Words one after another: ``edges, width and colour``."""
    return " and ".join([*filter(None, [", ".join(words[:-1])]), words[-1]])


def run_label(ids: Sequence[str], system: ThreadSystem) -> str:
    """A band or a run of bands with its colours: ``yellow (U4)``, ``red, white (U3-U4)``."""
    colours = ", ".join(system.band(band_id).yarn.name for band_id in ids)
    return f"{colours} ({'-'.join([ids[0], ids[-1]]) if len(ids) > 1 else ids[0]})"


def short_count(strip: StripCount) -> str:
    """A count for a narrow column: ``3``, ``3-4`` (count on 3, maybe 4), ``0``."""
    if strip.count > strip.sure:
        return f"{strip.sure}-{strip.count}"
    return str(strip.sure)


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


def about_cloth(measurement: Measurement) -> tuple[str, ...]:
    """Sentences on the kind of cloth, the scale, washing, and which threads are the warp."""
    cloth, sentences = measurement.cloth, []
    kind = f"This is {KIND_WORDS[cloth.kind]}"
    if cloth.kind is not Kind.UNSURE and cloth.kind_confidence < 0.75:
        kind = f"This may be {KIND_WORDS[cloth.kind]}"
    sentences.append(f"{kind}, {cloth.word}." if cloth.word else f"{kind}.")
    sentences += weave_words(measurement)
    if measurement.scale is None:
        sentences.append("Widths are as you took them with a ruler.")
    else:
        sentences.append(_scale_words(measurement.scale))
    sentences.append(_WASHED_WORDS[cloth.washed])
    if measurement.warp is not None:
        sentences.append(
            f"The threads running {measurement.warp.spoken} are the warp (lengthwise)."
        )
    if measurement.corrections:
        sentences.append(_corrected_words(measurement))
    return tuple(sentences)


def _corrected_words(measurement: Measurement) -> str:
    """Which bands were put right by hand, and what of them."""
    told: dict[tuple[Direction, str, tuple[ByHand, ...]], list[str]] = {}
    for system in measurement.systems:
        for band in system.bands:
            if band.by_hand:
                key = system.direction, band.yarn.name, band.by_hand
                told.setdefault(key, []).append(band.id)
    parts = [
        f"{name} ({', '.join(ids)}), its {listed([_BY_HAND_WORDS[how] for how in by_hand])}"
        for (_, name, by_hand), ids in told.items()
    ]
    if any(isinstance(each, MoveStart) for each in measurement.corrections):
        parts.append("where the repeat starts")
    return f"Put right by hand: {'; '.join(parts)}."


def _scale_words(scale: Scale) -> str:
    percent = 100 * COVERAGE * scale.relative_std
    tilt = "" if scale.tilt_deg is None else f"; the camera was tilted {scale.tilt_deg:.0f}°"
    return f"Scale from {_SCALE_WORDS[scale.method]}, to ±{percent:.1f} %{tilt}."


def about_system(measurement: Measurement, system: ThreadSystem, units: Units) -> tuple[str, ...]:
    """Sentences on the repeat of a system, and on which way its strips are cut."""
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
    way = f"Strips of them are cut {system.direction.spoken}"
    if measurement.warp is not None:
        along = measurement.warp is system.direction
        way += f", {'lengthwise' if along else 'crosswise'} in the cloth"
    sentences.append(f"{way}.")
    return tuple(sentences)


def _plain_words(measurement: Measurement, system: ThreadSystem) -> str:
    own = system.bands[0]
    untold = TOO_FINE.format(system.direction.value) in {each.code for each in measurement.cautions}
    first = "Stripes too fine to be told" if untold else "No stripes this way"
    if any(other.striped for other in measurement.systems):
        flecks = "flecked by the stripes that cross them"
        return f"{first}: strips of these threads are {own.yarn.spoken}, {flecks}."
    return f"{first}: strips read {own.reads.spoken}."


def advice(stripe: StripeYield, units: Units) -> str:
    """Which cut keeps a stripe whole, or how wide to cut by hand."""
    if stripe.best_cut is not None:
        return f"{stripe.best_cut.label} is the narrowest cut that keeps it whole."
    step_mm = MM_PER_INCH / RULER_DENOMINATOR if units is Units.IN else 1.0
    at_least_mm = math.ceil((stripe.hand_width_mm or 0.0) / step_mm) * step_mm
    width = format_length(at_least_mm, units)
    return f"No cut keeps it whole: cut or tear it by hand, at least {width} wide."


def kept_words(each: StripeCut, units: Units, *, several: bool) -> str:
    """What her own cut makes of a stripe of one band, or of several."""
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
