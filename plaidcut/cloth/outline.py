"""What of the picture is cloth: where yarns are seen, joined to what surrounds the mark.

Woven wool shows its yarns nearly everywhere at the size of half a millimetre, and it
shows them in two directions: paper, tables and hands hardly do, and wood, whose grain
may be as strong, runs one way. Cloth is where that fine texture is like the texture
around the card, which lies on the cloth; later, what the weave does not explain
(holes, seams, stains) is left out as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.both import one_by_one
from plaidcut.cloth.light import FULL, WorkPicture, percept
from plaidcut.cloth.mesh import mesh_nodes, over_mesh, remap
from plaidcut.cloth.unrolled import Unrolled
from plaidcut.cloth.view import PlaneView
from plaidcut.cloth.weave import Weave
from plaidcut.errors import NoCloth, UsageError
from plaidcut.scale.plane import Points, Scale
from plaidcut.srgb import LUMINANCE

YARN_BAND_MM = (0.12, 0.35)
"""Standard deviations of the two blurs between which yarns show."""
TENSOR_SMOOTH_MM = 0.8
"""Over about a yarn: yarns cross everywhere, a contour printed on a smooth thing runs one way."""
TEXTURE_SMOOTH_MM = 2.5
THINNED = 4
"""Slopes averaged over a yarn are so smooth that every fourth pixel tells it all."""
TEXTURE_ROWS = 24
"""Rows of what is left that are looked at at a time, to hold little of it in memory."""
MARGIN_MM = 5.0
"""Kept free around the mark: it casts a shadow and lifts the cloth's pile."""
RING_MM = 40.0
"""The cloth is learnt from this much around the mark."""
RING_QUANTILE = 0.3
"""The texture of the ring's plainer part, a third of which may be table."""
TEXTURE_SHARE = 0.38
"""Cloth has at least this share of that texture ..."""
TABLE_TEXTURE = 0.0095
"""... and more than a bare table shows, where the sensor's noise is 0.005 to 0.008 (rendered
photos; perceptual scale 0..1, per mm) ..."""
BLURRED_SHARE = 0.6
"""... unless blur has drowned the yarns: then this share of the ring's is asked for."""
LEAST_BORDERED = 0.6
"""Dark stripes beside light ones show less than their share: more than a table does is enough
of what cloth borders along this much of its edge. A table has the picture's edge for most of it."""
EDGE_MM = 9.0
"""Taken off where cloth borders on something else: fringes, and the texture's own smoothing."""
FOREIGN_MM = 4.0
"""Taken off round what the weave does not explain."""
OPEN_MM = 4.0
"""What hangs on by a neck narrower than twice this is not cloth."""
CLOSE_MM = 6.0
"""Plain spots of one yarn's colour show little texture: gaps up to twice this are bridged ..."""
SCATTER_MM = 8.0
LEAST_DENSE = 0.4
"""... unless less than this share of what lies around (a Gaussian of :data:`SCATTER_MM`) shows
texture, as scattered flowers printed on a smooth thing do."""
LEAST_HOLE_MM2 = 1500.0
"""... and what cloth surrounds is cloth up to this size, unless the weave tells otherwise."""
LEAST_CLOTH_MM2 = 2500.0
LEAST_MISFIT = 0.08
MISFIT_FACTOR = 3.0
"""What departs from the weave by :data:`LEAST_MISFIT` of its brightness and this many times as
much as the cloth usually does is not of it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """The mark and the ring of cloth around it, on the view's grid."""

    mark: NDArray[np.bool_]
    """The mark, and further cards, with their margin (H, W)."""
    ring: NDArray[np.bool_]


def surroundings(view: PlaneView, scale: Scale) -> Surroundings:
    """Mark and ring; without a mark, the ring is a disc at the picture's centre."""
    if scale.mark_px is None or len(scale.mark_px) < 3:
        column, row = np.round(view.to_grid(scale.to_mm(scale.center_px))).astype(int).tolist()
        height, width = view.framed.shape
        center = np.zeros((height, width), bool)
        center[min(max(row, 0), height - 1), min(max(column, 0), width - 1)] = True
        return Surroundings(
            mark=np.zeros_like(center), ring=_grown(center, RING_MM * view.px_per_mm) & view.framed
        )
    inside = [view.polygon(scale.to_mm(px)) for px in (scale.mark_px, *scale.other_marks_px)]
    mark = _grown(np.any(inside, axis=0), MARGIN_MM * view.px_per_mm)
    ring = _grown(mark, RING_MM * view.px_per_mm) & view.framed & ~mark
    return Surroundings(mark=mark, ring=ring)


def yarn_texture(picture: WorkPicture, scale: Scale, view: PlaneView) -> NDArray[np.float32]:
    """Strength of the fine texture on the view's grid (H, W), perceptual scale per mm.

    Root mean square slope over a yarn in the direction in which it is weaker (the root of the
    structure tensor's lesser eigenvalue), averaged around.
    """
    import cv2

    px = scale.px_per_mm * picture.factor
    xx, xy, yy = (
        cv2.GaussianBlur(each, (0, 0), TENSOR_SMOOTH_MM * px / THINNED)
        for each in _slope_products(picture, px)
    )
    weaker = np.sqrt(np.maximum((xx + yy) / 2 - np.hypot((xx - yy) / 2, xy), 0))
    strength = cv2.GaussianBlur(weaker, (0, 0), TEXTURE_SMOOTH_MM * px / THINNED)
    shape = view.framed.shape
    nodes = picture.from_photo_px(scale.to_px(view.to_mm(mesh_nodes(shape))))
    at = over_mesh((nodes + 0.5) / THINNED - 0.5, shape)
    return np.asarray(remap(np.asarray(strength, np.float32), at, cv2.INTER_LINEAR), np.float32)


def _slope_products(picture: WorkPicture, px_per_mm: float) -> NDArray[np.float32]:
    """Products of the yarns' slopes, xx, xy and yy, averaged over squares of pixels (3, h, w)."""
    import cv2

    stds = [max(0.3, each * px_per_mm) for each in YARN_BAND_MM]
    beside = int(4 * max(stds)) + 2  # rows that the blurs and the slopes look at
    high, wide = (count // THINNED for count in picture.rgb.shape[:2])
    products = np.empty((3, high, wide), np.float32)

    def look(top: int) -> None:
        rows = slice(top, min(top + TEXTURE_ROWS, high))
        first, last = rows.start * THINNED, rows.stop * THINNED
        above = max(0, first - beside)
        grey = cv2.transform(picture.rgb[above : last + beside], LUMINANCE[None])
        tones = percept(grey * np.float32(1 / FULL))
        sharp, soft = (cv2.GaussianBlur(tones, (0, 0), std) for std in stds)
        slope_x, slope_y = (
            cv2.Scharr(sharp - soft, cv2.CV_32F, *way, scale=px_per_mm / 32)[first - above :]
            for way in ((1, 0), (0, 1))
        )
        pairs = ((slope_x, slope_x), (slope_x, slope_y), (slope_y, slope_y))
        for product, pair in zip(products, pairs, strict=True):
            whole = cv2.multiply(*pair)[: last - first, : wide * THINNED]
            product[rows] = cv2.resize(
                whole, (wide, rows.stop - rows.start), interpolation=cv2.INTER_AREA
            )

    one_by_one(look, range(0, high, TEXTURE_ROWS))
    return products


def first_outline(
    picture: WorkPicture, scale: Scale, view: PlaneView, around: Surroundings
) -> NDArray[np.bool_]:
    """Where there is cloth (H, W of the view), from its texture.

    Raises
    ------
    NoCloth
        Where too little is left.
    """
    texture = yarn_texture(picture, scale, view)
    cloth = view.framed & ~around.mark
    usual = float(np.quantile(texture[around.ring], RING_QUANTILE)) if around.ring.any() else 0.0
    table = min(TABLE_TEXTURE, BLURRED_SHARE * usual)
    faint = cloth & (texture > table)
    cloth &= texture > max(TEXTURE_SHARE * usual, table)
    cloth |= _bordered(faint & ~cloth, cloth | around.mark)
    return tidy(cloth, view, around)


def drawn_outline(
    outline_px: Points, scale: Scale, view: PlaneView, around: Surroundings
) -> NDArray[np.bool_]:
    """Where there is cloth (H, W of the view) by an outline drawn on the photo, (N, 2).

    Raises
    ------
    UsageError
        If it crosses itself.
    NoCloth
        Where too little lies in it.
    """
    from shapely import Polygon

    if len(outline_px) < 3 or not Polygon(outline_px).is_valid:
        msg = "The outline drawn round the cloth crosses itself, or has fewer than three corners."
        raise UsageError(msg, hint="Draw its corners in order, once round the cloth.")
    inside = view.polygon(scale.to_mm(outline_px)) & view.framed & ~around.mark
    return _enough(inside, view, "lies in the outline")


def tidy(
    cloth: NDArray[np.bool_], view: PlaneView, around: Surroundings, *, fill: bool = True
) -> NDArray[np.bool_]:
    """The part joined to the ring, small gaps filled (``fill``), its edge taken off.

    Raises
    ------
    NoCloth
        Where less than :data:`LEAST_CLOTH_MM2` is left.
    """
    import cv2

    px = view.px_per_mm
    # the mark lies on the cloth and must not part it
    part = (cloth | around.mark).astype(np.uint8)
    if fill:
        wide = 2 * round(CLOSE_MM * px) + 1
        bridge = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (wide, wide))
        dense = _share_around(cloth, view.framed & ~around.mark, SCATTER_MM * px) > LEAST_DENSE
        bridged = np.asarray(cv2.morphologyEx(part, cv2.MORPH_CLOSE, bridge), np.uint8)
        part = bridged & (dense | around.mark)
    # nor does the picture's edge end it
    size = 2 * round(OPEN_MM * px) + 1
    element = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    opened = cv2.morphologyEx(part | ~view.framed, cv2.MORPH_OPEN, element)
    opened = (opened > 0).astype(np.uint8) * view.framed
    count, labels, stats, _ = cv2.connectedComponentsWithStats(opened)
    if count < 2:
        msg = "No woven cloth was found in the photo."
        raise NoCloth(msg)
    weight = np.bincount(labels[around.ring], minlength=count).astype(float)
    weight[0] = 0
    chosen = int(weight.argmax()) if weight.any() else int(stats[1:, cv2.CC_STAT_AREA].argmax()) + 1
    part = (labels == chosen).astype(np.uint8)
    _, gaps, gap_stats, _ = cv2.connectedComponentsWithStats(1 - part)
    small = gap_stats[:, cv2.CC_STAT_AREA] < LEAST_HOLE_MM2 * px * px
    small[0] = False
    whole = (part > 0) | (small[gaps] & fill)
    beside = _grown(~whole & view.framed, (EDGE_MM if fill else FOREIGN_MM) * px)
    left = _pieces(whole & ~beside, LEAST_CLOTH_MM2 * px * px) & ~around.mark & view.framed
    return _enough(left, view, "was found")


def _enough(cloth: NDArray[np.bool_], view: PlaneView, where: str) -> NDArray[np.bool_]:
    """The same cloth, where it isn't too little."""
    area_mm2 = float(cloth.sum()) / view.px_per_mm**2
    if area_mm2 < LEAST_CLOTH_MM2:
        msg = f"Too little woven cloth {where}: {area_mm2 / 100:.0f} cm²."
        raise NoCloth(msg)
    return np.asarray(cloth)


def without_misfits(
    cloth: NDArray[np.bool_],
    view: PlaneView,
    around: Surroundings,
    unrolled: Unrolled,
    weave: Weave,
) -> NDArray[np.bool_]:
    """The cloth less what the weave does not explain."""
    known = np.isfinite(weave.misfit)
    limit = LEAST_MISFIT + MISFIT_FACTOR * float(np.median(weave.misfit[known]))
    bad = known & (weave.misfit > limit)
    if not bad.any():
        return cloth
    rows, columns = np.nonzero(bad)
    block = weave.block
    middle = (
        np.minimum(rows * block + block // 2, unrolled.valid.shape[0] - 1),
        np.minimum(columns * block + block // 2, unrolled.valid.shape[1] - 1),
    )
    at = np.round(view.to_grid(unrolled.grid.xy_mm(*middle))).astype(int)
    foreign = np.zeros_like(cloth)
    inside = (at >= 0).all(axis=1) & (at < [cloth.shape[1], cloth.shape[0]]).all(axis=1)
    foreign[at[inside, 1], at[inside, 0]] = True
    foreign = _grown(foreign, 1.0 * view.px_per_mm)
    return tidy(cloth & ~foreign, view, around, fill=False)


def _bordered(parts: NDArray[np.bool_], by: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The connected parts (H, W) that lie beside ``by`` along :data:`LEAST_BORDERED` of their edge.

    The picture's edge and whatever else they lie beside count against it.
    """
    import cv2

    count, labels = cv2.connectedComponents(parts.view(np.uint8), connectivity=4)
    labels, by = np.pad(labels, 1), np.pad(by, 1)
    edge, beside = np.zeros((2, count))
    for axis in (0, 1):
        for step in (1, -1):
            ends = labels != np.roll(labels, step, axis)
            edge += np.bincount(labels[ends], minlength=count)
            beside += np.bincount(labels[ends & np.roll(by, step, axis)], minlength=count)
    kept = beside > LEAST_BORDERED * edge
    kept[0] = False
    return np.asarray(kept[labels[1:-1, 1:-1]])


def _share_around(
    flags: NDArray[np.bool_], among: NDArray[np.bool_], std: float
) -> NDArray[np.floating]:
    """Share of flags around each place, of what lies ``among``; a Gaussian mean."""
    import cv2

    of_flags, of_all = (
        cv2.GaussianBlur(each.astype(np.float32), (0, 0), std) for each in (flags & among, among)
    )
    return np.asarray(of_flags / np.maximum(of_all, 1e-6))


def _pieces(flags: NDArray[np.bool_], least: float) -> NDArray[np.bool_]:
    """The connected parts of at least so many grid squares."""
    import cv2

    _, labels, stats, _ = cv2.connectedComponentsWithStats(flags.view(np.uint8))
    large = stats[:, cv2.CC_STAT_AREA] >= least
    large[0] = False
    return np.asarray(large[labels])


def _grown(flags: NDArray[np.bool_], radius: float) -> NDArray[np.bool_]:
    """Flags dilated by a disc of that radius in grid steps."""
    import cv2

    away = cv2.distanceTransform((~flags).view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.asarray(away <= radius)
