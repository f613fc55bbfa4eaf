"""A cutting plan in words, as instructions that are read at the cutter."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from plaidcut.cutting.plan import EdgeKind, PlannedRun, WayPlan
from plaidcut.cutting.stretch import Place
from plaidcut.cutting.strip import Holds, Strip
from plaidcut.reports.words import run_label
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem
from plaidcut.stripes.runs import TOLERANCE_MM
from plaidcut.units import Units, is_nought, on_ruler, ruler_step_mm

_MADE: Final = {
    EdgeKind.TORN: "Snip and tear it",
    EdgeKind.TRIMMED: "Cut it apart with ruler and rotary cutter",
}
"""How edges are made, in the order in which they are."""

NUMBERS: Final = ("no", "one", "two", "three", "four", "five", "six")

ORDINALS: Final = ("1st", "2nd", "3rd")

SIDES: Final = {
    Direction.UP: ("left", "right", "left of", "right of"),
    Direction.ACROSS: ("top", "bottom", "above", "below"),
}
"""Names of a piece's first and second edge, and of the ways towards them."""


def place_words(places: Sequence[Place], system: ThreadSystem, units: Units) -> str:
    """Where edges are that stand alike: ``1/4 in right of the left edge of each yellow (U4)``."""
    first, _, before, after = SIDES[system.direction]
    place = places[0]
    if place.band is None:
        edge = f"the piece's {first} edge"
    else:
        which = _which([each.number for each in places], place.of)
        edge = f"the {first} edge of {which}{run_label([place.band], system)}"
    if is_nought(place.off_mm, units):
        return f"along {edge}"
    return f"{on_ruler(abs(place.off_mm), units)} {after if place.off_mm > 0 else before} {edge}"


def _which(numbers: Sequence[int], of: int) -> str:
    """Which of several bands: ``each``, ``the 2nd to 5th``, ``the 1st and 3rd``; or nothing."""
    if of == 1:
        return ""
    if len(numbers) == of:
        return "each "
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"the {ordinal(numbers[0])} to {ordinal(numbers[-1])} "
    *most, last = [ordinal(number) for number in numbers]
    return f"the {', '.join(most)} and {last} " if most else f"the {last} "


def _stands(place: Place, units: Units) -> tuple[str | None, int]:
    """What edges that stand alike have in common."""
    return place.band, round(place.off_mm / ruler_step_mm(units))


def ordinal(number: int) -> str:
    """``1st``, ``2nd`` ... ``11th``."""
    last = number % 10
    if 1 <= last <= len(ORDINALS) and number % 100 not in (11, 12, 13):
        return f"{number - last}{ORDINALS[last - 1]}" if number > last else ORDINALS[last - 1]
    return f"{number}th"


def number_word(number: int) -> str:
    """``three``, ``12``."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def counted(number: int, one: str, several: str | None = None) -> str:
    """``one tear``, ``12 tears``."""
    return f"{number_word(number)} {one if number == 1 else several or one + 's'}"


def holds_words(strip: Strip, system: ThreadSystem) -> str:
    """What a strip holds: ``yellow (U4) whole``, ``all red (U1)``, ``mixed``."""
    label = run_label(strip.bands, system)
    if strip.holds is Holds.MIXED:
        return f"mixed, nearly all {label}" if len(strip.bands) == 1 else "mixed"
    return f"{label} whole" if strip.holds is Holds.WHOLE else f"all {label}"


def steps(way: WayPlan, system: ThreadSystem, units: Units) -> list[str]:
    """What to do, one step after the other: first the edges, then the runs, head by head."""
    found = [_beginning(way, system, units)]
    for kind, lead in _MADE.items():
        alike: dict[object, list[Place]] = {}
        for run in way.runs:
            if run.edge is kind:
                alike.setdefault(_stands(run.place, units), []).append(run.place)
        if alike:
            places = "; ".join(place_words(each, system, units) for each in alike.values())
            found.append(f"{lead} {places}.")
    for cut in way.wishes.cuts:
        same: dict[object, list[PlannedRun]] = {}
        for run in way.runs:
            if run.cut == cut:
                key = run.edge, _stands(run.place, units), _passes(run, system)
                same.setdefault(key, []).append(run)
        if same and len(way.wishes.cuts) > 1:
            found.append(f"Put in the {cut.label} head.")
        found += [_cutting(runs, system, units) for runs in same.values()]
    over_mm = way.width_mm - way.end_mm
    if not is_nought(over_mm, units):
        found.append(f"{on_ruler(over_mm, units)} is left over at the {SIDES[way.direction][1]}.")
    return found


def _beginning(way: WayPlan, system: ThreadSystem, units: Units) -> str:
    size = f"{on_ruler(way.width_mm, units)} wide and {on_ruler(way.length_mm, units)} long"
    if not system.striped:
        return f"Take a piece {size}; this way it has no stripes, so begin anywhere."
    first = SIDES[way.direction][0]
    where = place_words([way.begins], system, units)
    if way.known_place:
        return f"Take your piece, {size}, whose {first} edge is {where}."
    return f"Tear out a piece {size}, its {first} edge {where}."


def _cutting(runs: Sequence[PlannedRun], system: ThreadSystem, units: Units) -> str:
    """Runs that are alike."""
    where = place_words([run.place for run in runs], system, units)
    one = len(runs) == 1
    lead = {
        EdgeKind.AS_IT_IS: "",
        EdgeKind.TORN: "off the tear " if one else "off each tear ",
        EdgeKind.TRIMMED: "off the cut " if one else "off each cut ",
    }[runs[0].edge]
    words = f"{lead}{where}: {_passes(runs[0], system)}."
    return f"{words[0].upper()}{words[1:]}"


def _passes(run: PlannedRun, system: ThreadSystem) -> str:
    """The passes of a run; those that are alike together."""
    told = []
    for each, same in groupby(run.passes, key=lambda strips: pass_words(strips, system)):
        alike = list(same)
        number = counted(len(alike), "pass", "passes")
        told.append(f"{number} of {number_word(len(alike[0]))} {run.cut.label}: {each}")
    return "; then ".join(told)


def pass_words(strips: Sequence[Strip], system: ThreadSystem) -> str:
    """The strips of a pass and their piles: ``yellow (U4) whole, mixed; piles A, B``."""
    held = ", ".join(
        f"{number_word(count)} {words}" if count > 1 else words
        for words, same in groupby(strips, key=lambda strip: holds_words(strip, system))
        for count in [len(list(same))]
    )
    letters = list(dict.fromkeys(strip.pile for strip in strips))
    return f"{held}; pile{'s' if len(letters) > 1 else ''} {', '.join(letters)}"


def look_words(way: WayPlan, measurement: Measurement, units: Units) -> str:
    """What strips look like along their length."""
    other = measurement.across if way.direction is Direction.UP else measurement.up
    if not other.striped:
        return "one colour all along"
    every = "" if other.repeat_mm is None else f" every {on_ruler(other.repeat_mm, units)}"
    shades = {band.yarn.name for band in other.bands}
    return f"flecks of {len(shades)} colours{every}" if len(shades) > 1 else "one colour all along"


def waste_words(way: WayPlan, units: Units) -> str:
    """How much of the piece goes into no strip."""
    used_mm = sum(strip.cut.width_mm for strip in way.strips)
    waste_mm = way.width_mm - used_mm
    if waste_mm < TOLERANCE_MM or is_nought(waste_mm, units):
        return "nothing"
    return f"{on_ruler(waste_mm, units)} ({100 * waste_mm / way.width_mm:.0f} %)"


def way_heading(way: WayPlan) -> str:
    """``Strips running up and down``."""
    return f"Strips running {way.direction.spoken}"
