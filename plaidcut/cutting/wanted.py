"""Where strips hold what is wanted, with room for a straying edge.

A run's strips share its edge: where that strays, all do. The edge off which the first pass is
cut strays by up to the *wander*; the next pass is guided by the edge that this one leaves, and
strays by as much again, and so on. Far from the edge that was lined up, widths that were measured
a little wrong add up besides. So the strip number k of a run, k = 0, 1, 2 ..., holds a stripe of
width S whole if the stripe lies in it with a margin on each side of

    m(k) = (k // p + 1) · wander + σ + 2·r·k·c

with p strips a pass, c the cut, σ the standard uncertainty of S and r that of the photo's scale.
A strip of nothing but a band lies in the band with the same margin. A tight stripe, one that the
cut holds only if all is just right, has no margin to keep in the first pass.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.piece import Head, Windows, disjoint
from plaidcut.cutting.stretch import Lying, Stretch, runs_on
from plaidcut.cutting.wishes import Keep, Wishes, bands_of
from plaidcut.cutting.yields import State, run_width, state_of
from plaidcut.stripes.measurement import Band, ThreadSystem
from plaidcut.stripes.runs import SAME_COLOUR, TOLERANCE_MM, differences

COVERAGE: Final = 2.0
"""Standard uncertainties of a scale that a margin allows for: it holds 19 times in 20."""

Margin = Callable[[int], float]
"""The margin in mm that strip number k of a run needs on each side."""


def heads_of(
    stretch: Stretch,
    system: ThreadSystem,
    wishes: Wishes,
    *,
    wander_mm: float,
    relative_std: float = 0.0,
) -> tuple[Head, ...]:
    """The heads of a plan, one of each cut of the wishes, with the windows of their strips.

    Parameters
    ----------
    stretch
        The piece.
    system
        The bands across it.
    wishes
        What is wanted.
    wander_mm
        How far the edge of a first pass may stray.
    relative_std
        Relative standard uncertainty of all lengths.
    """
    return tuple(
        Head(
            width_mm=cut.width_mm,
            whole=_nested(
                cut,
                stretch,
                [
                    (span, margin)
                    for wish in wishes.keep
                    if wish.cut == cut
                    for margin in [_keep_margin(wish, system, wander_mm, relative_std)]
                    for span in runs_on(stretch, bands_of(wish.bands, system))
                ],
                _whole,
            ),
            one_colour=_nested(
                cut,
                stretch,
                [
                    ((each.start_mm, each.end_mm), margin)
                    for wish in wishes.only
                    if wish.cut == cut
                    for each in same_colour(stretch, system.band(wish.band))
                    for margin in [_margin(cut, each.band.width_std_mm, wander_mm, relative_std)]
                ],
                _alone,
            ),
        )
        for cut in wishes.cuts
    )


def same_colour(stretch: Stretch, band: Band) -> list[Lying]:
    """Where bands of one colour lie on a piece, however wide."""
    near = differences([each.band for each in stretch.bands], [band])[:, 0] <= SAME_COLOUR
    return [each for each, is_near in zip(stretch.bands, near, strict=True) if is_near]


def is_alone(
    strip: tuple[Cut, int, float],
    each: Lying,
    stretch: Stretch,
    *,
    wander_mm: float,
    relative_std: float = 0.0,
) -> bool:
    """Whether a strip is surely nothing but the band that it lies in.

    Parameters
    ----------
    strip
        Its cut, its number in its run from 0 on, and where it starts on the piece, in mm.
    each
        The band, where it lies.
    stretch
        The piece.
    wander_mm, relative_std
        As for `heads_of`.
    """
    cut, number, start_mm = strip
    margin_mm = _margin(cut, each.band.width_std_mm, wander_mm, relative_std)(number)
    low_mm, high_mm = _alone((each.start_mm, each.end_mm), margin_mm, cut, stretch)
    return low_mm - TOLERANCE_MM <= start_mm <= high_mm + TOLERANCE_MM


def _margin(cut: Cut, std_mm: float, wander_mm: float, relative_std: float) -> Margin:
    """What a strip needs on each side to lie surely where it should."""
    return lambda k: (
        (k // cut.strips_per_pass + 1) * wander_mm
        + std_mm
        + COVERAGE * relative_std * k * cut.width_mm
    )


def _keep_margin(wish: Keep, system: ThreadSystem, wander_mm: float, relative_std: float) -> Margin:
    """The same for a stripe to keep; where it is tight, without the first pass's part."""
    width_mm, std_mm = run_width(bands_of(wish.bands, system))
    full = _margin(wish.cut, std_mm, wander_mm, relative_std)
    if state_of(wish.cut, width_mm, std_mm, wander_mm) is State.WHOLE:
        return full
    return lambda k: full(k) - full(0)


def _whole(
    span: tuple[float, float], margin_mm: float, cut: Cut, stretch: Stretch
) -> tuple[float, float]:
    """Where a strip may start that holds a span whole."""
    del stretch
    start_mm, end_mm = span
    return end_mm + margin_mm - cut.width_mm, start_mm - margin_mm


def _alone(
    span: tuple[float, float], margin_mm: float, cut: Cut, stretch: Stretch
) -> tuple[float, float]:
    """Where a strip may start that lies in a span; the piece's own edges need no margin."""
    start_mm, end_mm = span
    first_mm = 0.0 if start_mm <= TOLERANCE_MM else start_mm + margin_mm
    last_mm = stretch.width_mm if end_mm >= stretch.width_mm - TOLERANCE_MM else end_mm - margin_mm
    return first_mm, last_mm - cut.width_mm


def _nested(
    cut: Cut,
    stretch: Stretch,
    spans: Sequence[tuple[tuple[float, float], Margin]],
    window: Callable[[tuple[float, float], float, Cut, Stretch], tuple[float, float]],
) -> tuple[Windows, ...]:
    """The windows of a run's first strip, its second ... until there are none."""
    found: list[Windows] = []
    for k in range(int(stretch.width_mm // cut.width_mm) + 1):
        windows = [window(span, margin(k), cut, stretch) for span, margin in spans]
        fitting = [each for each in windows if each[0] <= each[1] + TOLERANCE_MM]
        if not fitting:
            break
        found.append(disjoint(fitting))
    return tuple(found)
