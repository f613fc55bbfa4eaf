"""Small pieces of the cloth in fine detail, seen from straight above: for single threads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats
from plaidcut.cloth.light import percept
from plaidcut.cloth.mesh import mesh_nodes, over_mesh, remap
from plaidcut.cloth.view import PlaneView
from plaidcut.scale.plane import Points, Scale
from plaidcut.srgb import LUMINANCE, light_table

if TYPE_CHECKING:
    from plaidcut.photo import Photo

SIDES_MM = (40.0, 24.0)
"""Side of a patch: the larger holds two columns of a herringbone and more (facts section 10)."""
MOST_PATCHES = 6
FINEST_PX_PER_MM = 8.0
"""Three samples to the finest yarns, which lie 0.4 mm apart."""
TRIES = 300


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """One piece of cloth on a regular grid of its plane."""

    center_mm: Points
    """Plane position (2,) of its middle."""
    step_mm: float
    light: NDArray[np.float32]
    """Linear light (N, N, 3), x to the right and y down on the plane."""

    @property
    def tones(self) -> NDArray[np.float32]:
        """Its brightness on a roughly perceptual scale (N, N)."""
        return percept((self.light @ LUMINANCE).astype(np.float32))

    def xy_of(self, at: Points) -> Points:
        """Plane positions (..., 2) of pixel positions (..., 2), x before y."""
        return np.asarray(self.center_mm + (at - (len(self.light) - 1) / 2) * self.step_mm)


def grid_mm(number: int, step_mm: float) -> Points:
    """A square grid (N, N, 2) about nought."""
    along = (np.arange(number) - (number - 1) / 2) * step_mm
    return np.stack(np.meshgrid(along, along), axis=-1)


def cloth_patches(
    photo: Photo, scale: Scale, view: PlaneView, cloth: NDArray[np.bool_]
) -> tuple[Patch, ...]:
    """Up to :data:`MOST_PATCHES` pieces spread over the cloth, which ``cloth`` (H, W) marks.

    Where no large piece is all cloth, smaller ones are taken; none where there is none.
    """
    rows, columns = np.nonzero(cloth[::8, ::8])
    spots = view.to_mm(8.0 * np.stack([columns, rows], axis=-1).astype(float))
    spots = np.random.default_rng(0).permutation(spots)[:TRIES]
    step_mm = 1 / min(FINEST_PX_PER_MM, scale.px_per_mm)
    for side_mm in SIDES_MM:
        found: list[Points] = []
        outline = grid_mm(9, side_mm / 8)
        for spot in spots:
            apart = [np.abs(spot - other).max() for other in found]
            if min(apart, default=np.inf) < side_mm / 2:
                continue
            if view.look_up(cloth, spot + outline).all():
                found.append(spot)
            if len(found) == MOST_PATCHES:
                break
        if found:
            return tuple(
                Patch(center_mm=spot, step_mm=step_mm, light=light)
                for spot in found
                if (light := _light(photo, scale, spot, side_mm, step_mm)) is not None
            )
    return ()


def _light(
    photo: Photo, scale: Scale, center_mm: Points, side_mm: float, step_mm: float
) -> NDArray[np.float32] | None:
    """Linear light (N, N, 3) about a point; None where the picture ends."""
    import cv2

    number = int(side_mm / step_mm)
    nodes = (mesh_nodes((number, number)) - (number - 1) / 2) * step_mm
    at = over_mesh(scale.to_px(center_mm + nodes), (number, number))
    low = np.floor(at.min(axis=(0, 1))).astype(int) - 2
    high = np.ceil(at.max(axis=(0, 1))).astype(int) + 3
    if (low < 0).any() or (high > photo.size_px).any():
        return None
    crop = light_table()[photo.pixels[low[1] : high[1], low[0] : high[0]]].astype(np.float32)
    fine = min(1.0, 1 / (scale.px_per_mm * step_mm))
    size: Floats = np.maximum(1, np.round((high - low) * fine))
    if fine < 1:
        small = cv2.resize(crop, size.astype(int).tolist(), interpolation=cv2.INTER_AREA)
        crop = np.asarray(small, np.float32)
    at = ((at - low + 0.5) * (size / (high - low)) - 0.5).astype(np.float32)
    return np.asarray(remap(crop, at, cv2.INTER_CUBIC), np.float32)
