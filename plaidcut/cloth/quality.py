"""Whether the cloth can be measured honestly: sharpness, yarns, flatness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.directions import TileNormals, TileSpectra
from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.follow import Shifts
from plaidcut.cloth.light import WorkPicture, percept
from plaidcut.cloth.view import PlaneView
from plaidcut.errors import NoCloth, NotFlat, TooBlurred
from plaidcut.scale.plane import Scale
from plaidcut.srgb import LUMINANCE

BLUR_SHARE = 0.5
"""The blur's standard deviation may be this share of the narrowest band of interest."""
PATCH_MM = 26.0
PATCHES = 12
YARN_CYCLES_PER_MM = (0.8, 2.6)
"""Wool yarns of woven cloth lie 0.4 to 1.2 mm apart."""
LEAST_YARN_PEAK = 8.0
"""Peak over background of the yarns' lattice in its weaker direction: woven wool shows 20 and
more, wood grain, oilcloth and smooth things 2 to 4 (rendered photos)."""
APART_DEG = 20.0
FLAT_BEND_MM = 5.0
"""Threads of cloth that lies flat bend less than this (standard deviation) ..."""
FLAT_SHIFT_MM = 0.12
"""... or else they are followed to within this (root mean square of the last round's shifts):
bowed and curled cloth has under 0.09, folded cloth from 0.16 (rendered photos)."""
UNLIKE_MATCH = 0.8
"""Stripes that aren't followed so well are none of a weave's if they match each other less than
this (median): woven ones do by 0.87 and more, the staggered joints of a brick wall by 0.55 to 0.65
(rendered photos, scikit-image's picture)."""
CLEAR_STRIPES = 3.5
"""Tiles whose direction stands out less have no stripes to follow."""
SEEN_STRIPES = 2.5
"""Tiles whose direction stands out less show none at all: plain and flecked cloth has 1.4 to 2.2
where its yarns don't show, folded stripes 3.5 and more (drawn photos)."""
PLAIN_CONTRAST = 0.012
"""Spread of tones (perceptual scale 0..1) within a tile of cloth that has no stripes to judge by:
plain cloth has 0.003 to 0.005, dark stripes on dark 0.03 and more (rendered photos)."""


def check_sharpness(scale: Scale, narrowest_mm: float) -> None:
    """Refuse a photo whose mark is too blurred for the narrowest band of interest.

    Raises
    ------
    TooBlurred
    """
    if scale.mark_blur_px is None:
        return
    blur_mm = scale.mark_blur_px / scale.px_per_mm
    if blur_mm > BLUR_SHARE * narrowest_mm:
        msg = (
            f"The photo is blurred over {2.36 * blur_mm:.1f} mm of the cloth: too much for bands "
            f"of {narrowest_mm:g} mm."
        )
        raise TooBlurred(msg)


def yarn_peak(
    picture: WorkPicture, scale: Scale, view: PlaneView, cloth: NDArray[np.bool_]
) -> float | None:
    """How clearly yarns lie in a lattice: peak over background in the weaker of its directions.

    None where the photo does not resolve yarns or too little cloth is seen.
    """
    import cv2

    px_per_mm = scale.px_per_mm * picture.factor
    if px_per_mm < 2 * YARN_CYCLES_PER_MM[1]:
        return None
    size = int(PATCH_MM * px_per_mm)
    window = np.outer(np.hanning(size), np.hanning(size))
    local = (np.arange(size) - size / 2) / px_per_mm
    offsets = np.stack(np.meshgrid(local, local), axis=-1)
    rows, columns = np.nonzero(cloth[::8, ::8])
    centers = view.to_mm(8.0 * np.stack([columns, rows], axis=-1).astype(float))
    power, used = np.zeros((size, size)), 0
    for center in np.random.default_rng(0).permutation(centers)[:400]:
        where = center + offsets
        if not view.look_up(cloth, where[:: size // 8, :: size // 8]).all():
            continue
        at = picture.from_photo_px(scale.to_px(where)).astype(np.float32)
        light = percept(picture.light_at(at) @ LUMINANCE)
        if not np.isfinite(light).all():
            continue
        light = light - cv2.GaussianBlur(light, (0, 0), 0.7 * px_per_mm)
        power += np.abs(np.fft.fftshift(np.fft.fft2(light / (light.std() + 1e-6) * window))) ** 2
        used += 1
        if used == PATCHES:
            break
    return _second_peak(power, px_per_mm) if used else None


def _second_peak(power: Floats, px_per_mm: float) -> float:
    """Highest peak over the ring's median at least 20° from the highest of all."""
    import cv2

    cycles = np.fft.fftshift(np.fft.fftfreq(len(power), 1 / px_per_mm))
    x, y = np.meshgrid(cycles, cycles)
    radius, angle = np.hypot(x, y), np.rad2deg(np.arctan2(y, x)) % 180
    smooth = cv2.GaussianBlur(power, (0, 0), 0.7)
    low, high = YARN_CYCLES_PER_MM
    ring = np.where((radius > low) & (radius < high), np.round(20 * radius), 0).astype(int)
    over = np.zeros_like(smooth)
    for index in np.unique(ring[ring > 0]):
        here = ring == index
        over[here] = smooth[here] / (float(np.median(smooth[here])) + 1e-9)
    first = angle[np.unravel_index(over.argmax(), over.shape)]
    return float(over[np.abs((angle - first + 90) % 180 - 90) > APART_DEG].max())


def check_woven(
    picture: WorkPicture, scale: Scale, view: PlaneView, ring: NDArray[np.bool_]
) -> None:
    """Refuse what shows no yarns crossing: a table top, a smooth picture.

    Raises
    ------
    NoCloth
    """
    peak = yarn_peak(picture, scale, view, ring)
    if peak is not None and peak < LEAST_YARN_PEAK:
        msg = "No woven cloth is seen around the mark: no yarns cross there."
        raise NoCloth(msg)


def stripes_are_clear(normals: TileNormals) -> bool:
    """Whether most tiles show stripes of a system, and so the way its threads run."""
    return bool(np.median(normals.prominence) > CLEAR_STRIPES) if len(normals.prominence) else False


def stripes_are_seen(normals: TileNormals) -> bool:
    """Whether tiles show any stripes of a system, be it over folds."""
    return bool(np.median(normals.prominence) > SEEN_STRIPES) if len(normals.prominence) else False


def check_flat(field: ThreadField, shifts: Shifts, spectra: TileSpectra, *, striped: bool) -> None:
    """Refuse cloth if the stripes of this system wander as they do only over folds.

    Raises
    ------
    NotFlat
    """
    patterned = np.sqrt(np.median(spectra.contrast)) > PLAIN_CONTRAST
    if not patterned or not len(shifts.match):
        return
    bent = field.coefficients.std() > FLAT_BEND_MM
    unlike = striped and np.median(shifts.match) < UNLIKE_MATCH
    if (bent or unlike) and np.sqrt(np.mean(shifts.shift_mm**2)) > FLAT_SHIFT_MM:
        msg = "The cloth does not lie flat: its stripes can't be followed across folds."
        raise NotFlat(msg)
