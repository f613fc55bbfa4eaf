"""The pieces of a garment as shapes on the cloth: outlines, holes, allowances, shrinkage.

Lengths are millimetres, x to the right and y down. On the cloth, x runs across the *up* threads
and y along them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.errors import NothingFits, UsageError
from plaidcut.scale.plane import Scale
from plaidcut.stripes.measurement import ANOTHER_CARD, Direction, Measurement, ThreadSystem

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

Point = tuple[float, float]

MOST_LONG_MM: Final = 10_000.0
"""Longest side of a piece: a kilt's cloth is 7 m (S06)."""

_QUARTER_SEGMENTS: Final = 16
"""Sides of a quarter of a round hole: it is drawn too small by 0.5 % of its radius at most, and
so is made that much larger."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GarmentPiece:
    """A piece of a garment, laid on the cloth."""

    name: str
    count: int
    sewn: BaseGeometry
    """Its outline as it is, seams and hem included."""
    cloth: BaseGeometry
    """What there is to cut: without seams, hem and holes."""
    true_edge: bool
    """Whether strips can be cut off its left (upper) edge as it is, as it was torn."""
    at: tuple[str, ...] = ()
    """What stands at its left and upper edge, as typed; nothing where that isn't known."""
    rough: bool = False
    """Whether its size is a rough guess."""
    seamed: bool = False
    """Whether seams or a hem are to be cut away."""
    holes: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrinkage:
    """How much cloth shrinks, as a share of each length."""

    lengthwise: float
    """Along the warp."""
    crosswise: float

    @property
    def of_area(self) -> float:
        """Share of the area that goes."""
        return 1 - (1 - self.lengthwise) * (1 - self.crosswise)


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowances:
    """What is cut away all around, and at the bottom."""

    seam_mm: float = 0.0
    hem_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A place where there is no cloth to cut: a moth's hole, a dart, a pocket."""

    points: tuple[Point, ...]


def rectangle(width_mm: float, height_mm: float) -> tuple[Point, ...]:
    """Corners of a rectangle."""
    return trapezoid(width_mm, width_mm, height_mm)


def trapezoid(top_mm: float, bottom_mm: float, height_mm: float) -> tuple[Point, ...]:
    """Corners of a gore, its top and bottom centred on each other."""
    wide_mm = max(top_mm, bottom_mm)
    top, bottom = (wide_mm - top_mm) / 2, (wide_mm - bottom_mm) / 2
    return (
        (top, 0.0),
        (top + top_mm, 0.0),
        (bottom + bottom_mm, height_mm),
        (bottom, height_mm),
    )


def round_hole(middle: Point, diameter_mm: float) -> Hole:
    """A round hole, as a polygon that holds it whole."""
    from shapely import Point as Dot

    radius_mm = diameter_mm / 2 / np.cos(np.pi / 4 / _QUARTER_SEGMENTS)
    ring = Dot(middle).buffer(radius_mm, quad_segs=_QUARTER_SEGMENTS)
    return Hole(points=tuple((x, y) for x, y in ring.exterior.coords[:-1]))


def square_hole(middle: Point, width_mm: float, height_mm: float) -> Hole:
    """A hole with four straight sides, around its middle."""
    x, y = middle[0] - width_mm / 2, middle[1] - height_mm / 2
    return Hole(points=tuple((x + dx, y + dy) for dx, dy in rectangle(width_mm, height_mm)))


def outline_of(points: Sequence[Point]) -> Polygon:
    """An outline from its corners.

    Raises
    ------
    UsageError
        If it crosses itself, or has no area.
    """
    from shapely import Polygon
    from shapely.validation import explain_validity

    if len(points) < 3:
        msg = f"an outline needs three corners, and has {len(points)}."
        raise UsageError(msg, hint="List its corners in order, one after the other.")
    outline = Polygon(points)
    if outline.convex_hull.area <= 0.0:
        msg = "its corners lie on a line: it has no area."
        raise UsageError(msg, hint="List its corners in order, one after the other.")
    left, top, right, bottom = outline.bounds
    if max(right - left, bottom - top) > MOST_LONG_MM:
        msg = f"a piece {max(right - left, bottom - top) / 1000:.0f} m long is no garment's."
        raise UsageError(msg, hint=f"Give pieces to {MOST_LONG_MM / 1000:.0f} m, and how many.")
    if not outline.is_valid:
        why = explain_validity(outline).split("[")[0].lower()
        msg = f"the outline crosses itself ({why})."
        raise UsageError(msg, hint="List its corners in order, one after the other.")
    return outline


def cloth_of(outline: Polygon, holes: Sequence[Hole], allowances: Allowances) -> BaseGeometry:
    """What is left of an outline without its holes, seams and hem.

    Raises
    ------
    UsageError
        If a hole crosses itself or lies outside, or the allowances leave nothing.
    """
    from shapely import box

    left: BaseGeometry = outline
    for number, hole in enumerate(holes, 1):
        try:
            gap = outline_of(hole.points)
        except UsageError as error:
            msg = f"hole {number}: {error.message}"
            raise UsageError(msg, hint=error.hint) from error
        if not outline.covers(gap):
            msg = f"hole {number} lies outside the piece, or reaches over its edge."
            raise UsageError(msg, hint="Places are measured from the piece's upper left corner.")
        left = left.difference(gap)
    inside: BaseGeometry = outline.buffer(-allowances.seam_mm, join_style="mitre")
    if allowances.hem_mm:
        min_x, min_y, max_x, max_y = outline.bounds
        inside = inside.intersection(box(min_x, min_y, max_x, max_y - allowances.hem_mm))
    left = left.intersection(inside)
    if left.is_empty:
        msg = "seams and hem leave nothing of it."
        raise UsageError(msg)
    return left


def turned(shape: BaseGeometry, lean_deg: float) -> BaseGeometry:
    """A shape turned so that threads that lean to the right by an angle run up and down."""
    from shapely.affinity import rotate

    return rotate(shape, -lean_deg, origin=(0, 0))


def sideways(shape: BaseGeometry) -> BaseGeometry:
    """A shape with x and y changed over, for strips of the across threads."""
    from shapely import transform

    return transform(shape, lambda xy: xy[:, ::-1])


def shrunk_piece(piece: GarmentPiece, by: Shrinkage, warp: Direction) -> GarmentPiece:
    """A piece as it is after washing."""
    from shapely.affinity import scale

    along, across = 1 - by.lengthwise, 1 - by.crosswise
    fx, fy = (across, along) if warp is Direction.UP else (along, across)
    return replace(
        piece,
        sewn=scale(piece.sewn, fx, fy, origin=(0, 0)),
        cloth=scale(piece.cloth, fx, fy, origin=(0, 0)),
    )


def shrunk_measurement(measurement: Measurement, by: Shrinkage, warp: Direction) -> Measurement:
    """A measurement as that cloth is after washing: each direction's bands are that much narrower.

    Bands that run along the warp lie side by side across it, and shrink crosswise.
    """
    shares = {
        direction: by.crosswise if direction is warp else by.lengthwise for direction in Direction
    }
    return replace(
        measurement,
        up=_shrunk_system(measurement.up, 1 - shares[Direction.UP]),
        across=_shrunk_system(measurement.across, 1 - shares[Direction.ACROSS]),
    )


def piece_of_photo(measurement: Measurement) -> GarmentPiece:
    """The cloth that a photo shows, as a piece; what was left out is a hole.

    Raises
    ------
    UsageError
        If there is no photo.
    NothingFits
        If its outline encloses nothing.
    """
    from shapely import Polygon
    from shapely.affinity import translate

    angle_deg = measurement.up.angle_px_deg
    if measurement.scale is None or angle_deg is None:
        msg = "Widths typed by hand have no photo, which would show the cloth's outline."
        raise UsageError(msg, hint='Type the size of the piece: --piece "20 x 14 in".')
    scale, outline_px = measurement.scale, measurement.cloth.outline_px
    lean_deg = _lean_deg(scale, outline_px.mean(axis=0), angle_deg)
    outline = Polygon(scale.to_mm(outline_px)).buffer(0)
    if outline.is_empty:
        msg = "The outline of the cloth in the photo encloses nothing."
        raise NothingFits(msg, hint='Type the size of the piece: --piece "20 x 14 in".')
    cloth: BaseGeometry = outline
    holes = [each for each in measurement.cloth.left_out if each.code != ANOTHER_CARD]
    for region in holes:
        cloth = cloth.difference(Polygon(scale.to_mm(region.outline_px)).buffer(0))
    sewn, cloth = turned(outline, lean_deg), turned(cloth, lean_deg)
    min_x, min_y, *_ = sewn.bounds
    return GarmentPiece(
        name="the cloth in the photo",
        count=1,
        sewn=translate(sewn, -min_x, -min_y),
        cloth=translate(cloth, -min_x, -min_y),
        true_edge=False,
        at=("photo",),
        holes=len(holes),
    )


def _lean_deg(scale: Scale, at_px: np.ndarray, angle_px_deg: float) -> float:
    """How far the up threads lean to the right of the plane's y axis near a point of the photo."""
    along = np.array([np.cos(np.radians(angle_px_deg)), np.sin(np.radians(angle_px_deg))])
    first, last = scale.to_mm(np.array([at_px - 50 * along, at_px + 50 * along]))
    dx, dy = last - first
    return float(-np.degrees(np.arctan2(dx * np.sign(dy), abs(dy))))


def _shrunk_system(system: ThreadSystem, factor: float) -> ThreadSystem:
    """A thread system with all widths made smaller."""
    return replace(
        system,
        repeat_mm=None if system.repeat_mm is None else system.repeat_mm * factor,
        repeat_std_mm=None if system.repeat_std_mm is None else system.repeat_std_mm * factor,
        origin_mm=system.origin_mm * factor,
        bands=tuple(
            replace(
                band,
                start_mm=band.start_mm * factor,
                width_mm=band.width_mm * factor,
                width_std_mm=band.width_std_mm * factor,
                width_edge_std_mm=band.width_edge_std_mm * factor,
            )
            for band in system.bands
        ),
    )
