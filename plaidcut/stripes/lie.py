"""How the cloth lies: skew and bow, its outline, what was left out, edges traced in the photo."""

from __future__ import annotations

import numpy as np

from plaidcut.cloth.cloth import Cloth, px_gradient
from plaidcut.cloth.field import Floats
from plaidcut.cloth.unrolled import invert
from plaidcut.scale.plane import Points
from plaidcut.stripes.measurement import ANOTHER_CARD, LeftOut

TRACE_MM = 8.0
"""Distance of the points along a traced edge."""
LEAST_LEFT_OUT_MM2 = 100.0


def left_out_px(cloth: Cloth) -> tuple[LeftOut, ...]:
    """What lies within the cloth's outline, or beyond a seam, and was not measured."""
    import cv2

    view = cloth.view
    gaps = view.polygon(cloth.scale.to_mm(outline_px(cloth))) & ~cloth.marked & ~cloth.around.mark
    least = LEAST_LEFT_OUT_MM2 * view.px_per_mm**2
    regions = [LeftOut(code=ANOTHER_CARD, outline_px=px) for px in cloth.scale.other_marks_px]
    for code, part in (("not-woven", gaps & ~cloth.beyond), ("beyond-a-seam", cloth.beyond)):
        lines, _ = cv2.findContours(
            part.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE
        )
        regions += [
            LeftOut(code=code, outline_px=cloth.scale.to_px(view.to_mm(line[:, 0].astype(float))))
            for line in lines
            if cv2.contourArea(line) > least
        ]
    return tuple(regions)


def trace(cloth: Cloth, index: int, position_mm: float) -> Points:
    """Pixels (N, 2) along the thread of one system at a field value, where it is cloth."""
    other = cloth.fields[1 - index].value(cloth.points(every_mm=16.0))
    along = np.arange(other.min(), other.max() + TRACE_MM, TRACE_MM)
    fixed = np.full_like(along, position_mm)
    uv = np.stack([fixed, along] if index == 0 else [along, fixed], axis=-1)
    xy = invert(*cloth.fields, uv)
    near = cloth.view.look_up(cloth.marked | cloth.around.mark, xy[None])[0]
    kept = np.flatnonzero(near)
    if len(kept) < 2:
        return np.empty((0, 2))
    return cloth.scale.to_px(xy[kept[0] : kept[-1] + 1])


def angle_px_deg(cloth: Cloth, index: int) -> float:
    """Direction of the threads near the picture's centre, degrees, [0, 180), y down."""
    normal = px_gradient(cloth.scale, cloth.fields[index], cloth.scale.center_px)
    return float(np.rad2deg(np.arctan2(normal[0], -normal[1])) % 180)


def _mean_normals(cloth: Cloth) -> tuple[Floats, Floats]:
    points = cloth.points(every_mm=16.0)
    first, second = (f.gradient(points) for f in cloth.fields)
    return first, second


def skew_deg(cloth: Cloth) -> float:
    """How far from square the systems cross, on average."""
    up, across = _mean_normals(cloth)
    cosine = (
        np.sum(up * across, axis=1) / np.linalg.norm(up, axis=1) / np.linalg.norm(across, axis=1)
    )
    return float(np.rad2deg(np.mean(np.arcsin(np.clip(cosine, -1, 1)))))


def bow(cloth: Cloth) -> float:
    """Largest departure of the median across thread from its chord, over its length."""
    points = cloth.points(every_mm=16.0)
    ups, values = cloth.fields[0].value(points), cloth.fields[1].value(points)
    along = np.linspace(ups.min(), ups.max(), 25)
    xy = invert(*cloth.fields, np.stack([along, np.full_like(along, np.median(values))], axis=-1))
    xy = xy[cloth.view.look_up(cloth.marked | cloth.around.mark, xy[None])[0]]
    if len(xy) < 3:
        return 0.0
    chord = xy[-1] - xy[0]
    length = float(np.linalg.norm(chord))
    away = np.abs((xy - xy[0]) @ np.array([-chord[1], chord[0]])) / length
    return float(away.max() / length)


def outline_px(cloth: Cloth) -> Points:
    """Polygon (N, 2) round the cloth that was measured, in pixels."""
    import cv2

    part = (cloth.marked | (cloth.around.mark & cloth.view.framed)).astype(np.uint8)
    lines, _ = cv2.findContours(part, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    longest = max(lines, key=cv2.contourArea)
    simple = cv2.approxPolyDP(longest, 1.5 * cloth.view.px_per_mm, closed=True)[:, 0].astype(float)
    return cloth.scale.to_px(cloth.view.to_mm(simple))
