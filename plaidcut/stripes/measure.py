"""From a photo with its scale to a measured cloth: the stages in their order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from plaidcut.cloth.both import both
from plaidcut.cloth.cloth import Cloth, find_cloth
from plaidcut.cloth.field import ThreadField
from plaidcut.cloth.follow import bend_to
from plaidcut.cloth.outline import without_misfits
from plaidcut.cloth.unrolled import Unrolled, unroll
from plaidcut.cloth.weave import Weave, take_apart
from plaidcut.scale.plane import Points, Scale
from plaidcut.stripes.bands import Sequence, edge_shifts, plain_sequence, repeat_sequence
from plaidcut.stripes.evenness import counted_field, even_out, pattern_shifts
from plaidcut.stripes.fold import Folded
from plaidcut.stripes.measurement import Direction, Measurement, Washed
from plaidcut.stripes.profile import Profile, profile_of
from plaidcut.stripes.records import measurement_of
from plaidcut.stripes.repeat import find_repeat
from plaidcut.stripes.segment import Signal, cut_into_bands
from plaidcut.stripes.unbroken import unbroken_span

if TYPE_CHECKING:
    from plaidcut.photo import Photo

NARROWEST_MM = 1.0
"""Narrowest band of interest, unless she asks for finer ones."""
LOOK_STEP_MM = 0.35
EVEN_ROUNDS = 2
EVEN_ENOUGH_MM = 0.25
"""Mean way that a round moves the cloth's points, below which another would move them by about
0.03 mm: less than a tenth of what the scale's uncertainty does (measured on rendered photos)."""
LEAST_PART = 0.25
"""What lies on one side of a seam is measured alone if it is this share of the cloth at least."""
FINE_STEP_MM = 0.2
STRIPED_QUANTILES = (0.1, 0.9)
STRIPED_CONTRAST = 12.0
"""Spread of L* over a repeat from which it holds stripes, though none be told: twice the contrast
(:data:`plaidcut.stripes.segment.LEAST_CONTRAST_ONCE`) that light and yarns make."""
EVENED_DRIFT = 0.2
"""Share of the usual drift that is left once plane and lens are refined."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SystemFound:
    """One thread system: what was seen of it and what was made of that."""

    profile: Profile
    folded: Folded | None
    sequence: Sequence
    mm_per_phase: float
    """Millimetres on the cloth, square to the threads, for one of the field."""
    blur_mm: float
    """Blur of its edges, standard deviation."""
    too_fine: bool = False
    """Whether stripes are surely there, and too fine to be cut into bands."""

    @property
    def repeats_seen(self) -> float | None:
        """How many repeats the photo shows; None where there is none."""
        if self.folded is None:
            return None
        low, high = self.folded.span_mm
        return (high - low) / self.folded.repeat_mm


def measure_cloth(
    photo: Photo,
    scale: Scale,
    *,
    narrowest_mm: float = NARROWEST_MM,
    warp: Direction | None = None,
    washed: Washed = Washed.UNKNOWN,
    outline_px: Points | None = None,
) -> Measurement:
    """Measure the stripe bands of the cloth in a photo, in both thread directions.

    Parameters
    ----------
    photo
        Upright sRGB pixels.
    scale
        Where the cloth's plane lies in the photo, and how sure that is.
    narrowest_mm
        Narrowest band of interest: finer ones are taken for texture.
    warp
        Which system is the warp, where she knows.
    washed
        Whether the cloth was washed before.
    outline_px
        What is cloth, a polygon (N, 2) drawn on the photo; it is found if None.

    Raises
    ------
    NoCloth, NotFlat, TooBlurred, Overexposed
        Where the photo can't be measured honestly.
    """
    cloth = _even(find_cloth(photo, scale, narrowest_mm=narrowest_mm, outline_px=outline_px))
    unrolled = _unroll(cloth, FINE_STEP_MM)
    cloth = replace(cloth, picture=cloth.coarse)  # the fine one has served, and is large
    weave = take_apart(unrolled)
    system = partial(_system, cloth=cloth, narrowest_mm=narrowest_mm)
    up, across = both(system, _profiles(unrolled, weave), cloth.fields)
    return measurement_of(photo, cloth, unrolled, weave, (up, across), warp=warp, washed=washed)


def _unroll(cloth: Cloth, step_mm: float) -> Unrolled:
    return unroll(
        cloth.picture, cloth.scale, cloth.view, cloth.marked, cloth.fields, step_mm=step_mm
    )


def _profiles(unrolled: Unrolled, weave: Weave) -> tuple[Profile, Profile]:
    grid = unrolled.grid
    up = profile_of(
        weave.up,
        weave.across,
        weave.up_seen,
        weave.across_seen,
        start_mm=float(grid.u_mm[0]),
        step_mm=grid.step_mm,
    )
    across = profile_of(
        weave.across,
        weave.up,
        weave.across_seen,
        weave.up_seen,
        start_mm=float(grid.v_mm[0]),
        step_mm=grid.step_mm,
    )
    return up, across


def _even(cloth: Cloth) -> Cloth:
    """Let the cloth's own evenness refine the plane and the lens.

    What the weave does not explain is left out first; where no repeat is seen the
    scale stays as it is.
    """
    cloth, profiles = _whole(cloth)
    folds = both(find_repeat, profiles)
    spans = both(unbroken_span, profiles, folds)
    for index, span in enumerate(spans):
        part = cloth if span is None else cloth.within(index, span)
        if part.marked.sum() > LEAST_PART * cloth.marked.sum():
            cloth = part
    for again in range(EVEN_ROUNDS):
        if again or any(spans):
            unrolled = _unroll(cloth, LOOK_STEP_MM)
            folds = both(find_repeat, _profiles(unrolled, take_apart(unrolled)))
        if not any(folds):
            break
        cloth = _counted(cloth, folds)
        counted = [f for f, fold in zip(cloth.fields, folds, strict=True) if fold]
        points = cloth.points(every_mm=12.0)
        evened = even_out(cloth.scale, counted, points).scale
        moved = evened.to_mm(cloth.scale.to_px(points)) - points
        cloth = cloth.on(evened)
        if np.linalg.norm(moved, axis=1).mean() < EVEN_ENOUGH_MM:
            break
    return cloth


def _whole(cloth: Cloth) -> tuple[Cloth, tuple[Profile, Profile]]:
    """The cloth without what its weave does not explain, and its profiles."""
    unrolled = _unroll(cloth, LOOK_STEP_MM)
    weave = take_apart(unrolled)
    marked = without_misfits(cloth.marked, cloth.view, cloth.around, unrolled, weave)
    return replace(cloth, marked=marked), _profiles(unrolled, weave)


def _counted(cloth: Cloth, folds: tuple[Folded | None, ...]) -> Cloth:
    """The cloth with fields that count repeats, bent to the pattern that all repeats share."""
    points = cloth.points(every_mm=8.0)
    up, across = (
        field if fold is None else counted_field(field, fold, points)
        for field, fold in zip(cloth.fields, folds, strict=True)
    )
    unrolled = unroll(
        cloth.coarse.tones(),
        cloth.scale,
        cloth.view,
        cloth.marked,
        (up, across),
        step_mm=LOOK_STEP_MM,
    )
    fields = both(_to_pattern, (up, across), folds, (unrolled, unrolled.turned()))
    return replace(cloth, fields=fields)


def _to_pattern(field: ThreadField, folded: Folded | None, unrolled: Unrolled) -> ThreadField:
    if folded is None:
        return field
    shifts = pattern_shifts(unrolled, folded.repeat_mm, smooth_mm=0.4, reach_mm=0.8)
    return bend_to(field, shifts)


def _system(profile: Profile, field: ThreadField, cloth: Cloth, narrowest_mm: float) -> SystemFound:
    """Cut one system into bands: one repeat where it has one, else all that is seen."""
    stretch = mm_per_phase(field, cloth)
    folded = find_repeat(profile, drift_share=EVENED_DRIFT)
    if folded is not None:
        cuts = cut_into_bands(repeat_signal(folded), narrowest_mm=narrowest_mm)
        if len(cuts.edges_mm) > 1:
            shifts = edge_shifts(profile, folded, cuts.edges_mm)
            sequence = repeat_sequence(cuts, folded, shifts)
            return SystemFound(
                profile=profile,
                folded=folded,
                sequence=sequence,
                mm_per_phase=stretch,
                blur_mm=cuts.blur_mm,
            )
    cuts = cut_into_bands(plain_signal(profile), narrowest_mm=narrowest_mm)
    return SystemFound(
        profile=profile,
        folded=None,
        sequence=plain_sequence(cuts, profile),
        mm_per_phase=stretch,
        blur_mm=cuts.blur_mm,
        too_fine=folded is not None and not len(cuts.edges_mm) and _shows_stripes(folded),
    )


def _shows_stripes(folded: Folded) -> bool:
    """Whether what comes again differs in lightness by more than threads and light do."""
    low, high = np.quantile(folded.lab[:, 0], STRIPED_QUANTILES)
    return bool(high - low > STRIPED_CONTRAST)


def repeat_signal(folded: Folded) -> Signal:
    """One repeat, its noise from the scatter between the repeats."""
    spread = np.linalg.norm(folded.spread, axis=1) / np.sqrt(np.maximum(folded.count, 1))
    level = float(np.nanmedian(spread)) if np.isfinite(spread).any() else 1.0
    return Signal(
        step_mm=folded.step_mm,
        share=folded.share,
        crossing=folded.crossing,
        noise=np.full(len(folded.share), level),
        circular=True,
    )


def plain_signal(profile: Profile) -> Signal:
    """All that was seen, gaps bridged, its noise from the unevenness within 3 mm."""
    from scipy import ndimage

    first, last = profile.surely_seen
    at = np.arange(first, last + 1)
    known = np.flatnonzero(profile.seen)
    share = np.stack([np.interp(at, known, c[known]) for c in profile.share.T], axis=1)
    signal = Signal(
        step_mm=profile.step_mm,
        share=share,
        crossing=profile.crossing,
        noise=np.zeros(len(at)),
        circular=False,
    )
    lab = replace(profile, share=share, seen=np.ones(len(at), bool)).lab
    wide = round(3.0 / profile.step_mm)
    away = np.linalg.norm(lab - ndimage.median_filter(lab, (wide, 1)), axis=1)
    return replace(signal, noise=np.full(len(at), 1.48 * float(np.median(away))))


def mm_per_phase(field: ThreadField, cloth: Cloth) -> float:
    """Mean distance on the cloth, square to the threads, for one of the field's value."""
    steep = np.linalg.norm(field.gradient(cloth.points(every_mm=8.0)), axis=1)
    return float(np.mean(1 / steep))
