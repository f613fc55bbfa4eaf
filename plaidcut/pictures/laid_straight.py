"""The cloth of a photo laid straight: columns follow the up threads, rows the others.

A measurement's document keeps every band edge that was seen. The threads run as they do, and
between them smoothly; so a photo and its document are enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats, ThreadField
from plaidcut.cloth.light import work_picture
from plaidcut.cloth.mesh import over_mesh
from plaidcut.cloth.unrolled import thread_grid, values
from plaidcut.errors import UsageError
from plaidcut.scale.plane import Points, Scale
from plaidcut.stripes.measurement import Direction, Measurement, ThreadSystem

if TYPE_CHECKING:
    from plaidcut.photo import Photo

STEP_MM: Final = 0.3
"""A pixel of the cloth laid straight: three to a millimetre show yarns, as large as strips are
drawn."""

SHADOW_MM: Final = 4.0
"""Around the card or ruler: its shadow (chosen here)."""

MOST_POINTS: Final = 40
"""Points of an edge that its threads are taken from: they bend on no shorter scale."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Straight:
    """Cloth laid straight."""

    light: NDArray[np.float32]
    """Linear light (H, W, 3); 0 where nothing is known."""
    known: NDArray[np.bool_]
    """Where there is cloth (H, W)."""
    step_mm: float
    phase_mm: tuple[float, float]
    """What stands at its left edge and at its upper one, from the start of each repeat."""

    def turned(self) -> Straight:
        """Rows and columns exchanged: strips of the across threads then are columns."""
        return Straight(
            light=self.light.transpose(1, 0, 2),
            known=self.known.T,
            step_mm=self.step_mm,
            phase_mm=self.phase_mm[::-1],
        )


def straight_bytes(straight: Straight) -> bytes:
    """Cloth laid straight as the bytes of a file, which `straight_of` reads; half precision."""
    file = BytesIO()
    np.savez_compressed(
        file,
        light=straight.light.astype(np.float16),
        known=straight.known,
        places_mm=np.array([straight.step_mm, *straight.phase_mm]),
    )
    return file.getvalue()


def straight_of(data: bytes) -> Straight:
    """The cloth that `straight_bytes` kept."""
    with np.load(BytesIO(data), allow_pickle=False) as kept:
        step_mm, left_mm, top_mm = (float(each) for each in kept["places_mm"])
        return Straight(
            light=kept["light"].astype(np.float32),
            known=kept["known"],
            step_mm=step_mm,
            phase_mm=(left_mm, top_mm),
        )


def laid_straight(photo: Photo, measurement: Measurement, *, step_mm: float = STEP_MM) -> Straight:
    """Lay the cloth of a photo straight.

    Parameters
    ----------
    photo
        The photo that was measured.
    measurement
        Its measurement, as measured or read from its document.
    step_mm
        Size of a pixel.

    Raises
    ------
    UsageError
        If widths were typed, not measured.
    """
    scale = measurement.scale
    if scale is None:
        msg = "Widths typed by hand have no cloth to show."
        raise UsageError(msg, hint="Measure a photo of it.")
    outline_mm = scale.to_mm(measurement.cloth.outline_px)
    box_mm = np.array([outline_mm.min(axis=0), outline_mm.max(axis=0)])
    up, across = (
        _field_of(system, scale, measurement.cloth.outline_px, box_mm)
        for system in measurement.systems
    )
    uv = values(up, across, outline_mm)
    box_uv = np.array([uv.min(axis=0), uv.max(axis=0)])
    grid = thread_grid((up, across), box_uv, step_mm=step_mm)
    picture = work_picture(photo, scale)
    at = picture.from_photo_px(scale.to_px(grid.node_mm))
    light = picture.light_at(over_mesh(at, grid.shape))
    known = _inside(uv, box_uv[0], step_mm, grid.shape)
    hidden = [region.outline_px for region in measurement.cloth.left_out]
    if scale.mark_px is not None:
        hidden.append(_grown(scale, scale.mark_px))
    for outline_px in hidden:
        outline_uv = values(up, across, scale.to_mm(outline_px))
        known &= ~_inside(outline_uv, box_uv[0], step_mm, grid.shape)
    known &= np.isfinite(light[..., 0])
    np.copyto(light, 0, where=~known[..., None])
    return Straight(
        light=light,
        known=known,
        step_mm=step_mm,
        phase_mm=(float(box_uv[0, 0]), float(box_uv[0, 1])),
    )


def edge_places_mm(system: ThreadSystem) -> Floats:
    """Where each edge that was seen lies, (N,), from the start of a repeat, in order."""
    after = [beside[1] for beside in system.edge_bands]
    before = [beside[0] for beside in system.edge_bands]
    ids = [band.id for band in system.bands]
    places: list[float] = []
    for k, band_id in enumerate(after):
        if k == 0:
            places.append(0.0 if band_id is None else system.band(band_id).start_mm)
            continue
        at_mm, index = places[-1], ids.index(str(after[k - 1]))
        at_mm += system.bands[index].width_mm
        while ids[index] != before[k]:  # edges between that could not be traced
            index = (index + 1) % len(ids)
            at_mm += system.bands[index].width_mm
        places.append(at_mm)
    return np.array(places)


def _field_of(
    system: ThreadSystem, scale: Scale, outline_px: Points, box_mm: Floats
) -> ThreadField:
    """The threads of a system: through its edges, or straight where it has none."""
    if len(system.edges_px) < 2:
        return _straight_field(system, scale, outline_px, box_mm)
    points, places = [], []
    for line, place_mm in zip(system.edges_px, edge_places_mm(system), strict=True):
        some = line[np.unique(np.linspace(0, len(line) - 1, MOST_POINTS).astype(int))]
        points.append(scale.to_mm(some))
        places.append(np.full(len(some), place_mm))
    return ThreadField.through(np.concatenate(points), np.concatenate(places), box_mm)


def _straight_field(
    system: ThreadSystem, scale: Scale, outline_px: Points, box_mm: Floats
) -> ThreadField:
    angle = np.radians(system.angle_px_deg or 0.0)
    middle = outline_px.mean(axis=0)
    along = 50 * np.array([np.cos(angle), np.sin(angle)])
    first, last = scale.to_mm(np.array([middle - along, middle + along]))
    dx, dy = last - first
    normal = np.array([-dy, dx])
    grows = normal[0] if system.direction is Direction.UP else normal[1]
    normal = normal if grows > 0 else -normal
    return ThreadField.straight(float(np.degrees(np.arctan2(normal[1], normal[0]))), box_mm)


def _grown(scale: Scale, outline_px: Points) -> Points:
    """The outline of a mark with its shadow, on the photo."""
    from shapely import Polygon

    grown = Polygon(scale.to_mm(outline_px)).buffer(SHADOW_MM)
    return scale.to_px(np.array(grown.exterior.coords))


def _inside(
    uv_mm: Points, low_mm: Floats, step_mm: float, shape: tuple[int, int]
) -> NDArray[np.bool_]:
    """Which pixels of the grid lie in a polygon of thread coordinates."""
    import cv2

    mask = np.zeros(shape, np.uint8)
    cv2.fillPoly(mask, [np.rint((uv_mm - low_mm) / step_mm).astype(np.int32)], 1)
    return mask.astype(bool)
