"""What a homography tells of the camera: focal length, tilt, and whether it can be true.

A plane of known size, seen by a camera whose axis meets the picture's centre,
leaves one number unknown, the focal length, and two conditions to find it by:
the plane's two axes are square to each other and equally long. They find it
where the camera is tilted; seen from straight above they say nothing of it, and
what is known of phones must do. What the conditions still miss afterwards is a
test: a rectangle that isn't of the stated shape fails it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

FOCAL_SHARE: Final = 0.77
"""Focal length as a share of the picture's longer side where the photo doesn't tell: a phone's
main camera, about 28 mm on 35 mm film (from memory, no source)."""

FOCAL_SPREAD: Final = 0.15
"""Standard deviation of the logarithm of that share among phones (from memory, no source)."""

FOCAL_RANGE: Final = (0.55, 1.4)
"""Shares tried: from a wide main camera to a moderate telephoto one."""

MISFIT_STD: Final = 0.0075
"""What a true rectangle may miss of the conditions: a lens not quite known, a picture cropped a
little (from memory, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """How the camera stood over the plane."""

    focal_px: float
    """The likeliest focal length."""
    tilt_deg: float
    """Angle between the camera's axis and the plane's normal."""
    misfit: float
    """By how much the plane's axes are not square (radians) or not equally long (share)."""
    strain: float
    """How hard that is to believe, focal length and misfit together, in standard deviations."""


def view_of(
    plane_to_px: NDArray[np.float64], size_px: tuple[int, int], *, misfit_std: float = MISFIT_STD
) -> View:
    """Judge the view of a plane, from its homography (3, 3), without lens distortion.

    Parameters
    ----------
    plane_to_px
        Plane millimetres to pixels.
    size_px
        Width and height of the picture, not cropped: its centre is on the camera's axis.
    misfit_std
        Standard deviation of the misfit that is to be expected.
    """
    low, high = np.log(FOCAL_RANGE)
    share = np.exp(np.linspace(low, high, 95))
    focal_px = share * max(size_px)
    along = (np.linalg.inv(_camera(size_px, 1.0)) @ plane_to_px)[:, :2]
    axes = np.repeat(along[None], len(share), axis=0)
    axes[:, :2] /= focal_px[:, None, None]

    length = np.linalg.norm(axes, axis=1)
    uneven = np.log(length[:, 0] / length[:, 1])
    askew = np.sum(axes[..., 0] * axes[..., 1], axis=1) / (length[:, 0] * length[:, 1])
    misfit = np.hypot(uneven, askew)
    strain = np.hypot(misfit / misfit_std, np.log(share / FOCAL_SHARE) / FOCAL_SPREAD)
    best = int(np.argmin(strain))
    normal = np.cross(axes[best, :, 0], axes[best, :, 1])
    tilt = np.arctan2(np.hypot(normal[0], normal[1]), abs(normal[2]))
    return View(
        focal_px=float(focal_px[best]),
        tilt_deg=float(np.degrees(tilt)),
        misfit=float(misfit[best]),
        strain=float(strain[best]),
    )


def deeper(
    plane_to_px: NDArray[np.float64], size_px: tuple[int, int], by_mm: float
) -> NDArray[np.float64]:
    """Homography (3, 3) of the parallel plane that lies ``by_mm`` further from the camera.

    A card's face lies its own thickness above the cloth and so looks larger by
    thickness over distance (P09).
    """
    focal_px = view_of(plane_to_px, size_px).focal_px
    camera = _camera(size_px, focal_px)
    pose = np.linalg.inv(camera) @ plane_to_px
    pose = pose / np.sqrt(np.linalg.norm(pose[:, 0]) * np.linalg.norm(pose[:, 1]))
    pose = pose * np.sign(pose[2, 2])
    normal = np.cross(pose[:, 0], pose[:, 1])
    away = normal / np.linalg.norm(normal) * np.sign(normal[2])
    lowered = camera @ np.column_stack([pose[:, 0], pose[:, 1], pose[:, 2] + by_mm * away])
    return np.asarray(lowered / lowered[2, 2])


def _camera(size_px: tuple[int, int], focal_px: float) -> NDArray[np.float64]:
    """Camera matrix (3, 3) with its axis through the picture's centre."""
    width, height = size_px
    return np.array([[focal_px, 0, (width - 1) / 2], [0, focal_px, (height - 1) / 2], [0, 0, 1.0]])
