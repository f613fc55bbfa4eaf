"""What off-the-shelf parts make of the same photos: a plain pipeline to compare with.

Rectify by the homography, find the one angle at which the weave's profiles are sharpest,
average the colours along it, and split the two profiles at change points. It is told more than
plaidcut is: the truth's own homography, and where in the picture cloth lies. It never
refuses.
"""

from __future__ import annotations

import time
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.colour import colour_of_lab
from plaidcut.stripes.measurement import Band, Direction, ThreadSystem
from tests.bench.photos import lens_of, true_bands, true_px_per_mm, truth_of
from tests.bench.score import PhotoScore, score_systems

Floats = NDArray[np.float64]

_ANGLE_PX_PER_MM: Final = 2.0
"""Grid on which the angle is found."""
_THREADS_MM: Final = 1.5
"""Blur that leaves nothing of the threads, whose diagonals in a twill are sharp as well."""
_PROFILE_PX_PER_MM: Final = 6.0
"""Grid of the profiles: finer than 1 mm, coarser than the photos."""
_NARROWEST_MM: Final = 1.0
_PENALTY: Final = 300.0
"""Of a change point, in squares of CIE L*a*b* units: the best of 30 to 1000 in trials on seed 1."""
_RAMP_MM: Final = 2.0
"""A segment as short as this, of a colour between its neighbours', is a blurred edge."""
_ALIKE: Final = 6.0
"""Neighbours closer than this in CIE L*a*b* are one band; chosen with the penalty."""
_SEEN_SHARE: Final = 0.6
"""Profiles end where less than this share of their longest line is cloth."""
_REPEAT_CORRELATION: Final = 0.5
"""Of a profile with itself, from which on a shift is taken for the repeat."""


def measure_plainly(path: Path) -> PhotoScore:
    """Measure one photo and hold it against its truth; outcome ``measured`` always."""
    truth = truth_of(path)
    about = {
        "name": path.stem,
        "outcome": "measured",
        "expected": truth["expect"],
        "true_bands": true_bands(truth),
        "white_known": True,
    }
    if truth["warp"] is None:
        return PhotoScore(**about)
    begin = time.perf_counter()
    measured = plain_systems(_upright(path), truth)
    seconds = time.perf_counter() - begin
    systems = [system for system, _ in measured]
    repeating = [replace(system, repeat_mm=repeat_mm) for system, repeat_mm in measured]
    scores = zip(score_systems(systems, truth), score_systems(repeating, truth), strict=True)
    return PhotoScore(
        systems=tuple(replace(seen, repeat_error=r.repeat_error) for seen, r in scores),
        scale_error=0.0,
        seconds=seconds,
        **about,
    )


def plain_systems(
    pixels: NDArray[np.uint8], truth: dict[str, Any]
) -> list[tuple[ThreadSystem, float | None]]:
    """Both thread systems, up first, with all bands that are seen, and the repeat of each.

    The bands aren't folded into one repeat, since a wrong repeat would spoil them all.
    """
    cloth = _cloth(truth)
    angle_deg = _angle_deg(*_rectified(pixels, cloth, truth, 0.0, _ANGLE_PX_PER_MM))
    lab, valid = _rectified(pixels, cloth, truth, angle_deg, _PROFILE_PX_PER_MM)
    measured = []
    for axis in (0, 1):
        profile = _profile(lab, valid, axis)
        bands = _bands(profile)
        across_deg = angle_deg + 90 * (1 - axis)
        system = ThreadSystem(
            direction=Direction.UP,
            angle_px_deg=_angle_px_deg(across_deg, truth),
            repeat_mm=None,
            repeat_std_mm=None,
            mirrored=False,
            origin_mm=0.0,
            bands=tuple(bands),
        )
        measured.append((system, _repeat_mm(profile)))
    measured.sort(key=lambda pair: abs(pair[0].angle_px_deg - 90))
    return measured


def _upright(path: Path) -> NDArray[np.uint8]:
    from PIL import Image, ImageOps

    with Image.open(path) as image:
        return np.array(ImageOps.exif_transpose(image).convert("RGB"))


def _cloth(truth: dict[str, Any]) -> NDArray[np.uint8]:
    """Where cloth lies bare in the picture, by the truth: 1 there, 0 elsewhere."""
    import cv2

    width, height = truth["image_size"]
    mask = np.zeros((height, width), np.uint8)
    outlines = [truth["cloth_polygon_px"], truth["card_corners_px"]]
    outlines += [(truth["ruler"] or {}).get("corners_px")]
    outlines += [*(truth.get("holes_px") or ()), *(truth.get("occluders_px") or ())]
    for k, outline in enumerate(outlines):
        if outline:
            cv2.fillPoly(mask, [np.rint(outline).astype(np.int32)], int(k == 0))
    return mask


def _rectified(
    pixels: NDArray[np.uint8],
    cloth: NDArray[np.uint8],
    truth: dict[str, Any],
    angle_deg: float,
    px_per_mm: float,
) -> tuple[Floats, NDArray[np.bool_]]:
    """The cloth from straight above in CIE L*a*b*, turned by an angle, and where it is cloth."""
    import cv2
    from skimage.color import rgb2lab

    to_plane = np.linalg.inv(np.array(truth["plane_to_pixel_homography"]))
    turn = np.deg2rad(-angle_deg)
    rotate = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    matrix = np.diag([px_per_mm, px_per_mm, 1.0])
    matrix[:2, :2] = px_per_mm * rotate
    matrix = matrix @ to_plane
    rows, cols = np.nonzero(cloth)
    inside = np.column_stack([cols, rows])[:: max(1, len(rows) // 20000)].astype(float)
    ends = cv2.perspectiveTransform(inside[None], matrix)[0]
    low, high = ends.min(axis=0), ends.max(axis=0)
    matrix = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1.0]]) @ matrix
    size = tuple(int(n) for n in np.ceil(high - low))
    blur = max(true_px_per_mm(truth) / px_per_mm / 2, 0.3)
    soft = cv2.GaussianBlur(pixels, (0, 0), blur)
    warped = cv2.warpPerspective(soft, matrix, size, flags=cv2.INTER_LINEAR)
    valid = cv2.warpPerspective(cloth, matrix, size, flags=cv2.INTER_NEAREST) > 0
    margin = np.ones((3, 3), np.uint8)
    valid = cv2.erode(valid.astype(np.uint8), margin, iterations=round(px_per_mm)) > 0
    return rgb2lab(warped), valid


def _angle_deg(lab: Floats, valid: NDArray[np.bool_]) -> float:
    """The one angle at which the profiles along and across it are sharpest, modulo 90 degrees.

    The gradients' own direction (the structure tensor's) is that of a twill's diagonal, not
    of the threads: this is how scanned pages are set straight instead.
    """
    import cv2

    blur = _THREADS_MM * _ANGLE_PX_PER_MM
    grey = cv2.GaussianBlur(lab[..., 0].astype(np.float32), (0, 0), blur)
    coarse = np.arange(-45.0, 45.0, 1.0)
    best = max(coarse, key=lambda angle: _sharpness(grey, valid, angle))
    fine = best + np.arange(-1.0, 1.05, 0.1)
    return float(max(fine, key=lambda angle: _sharpness(grey, valid, angle)))


def _sharpness(grey: Floats, valid: NDArray[np.bool_], angle_deg: float) -> float:
    """Mean square step of both profiles of a picture turned by an angle."""
    import cv2

    rows, cols = grey.shape
    side = int(np.hypot(rows, cols)) + 1
    turn = cv2.getRotationMatrix2D(((cols - 1) / 2, (rows - 1) / 2), angle_deg, 1.0)
    turn[:, 2] += (np.array([side, side]) - [cols, rows]) / 2
    turned = cv2.warpAffine(grey, turn, (side, side))
    inside = cv2.warpAffine(valid.astype(np.uint8), turn, (side, side), flags=cv2.INTER_NEAREST) > 0
    profiles = [_profile(turned[..., None], inside, axis) for axis in (0, 1)]
    return float(sum(np.mean(np.diff(profile, axis=0) ** 2) for profile in profiles))


def _profile(lab: Floats, valid: NDArray[np.bool_], axis: int) -> Floats:
    """Mean colour of the lines along an axis, (n, 3), where enough of them is cloth."""
    count = valid.sum(axis=axis)
    total = np.where(valid[..., None], lab, 0).sum(axis=axis)
    seen = np.flatnonzero(count >= _SEEN_SHARE * count.max())
    chosen = slice(seen[0], seen[-1] + 1)
    return total[chosen] / np.maximum(count[chosen], 1)[:, None]


def _bands(profile: Floats) -> list[Band]:
    """Split a profile where its mean changes; its first and last band are partial."""
    import ruptures

    narrowest = round(_NARROWEST_MM * _PROFILE_PX_PER_MM)
    finder = ruptures.KernelCPD(kernel="linear", min_size=narrowest).fit(profile)
    ends = _without_ramps(profile, [0, *finder.predict(pen=_PENALTY)])
    while len(ends) > 2:
        means = [profile[a:b].mean(axis=0) for a, b in pairwise(ends)]
        steps = [float(np.linalg.norm(b - a)) for a, b in pairwise(means)]
        least = int(np.argmin(steps))
        if steps[least] >= _ALIKE:
            break
        del ends[least + 1]
    return [
        Band(
            id=f"U{k + 1}",
            start_mm=begin / _PROFILE_PX_PER_MM,
            width_mm=(end - begin) / _PROFILE_PX_PER_MM,
            width_edge_std_mm=float("nan"),
            width_std_mm=float("nan"),
            partial=len(ends) > 2 and k in {0, len(ends) - 2},
            yarn=colour_of_lab(np.median(profile[begin:end], axis=0)),
            reads=colour_of_lab(np.median(profile[begin:end], axis=0)),
        )
        for k, (begin, end) in enumerate(pairwise(ends))
    ]


def _without_ramps(profile: Floats, ends: list[int]) -> list[int]:
    """The ends of segments, each blurred edge that was taken for a segment being one end."""
    means = [profile[a:b].mean(axis=0) for a, b in pairwise(ends)]
    kept = [0]
    for k in range(1, len(ends) - 1):
        short = ends[k + 1] - ends[k] <= _RAMP_MM * _PROFILE_PX_PER_MM
        if short and k + 1 < len(means) and _between(means[k - 1], means[k], means[k + 1]):
            kept.append((ends[k] + ends[k + 1]) // 2)
        elif kept[-1] <= ends[k - 1]:
            kept.append(ends[k])
    return [*kept, ends[-1]]


def _between(one: Floats, middle: Floats, other: Floats) -> bool:
    """Whether a colour lies between two others."""
    way = np.linalg.norm(middle - one) + np.linalg.norm(other - middle)
    return bool(way < 1.15 * np.linalg.norm(other - one))


def _repeat_mm(profile: Floats) -> float | None:
    """The first shift at which the profile's correlation with itself is highest, if high."""
    from scipy.signal import find_peaks

    away = profile - profile.mean(axis=0)
    shifts = np.arange(1, int(0.8 * len(away)))
    alike = np.array([_correlation(away[:-n], away[n:]) for n in shifts])
    peaks, _ = find_peaks(alike, height=_REPEAT_CORRELATION)
    if not len(peaks):
        return None
    first = next(k for k in peaks if alike[k] >= 0.95 * alike[peaks].max())
    return float(shifts[first] / _PROFILE_PX_PER_MM)


def _correlation(one: Floats, other: Floats) -> float:
    strength = np.sqrt(np.sum(one**2) * np.sum(other**2))
    return float(np.sum(one * other) / strength) if strength > 0 else 0.0


def _angle_px_deg(angle_deg: float, truth: dict[str, Any]) -> float:
    """Direction at the picture's centre of lines that run at an angle on the plane."""
    import cv2

    matrix = np.array(truth["plane_to_pixel_homography"])
    center = lens_of(truth).undistort([(np.array(truth["image_size"]) - 1) / 2])
    middle = cv2.perspectiveTransform(center[None], np.linalg.inv(matrix))[0, 0]
    ahead = [np.cos(np.deg2rad(angle_deg)), np.sin(np.deg2rad(angle_deg))]
    ends = np.array([[middle - ahead, middle + ahead]])
    (x0, y0), (x1, y1) = cv2.perspectiveTransform(ends, matrix)[0]
    return float(np.rad2deg(np.arctan2(y1 - y0, x1 - x0)) % 180)
