"""From a photo with its scale to cloth whose threads are followed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.both import both
from plaidcut.cloth.close_look import CloseLook, close_look, shows_stripes
from plaidcut.cloth.directions import (
    ANGLES_DEG,
    first_field,
    main_normals,
    tile_normals,
    tile_spectra,
)
from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.follow import follow_threads
from plaidcut.cloth.light import COARSE_PX_PER_MM, WorkPicture, work_picture
from plaidcut.cloth.mesh import mesh_nodes, over_mesh
from plaidcut.cloth.outline import Surroundings, drawn_outline, first_outline, surroundings
from plaidcut.cloth.quality import (
    check_flat,
    check_sharpness,
    check_woven,
    stripes_are_clear,
    stripes_are_seen,
)
from plaidcut.cloth.view import PlaneView, plane_view
from plaidcut.scale.plane import Points, Scale

if TYPE_CHECKING:
    from plaidcut.photo import Photo


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cloth:
    """The cloth in a photo: what of it counts, and how its threads run."""

    picture: WorkPicture
    coarse: WorkPicture
    """The picture reduced: what the cloth is found and its threads are followed in."""
    scale: Scale
    view: PlaneView
    around: Surroundings
    marked: NDArray[np.bool_]
    """What of the view is cloth to be measured, (H, W)."""
    beyond: NDArray[np.bool_]
    """What of it lies beyond a seam and is not measured, (H, W)."""
    fields: tuple[ThreadField, ThreadField]
    """Up, across; values grow to the right and downward in the photo."""
    look: CloseLook | None
    """Its threads from near, before they were followed; None where stripes show the way."""

    def on(self, scale: Scale) -> Cloth:
        """The same cloth on the plane of a refined scale."""
        points = self.points(every_mm=8.0)
        at_px = self.scale.to_px(points)
        view = plane_view(self.coarse, scale)
        nodes = view.to_mm(mesh_nodes(view.framed.shape))
        before = self.view.to_grid(self.scale.to_mm(scale.to_px(nodes)))
        at = over_mesh(before, view.framed.shape)
        up, across = (
            ThreadField.through(scale.to_mm(at_px), f.value(points), view.box_mm)
            for f in self.fields
        )
        return replace(
            self,
            scale=scale,
            view=view,
            around=surroundings(view, scale),
            marked=self.view.sample(self.marked, at) & view.framed,
            beyond=self.view.sample(self.beyond, at) & view.framed,
            fields=(up, across),
        )

    def within(self, index: int, span_mm: tuple[float, float]) -> Cloth:
        """The same cloth, measured only where one system's field lies within a span."""
        shape = self.marked.shape
        value = self.fields[index].value(self.view.to_mm(mesh_nodes(shape)))[..., None]
        spread = over_mesh(value, shape)
        inside = (spread > span_mm[0]) & (spread < span_mm[1])
        return replace(
            self, marked=self.marked & inside, beyond=self.beyond | (self.marked & ~inside)
        )

    def points(self, *, every_mm: float) -> Points:
        """Plane points (N, 2) on a regular grid over the cloth."""
        stride = max(1, round(every_mm * self.view.px_per_mm))
        rows, columns = np.nonzero(self.marked[::stride, ::stride])
        return self.view.to_mm(stride * np.stack([columns, rows], axis=-1).astype(float))


def find_cloth(
    photo: Photo, scale: Scale, *, narrowest_mm: float, outline_px: Points | None = None
) -> Cloth:
    """Find the cloth in a photo, or take it from an outline drawn by hand; follow its threads.

    Raises
    ------
    TooBlurred
        Where the mark is too blurred for bands of ``narrowest_mm``.
    NoCloth
        Where no woven cloth is found.
    NotFlat
        Where it lies in folds.
    """
    check_sharpness(scale, narrowest_mm)
    picture = work_picture(photo, scale)
    coarse = picture.reduced(scale, px_per_mm=COARSE_PX_PER_MM)
    view = plane_view(coarse, scale)
    around = surroundings(view, scale)
    if outline_px is None:
        check_woven(picture, scale, view, around.ring)
        marked = first_outline(picture, scale, view, around)
    else:
        marked = drawn_outline(outline_px, scale, view, around)
        check_woven(picture, scale, view, marked)
    spectra = tile_spectra(view, marked)
    mains = main_normals(spectra)
    normals = tuple(tile_normals(spectra, k) for k in mains)
    clear = (stripes_are_clear(normals[0]), stripes_are_clear(normals[1]))
    look = None if shows_stripes(view, marked) else close_look(photo, scale, view, marked)
    first, second = both(partial(first_field, view, spectra), mains, normals)
    # in a herringbone without stripes, the twill's lines that zigzag would be followed
    all_columns = look is not None and look.columns is not None
    if all_columns or not any(stripes_are_seen(n) for n in normals):
        clear = (False, False)
        lattice = None if look is None else look.lattice
        angles = ANGLES_DEG[list(mains)] if lattice is None else lattice.angle_deg
        first, second = (ThreadField.straight(float(each), view.box_mm) for each in angles)
    elif clear == (True, False):
        second = square_to(first, view)
    elif clear == (False, True):
        first = square_to(second, view)
    order, fields = _up_first(scale, view, marked, (first, second))
    striped = (clear[order[0]], clear[order[1]])
    followed = follow_threads(coarse.tones(), scale, view, marked, fields, striped=striped)
    for field, shifts, own in zip(followed.fields, followed.shifts, striped, strict=True):
        check_flat(field, shifts, spectra, striped=own)
    return Cloth(
        picture=picture,
        coarse=coarse,
        scale=scale,
        view=view,
        around=around,
        marked=marked,
        beyond=np.zeros_like(marked),
        fields=followed.fields,
        look=look,
    )


def square_to(field: ThreadField, view: PlaneView) -> ThreadField:
    """Straight threads square to those of a field: all that is known where no stripe shows."""
    x, y = field.normal
    return ThreadField.straight(float(np.rad2deg(np.arctan2(x, -y))), view.box_mm)


def _up_first(
    scale: Scale,
    view: PlaneView,
    marked: NDArray[np.bool_],
    fields: tuple[ThreadField, ThreadField],
) -> tuple[tuple[int, int], tuple[ThreadField, ThreadField]]:
    """Which field is up and which across; both, growing to the right and downward in the photo."""
    rows, columns = np.nonzero(marked[::8, ::8])
    center_px = scale.to_px(
        view.to_mm(8.0 * np.stack([columns, rows], axis=-1).astype(float)).mean(axis=0)
    )
    slopes = [px_gradient(scale, f, center_px) for f in fields]
    # threads nearer to vertical have the more horizontal gradient; at 45° exactly both do
    level = [abs(slope[0]) / np.linalg.norm(slope) for slope in slopes]
    up, across = (0, 1) if level[0] >= level[1] else (1, 0)
    return (up, across), (
        fields[up] if slopes[up][0] >= 0 else reversed_field(fields[up]),
        fields[across] if slopes[across][1] >= 0 else reversed_field(fields[across]),
    )


def reversed_field(field: ThreadField) -> ThreadField:
    """The same threads counted the other way."""
    return replace(field, normal=-field.normal, coefficients=-field.coefficients)


def px_gradient(scale: Scale, field: ThreadField, xy_px: Points) -> Floats:
    """Gradient (..., 2) of a field per photo pixel."""
    step = 2.0
    offsets = step * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]])
    around = field.value(scale.to_mm(np.asarray(xy_px)[..., None, :] + offsets))
    return np.stack([around[..., 0] - around[..., 1], around[..., 2] - around[..., 3]], axis=-1) / (
        2 * step
    )
