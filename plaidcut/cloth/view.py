"""The cloth's plane seen from straight above, coarse: for finding what is where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plaidcut.cloth.field import Floats
from plaidcut.cloth.light import WorkPicture, percept
from plaidcut.cloth.mesh import mesh_nodes, over_mesh, remap
from plaidcut.scale.plane import Points, Scale

VIEW_PX_PER_MM = 2.0
LARGEST_VIEW_PX = 2400
"""A steep tilt must not make the view of the far corner huge."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneView:
    """A regular grid on the cloth's plane, with what the photo shows there."""

    box_mm: Floats
    """Plane coordinates (2, 2): lowest x and y, highest x and y."""
    px_per_mm: float
    rgb: NDArray[np.float32]
    """Linear light (H, W, 3), 0 beyond the frame."""
    framed: NDArray[np.bool_]
    """Where the photo shows something (H, W)."""

    @property
    def percept(self) -> NDArray[np.float32]:
        """Light on a roughly perceptual scale (H, W, 3)."""
        return percept(self.rgb)

    def to_mm(self, at: ArrayLike) -> Points:
        """Grid positions (..., 2), x before y, to plane millimetres."""
        return np.asarray(self.box_mm[0] + np.asarray(at, float) / self.px_per_mm)

    def to_grid(self, xy_mm: ArrayLike) -> Points:
        """Plane millimetres (..., 2) to grid positions."""
        return np.asarray((np.asarray(xy_mm) - self.box_mm[0]) * self.px_per_mm)

    def polygon(self, outline_mm: Points) -> NDArray[np.bool_]:
        """What lies inside a polygon (N, 2), as (H, W)."""
        import cv2

        inside = np.zeros(self.framed.shape, np.uint8)
        cv2.fillPoly(inside, [np.round(self.to_grid(outline_mm)).astype(np.int32)], 1)
        return inside > 0

    def look_up(self, marked: NDArray[np.bool_], xy_mm: ArrayLike) -> NDArray[np.bool_]:
        """Values of ``marked`` (H, W) at plane points (M, N, 2); False beyond the view."""
        return self.sample(marked, self.to_grid(xy_mm).astype(np.float32))

    def sample(self, marked: NDArray[np.bool_], at: NDArray[np.float32]) -> NDArray[np.bool_]:
        """Values of ``marked`` (H, W) at grid positions (M, N, 2); False beyond the view."""
        import cv2

        return remap(marked.view(np.uint8), at, cv2.INTER_NEAREST).view(np.bool_)


def plane_view(
    picture: WorkPicture, scale: Scale, *, px_per_mm: float = VIEW_PX_PER_MM
) -> PlaneView:
    """Resample the picture onto the cloth's plane, in about ``px_per_mm`` steps to a millimetre."""
    width, height = scale.size_px
    along = [np.linspace(0, n - 1, 9) for n in (width, height)]
    frame = np.concatenate(
        [
            [(x, y) for x in along[0] for y in (0, height - 1)],
            [(x, y) for y in along[1] for x in (0, width - 1)],
        ]
    )
    frame_mm = scale.to_mm(frame)
    box = np.array([frame_mm.min(axis=0), frame_mm.max(axis=0)])
    density = min(px_per_mm, LARGEST_VIEW_PX / float((box[1] - box[0]).max()))
    columns, rows = np.ceil((box[1] - box[0]) * density).astype(int).tolist()
    soft = picture.blurred(0.45 / density * scale.px_per_mm * picture.factor)
    nodes = box[0] + mesh_nodes((rows, columns)) / density
    at = picture.from_photo_px(scale.to_px(nodes))
    rgb = soft.light_at(over_mesh(at, (rows, columns)))
    framed = np.isfinite(rgb[..., 0])
    np.copyto(rgb, 0, where=~framed[..., None])
    return PlaneView(box_mm=box, px_per_mm=density, rgb=rgb, framed=framed)
