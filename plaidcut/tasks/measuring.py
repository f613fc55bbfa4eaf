"""From a photo, or widths typed by hand, to what is measured; and that put right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib import resources
from os import PathLike
from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.cutting.cuts import CutTable, cut_table
from plaidcut.errors import CannotMeasure
from plaidcut.photo import MAX_MEGAPIXELS, Photo, load_photo
from plaidcut.photo_faults import refuse_blurred, refuse_burnt_out
from plaidcut.same_sums import sums_in_one_order
from plaidcut.scale.ways import ByCard, ScaleWay, take_scale
from plaidcut.stripes.by_hand import measurement_by_hand, parse_bands
from plaidcut.stripes.corrections import Correction
from plaidcut.stripes.measure import NARROWEST_MM, measure_cloth
from plaidcut.stripes.measurement import Direction, Measurement, Washed

if TYPE_CHECKING:
    from plaidcut.cutting.measured_cut import MeasuredCut
    from plaidcut.cutting.which_cut import NamedStrips
    from plaidcut.scale.plane import Scale

_DEMO: Final = resources.files("plaidcut") / "data" / "demo.jpg"


@dataclass(frozen=True, slots=True, kw_only=True)
class HowToMeasure:
    """What is known of a photo and its cloth, and what is looked for."""

    scale: ScaleWay = field(default_factory=ByCard)
    """Where the scale is taken from."""
    narrowest_mm: float = NARROWEST_MM
    """Narrowest band of interest."""
    warp: Direction | None = None
    """Which threads are the warp, where that is known."""
    washed: Washed = Washed.UNKNOWN
    """Whether the cloth was washed before."""
    max_megapixels: float = MAX_MEGAPIXELS
    """Larger photos are refused."""
    outline_xy_px: tuple[tuple[float, float], ...] | None = None
    """What is cloth, drawn round on the photo; it is found if None."""

    @property
    def unusual(self) -> dict[str, object]:
        """What of this isn't as usual and bears on the widths, for the document."""
        unusual: dict[str, object] = {}
        if self.narrowest_mm != NARROWEST_MM:
            unusual["narrowest_mm"] = self.narrowest_mm
        if isinstance(self.scale, ByCard) and self.scale.printed != (1.0, 1.0):
            unusual["printed"] = list(self.scale.printed)
        if self.outline_xy_px is not None:
            unusual["outline_px"] = [list(corner) for corner in self.outline_xy_px]
        return unusual


def demo_photo() -> Photo:
    """The photo that comes with the package: the Harbour skirt, which is invented."""
    with resources.as_file(_DEMO) as path:
        return load_photo(path)


def demo_photo_bytes() -> bytes:
    """The file of that photo, as it is."""
    return _DEMO.read_bytes()


@sums_in_one_order()
def measure(photo: Photo | str | PathLike[str], how: HowToMeasure | None = None) -> Measurement:
    """Measure the stripe bands of the cloth in a photo, in both thread directions.

    Parameters
    ----------
    photo
        A photo that was read already, or its file.
    how
        The printed card gives the scale, and bands from 1 mm up are looked for, unless
        this says otherwise.

    Raises
    ------
    NotFound, UnreadablePhoto, PhotoTooLarge
        If the file can't be read.
    NoScale, ScaleTooSmall, ScaleUncertain
        If nothing in the photo tells the scale for certain.
    Overexposed, TooBlurred, NoCloth, NotFlat
        If the cloth can't be measured honestly.
    """
    how = how or HowToMeasure()
    if not isinstance(photo, Photo):
        photo = load_photo(photo, max_megapixels=how.max_megapixels)
    scale = _scale_of(photo, how.scale)
    return measure_cloth(
        photo,
        scale,
        narrowest_mm=how.narrowest_mm,
        warp=how.warp,
        washed=how.washed,
        outline_px=None if how.outline_xy_px is None else np.array(how.outline_xy_px),
    )


def _scale_of(photo: Photo, way: ScaleWay) -> Scale:
    """The scale of a photo that something can be made out in."""
    refuse_burnt_out(photo.pixels)
    try:
        return take_scale(photo.pixels, way)
    except CannotMeasure:
        refuse_blurred(photo.pixels)  # the deeper reason is told first
        raise


def measure_by_hand(
    up: str,
    across: str | None = None,
    *,
    mirrored: bool = False,
    warp: Direction | None = None,
    washed: Washed = Washed.UNKNOWN,
) -> Measurement:
    """Make a measurement of widths taken with a ruler and typed.

    Parameters
    ----------
    up, across
        One repeat of each thread direction in order: ``"red 1/2 in, yellow 1/8 in"``.
    mirrored
        Whether the repeats run to their last band and back again.
    warp, washed
        What is known of the cloth.

    Raises
    ------
    UsageError, BadLength
        If a band can't be read.
    """
    return measurement_by_hand(
        parse_bands(up), parse_bands(across or ""), mirrored=mirrored, warp=warp, washed=washed
    )


def correct(measurement: Measurement, corrections: Sequence[Correction]) -> Measurement:
    """Put right by hand what was measured; the measurement itself stays as it is.

    Parameters
    ----------
    measurement
        The cloth.
    corrections
        In order, after those that were made in it before; `plaidcut.stripes.corrections` has
        one record for each kind, and `plaidcut.stripes.correct.undone` takes the last one back.

    Raises
    ------
    UsageError
        If one can't be made.

    Examples
    --------
    >>> from plaidcut import tasks
    >>> from plaidcut.stripes.corrections import SetWidth
    >>> cloth = tasks.measure_by_hand("red 1/2 in, black 1 in")
    >>> tasks.correct(cloth, [SetWidth(band="U2", width_mm=25.0)]).up.repeat_mm
    37.7
    """
    from plaidcut.stripes.correct import corrected

    return corrected(measurement, corrections)


@sums_in_one_order()
def which_cut(
    photo: Photo | str | PathLike[str],
    cuts: CutTable | None = None,
    *,
    scale: ScaleWay | None = None,
) -> NamedStrips:
    """Measure the ready-cut strips that lie loose in a photo, and name the cut of each.

    Parameters
    ----------
    photo
        A photo that was read already, or its file.
    cuts
        The cuts that there are; the stepped table unless given.
    scale
        Where the scale is taken from; the printed card unless given.

    Raises
    ------
    NotFound, UnreadablePhoto, PhotoTooLarge
        If the file can't be read.
    NoScale, ScaleTooSmall, ScaleUncertain
        If nothing in the photo tells the scale for certain, or it shows the strips too small.
    Overexposed, TooBlurred, NoCloth
        If the strips can't be measured honestly, or there are none.
    """
    from plaidcut.cutting.which_cut import name_strips
    from plaidcut.loose.measure import measure_strips

    if not isinstance(photo, Photo):
        photo = load_photo(photo)
    loose = measure_strips(photo, _scale_of(photo, scale or ByCard()))
    return name_strips(loose, cut_table() if cuts is None else cuts)


def measure_cut(
    photo: Photo | str | PathLike[str],
    name: str,
    cuts: CutTable | None = None,
    *,
    scale: ScaleWay | None = None,
) -> MeasuredCut:
    """Measure what a cutter really cuts, from a photo of strips that are all of one cut.

    Parameters
    ----------
    photo
        A photo that was read already, or its file.
    name
        The cut's number, or a name of her own.
    cuts
        The cuts by the book; the stepped table unless given.
    scale
        Where the scale is taken from; the printed card unless given.

    Raises
    ------
    UsageError
        If the strips aren't all of one cut, or clearly of another.
    PlaidcutError
        As by `which_cut`.
    """
    from plaidcut.cutting.measured_cut import measured_cut

    table = cut_table() if cuts is None else cuts
    return measured_cut(name, which_cut(photo, table, scale=scale).loose, table)
