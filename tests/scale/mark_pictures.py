"""Photos of rectangles and rulers on plaid with known truth, drawn here from first principles.

Nothing of plaidcut is used, so that both can't be wrong together. Every pixel is
the mean light of nine points; each is traced through the lens and the homography
to the plane, where it meets a mark or the threads of a 2/2 twill.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

FINER = 3
"""Every pixel is the mean of this many by this many points."""

TEXTURE_PX_PER_MM = 12
"""Resolution at which marks are drawn."""

PITCH_MM = 0.6
"""Threads of the cloth lie this far apart."""

COLOURS = np.array(
    [
        [0.42, 0.03, 0.03],
        [0.02, 0.10, 0.05],
        [0.75, 0.72, 0.62],
        [0.02, 0.03, 0.12],
        [0.62, 0.42, 0.04],
        [0.02, 0.02, 0.02],
        [0.30, 0.33, 0.36],
    ],
    np.float32,
)
"""Yarn colours, linear light: red, green, cream, navy, yellow, black, grey."""


@dataclass(frozen=True, kw_only=True)
class View:
    """Where the camera is; plane millimetres have their origin at the first mark's corner."""

    size_px: tuple[int, int] = (1600, 1200)
    px_per_mm: float = 5.0
    """At the plane's point that the camera's axis meets."""
    middle_mm: tuple[float, float] = (76.2, 50.8)
    """That point."""
    turn_deg: float = 0.0
    tilt_deg: float = 0.0
    tilt_axis_deg: float = 30.0
    focal_share: float = 0.8
    k1: float = 0.0

    @property
    def plane_to_px(self) -> Floats:
        """Homography (3, 3) from plane millimetres to pixels, lens left out."""
        width, height = self.size_px
        focal = self.focal_share * max(self.size_px)
        turn, tilt, axis = np.radians([self.turn_deg, self.tilt_deg, self.tilt_axis_deg])
        spin = cv2.Rodrigues(np.array([0, 0, turn]))[0]
        lean = cv2.Rodrigues(tilt * np.array([np.cos(axis), np.sin(axis), 0]))[0]
        pose = (lean @ spin)[:, :2]
        away = np.array([0, 0, focal / self.px_per_mm]) - pose @ np.array(self.middle_mm)
        camera = [[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]]
        matrix = np.array(camera) @ np.column_stack([pose, away])
        return matrix / matrix[2, 2]

    def to_px(self, xy_mm: ArrayLike) -> Floats:
        """Plane (..., 2) to photo pixels."""
        ideal = _project(self.plane_to_px, np.asarray(xy_mm, float))
        center, norm = self._lens
        off = (ideal - center) / norm
        return center + norm * off * (1 + self.k1 * np.sum(off**2, -1, keepdims=True))

    def to_mm(self, xy_px: ArrayLike) -> Floats:
        """Photo pixels (..., 2) to the plane, by fixed-point rounds through the lens."""
        center, norm = self._lens
        seen = (np.asarray(xy_px, float) - center) / norm
        off = seen
        for _ in range(12):
            off = seen / (1 + self.k1 * np.sum(off**2, -1, keepdims=True))
        return _project(np.linalg.inv(self.plane_to_px), center + norm * off)

    def px_per_mm_at(self, xy_px: ArrayLike) -> Floats:
        """Square root of the local area scale at pixels (..., 2), by differences of a pixel."""
        xy = np.asarray(xy_px, float)
        right = self.to_mm(xy + [0.5, 0]) - self.to_mm(xy - [0.5, 0])
        down = self.to_mm(xy + [0, 0.5]) - self.to_mm(xy - [0, 0.5])
        return 1 / np.sqrt(np.abs(right[..., 0] * down[..., 1] - right[..., 1] * down[..., 0]))

    @property
    def _lens(self) -> tuple[Floats, float]:
        width, height = self.size_px
        return np.array([(width - 1) / 2, (height - 1) / 2]), float(np.hypot(width, height)) / 2


@dataclass(frozen=True, kw_only=True, eq=False)
class Mark:
    """A flat thing on the cloth: its size, its rounded corners and what is printed on it."""

    size_mm: tuple[float, float]
    light: NDArray[np.float32] = field(repr=False)
    """Linear light (h, w, 3), `TEXTURE_PX_PER_MM`."""
    radius_mm: float = 0.0
    at_mm: tuple[float, float] = (0.0, 0.0)
    """Where its corner lies on the plane."""
    turn_deg: float = 0.0
    """Turned about its corner, clockwise."""
    shadow: float = 0.25
    """How much it darkens the cloth right beside it."""

    def to_own_mm(self, xy_mm: Floats) -> Floats:
        """Plane points (..., 2) in the mark's own millimetres."""
        c, s = np.cos(np.radians(self.turn_deg)), np.sin(np.radians(self.turn_deg))
        return (xy_mm - self.at_mm) @ np.array([[c, -s], [s, c]])

    def beyond_mm(self, own_mm: Floats) -> Floats:
        """How far points (..., 2) lie outside its outline; negative inside."""
        half = np.array(self.size_mm) / 2
        q = np.abs(own_mm - half) - half + self.radius_mm
        outside = np.hypot(*np.moveaxis(np.maximum(q, 0), -1, 0))
        return outside + np.minimum(q.max(axis=-1), 0) - self.radius_mm


def photograph(
    view: View,
    *marks: Mark,
    cloth_seed: int = 0,
    plain_cloth: ArrayLike | None = None,
    blur_px: float = 0.7,
    noise: float = 0.004,
    falloff: float = 0.3,
    quality: int = 90,
) -> NDArray[np.uint8]:
    """Take the photo: sRGB (height, width, 3).

    ``plain_cloth`` is one linear-light colour instead of a plaid; ``falloff``
    how much darker the right edge is than the left.
    """
    rng = np.random.default_rng(cloth_seed)
    setts = [_sett(rng) for _ in range(2)] if plain_cloth is None else None
    angle = rng.uniform(-50, 50)
    width, height = view.size_px
    light = np.empty((height, width, 3), np.float32)
    for top in range(0, height, 50):
        rows = np.arange(top, min(top + 50, height))
        xy_mm = _traced(view, rows)
        cloth = _cloth(xy_mm, angle, setts, plain_cloth)
        for mark in marks:
            cloth = _laid_on(cloth, xy_mm, mark)
        light[rows] = cv2.resize(cloth, (width, len(rows)), interpolation=cv2.INTER_AREA)
    light *= np.linspace(1, 1 - falloff, width, dtype=np.float32)[:, None]
    light = cv2.GaussianBlur(light, (0, 0), blur_px)
    light += rng.normal(0, noise, light.shape).astype(np.float32)
    light = np.clip(light, 0, 1)
    code = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    bgr = np.rint(255 * code[..., ::-1]).astype(np.uint8)
    jpeg = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.ascontiguousarray(cv2.imdecode(jpeg, cv2.IMREAD_COLOR)[..., ::-1])


def index_card(size_mm: tuple[float, float] = (152.4, 101.6), **more: object) -> Mark:
    """A white card with blue rules every 6.4 mm (1/4 in) and a red one at its head."""
    light = _blank(size_mm, [0.72, 0.71, 0.68])
    for y_mm in np.arange(18.0, size_mm[1] - 3, 6.35):
        _bar(light, (0, y_mm, size_mm[0], 0.3), [0.35, 0.45, 0.60])
    _bar(light, (0, 12.0, size_mm[0], 0.3), [0.60, 0.25, 0.25])
    return Mark(size_mm=size_mm, light=light, **more)


def printed_card(ground: ArrayLike = (0.05, 0.15, 0.35), **more: object) -> Mark:
    """An ID-1 card with a light stripe, a box and some words on it."""
    light = _blank((85.60, 53.98), ground)
    _bar(light, (8, 20, 30, 18), [0.55, 0.12, 0.10])
    _bar(light, (45, 34, 32, 3), [0.8, 0.8, 0.8])
    _write(light, "WOOL ROOM", (8.0, 14.0), 5.0, [0.8, 0.8, 0.8])
    return Mark(size_mm=(85.60, 53.98), light=light, radius_mm=3.18, **more)


def plain_sheet(
    size_mm: tuple[float, float], colour: ArrayLike = (0.75, 0.75, 0.75), **more: object
) -> Mark:
    """A sheet of one colour."""
    return Mark(size_mm=size_mm, light=_blank(size_mm, colour), **more)


INCH_TICKS_MM = (9.0, 7.0, 5.5, 4.2, 3.0, 2.2)
"""Lengths of an inch rule's lines: inches, halves, quarters, eighths and so on."""

MM_TICKS_MM = (8.0, 5.5, 3.5)
"""Lengths of a metric rule's lines: centimetres, half centimetres, millimetres."""


def ruler(
    *,
    top: str | None = "in",
    bottom: str | None = None,
    length_mm: float = 305.0,
    width_mm: float = 30.0,
    ground: ArrayLike = (0.62, 0.45, 0.22),
    ink: ArrayLike = (0.02, 0.02, 0.02),
    start_mm: float = 2.0,
    finest: int = 16,
    tenth: float = 1.0,
    **more: object,
) -> Mark:
    """A ruler with graduations from one or both long edges, ``"in"`` or ``"mm"``, and digits.

    Its scale begins ``start_mm`` from its left end; ``finest`` is how many
    parts an inch has, ``tenth`` what its smallest metric space is in millimetres.
    """
    light = _blank((length_mm, width_mm), ground)
    for unit, at_top in ((top, True), (bottom, False)):
        if unit is None:
            continue
        step = 25.4 / finest if unit == "in" else tenth
        for n in range(int((length_mm - start_mm) / step) + 1):
            x = start_mm + n * step
            tick = _tick_mm(unit, n, finest)
            _bar(light, (x - 0.12, 0 if at_top else width_mm - tick, 0.24, tick), ink)
        every = 25.4 if unit == "in" else 10 * tenth
        for n in range(1, int((length_mm - start_mm - 4) / every) + 1):
            place_mm = (start_mm + n * every + 0.7, 12.5 if at_top else width_mm - 9.0)
            _write(light, str(n), place_mm, 3.0, ink)
    return Mark(size_mm=(length_mm, width_mm), light=light, **more)


def _tick_mm(unit: str, n: int, finest: int) -> float:
    """Length of the n-th graduation."""
    if unit == "mm":
        return MM_TICKS_MM[0 if n % 10 == 0 else 1 if n % 5 == 0 else 2]
    return next(INCH_TICKS_MM[k] for k in range(6) if n % max(1, finest >> k) == 0)


def _blank(size_mm: tuple[float, float], colour: ArrayLike) -> NDArray[np.float32]:
    """Paper of one colour."""
    width, height = (round(side * TEXTURE_PX_PER_MM) for side in size_mm)
    return np.full((height, width, 3), np.asarray(colour, np.float32), np.float32)


def _write(
    light: NDArray[np.float32],
    text: str,
    baseline_mm: tuple[float, float],
    height_mm: float,
    colour: ArrayLike,
) -> None:
    """Print words whose capitals are about ``height_mm`` high."""
    cover = np.zeros(light.shape[:2], np.uint8)
    place = tuple(int(along * TEXTURE_PX_PER_MM) for along in baseline_mm)
    size = height_mm * TEXTURE_PX_PER_MM / 22
    thick = max(1, round(height_mm * TEXTURE_PX_PER_MM / 8))
    cv2.putText(cover, text, place, cv2.FONT_HERSHEY_SIMPLEX, size, 255, thick, cv2.LINE_AA)
    alpha = (cover / np.float32(255))[..., None]
    light += alpha * (np.asarray(colour, np.float32) - light)


def _bar(
    light: NDArray[np.float32], box_mm: tuple[float, float, float, float], colour: ArrayLike
) -> None:
    """Print a bar whose edges may lie within texture pixels."""
    x_mm, y_mm, width_mm, height_mm = box_mm
    share = []
    for start, size, count in ((x_mm, width_mm, light.shape[1]), (y_mm, height_mm, light.shape[0])):
        low, high = start * TEXTURE_PX_PER_MM, (start + size) * TEXTURE_PX_PER_MM
        cell = np.arange(count)
        share.append(np.clip(np.minimum(cell + 1, high) - np.maximum(cell, low), 0, 1))
    rows, columns = np.nonzero(share[1])[0], np.nonzero(share[0])[0]
    if rows.size == 0 or columns.size == 0:
        return
    box = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    alpha = (share[1][:, None] * share[0])[box][..., None].astype(np.float32)
    light[box] = light[box] * (1 - alpha) + np.asarray(colour, np.float32) * alpha


def _project(matrix: Floats, xy: Floats) -> Floats:
    """Points (..., 2) through a homography."""
    out = xy @ matrix[:, :2].T + matrix[:, 2]
    return out[..., :2] / out[..., 2:]


def _sett(rng: np.random.Generator) -> NDArray[np.int64]:
    """Colour of each thread of a mirrored repeat."""
    bands = rng.integers(4, 9)
    colours = rng.choice(rng.permutation(len(COLOURS))[:4], bands)
    half = np.repeat(colours, rng.integers(2, 28, bands))
    return np.concatenate([half, half[::-1]])


def _traced(view: View, rows: NDArray[np.int64]) -> NDArray[np.float32]:
    """Plane points of all fine points of some rows, bilinear between nodes eight pixels apart."""
    sub = (np.arange(FINER) - (FINER - 1) / 2) / FINER
    x = (np.arange(view.size_px[0])[:, None] + sub).ravel()
    y = (rows[:, None] + sub).ravel()
    nodes = [np.arange(axis[0], axis[-1] + 8, 8.0) for axis in (x, y)]
    coarse = view.to_mm(np.stack(np.meshgrid(*nodes), -1)).astype(np.float32)
    at_x, at_y = np.meshgrid((x - x[0]) / 8, (y - y[0]) / 8)
    return cv2.remap(coarse, at_x.astype(np.float32), at_y.astype(np.float32), cv2.INTER_LINEAR)


def _cloth(
    xy_mm: NDArray[np.float32],
    angle_deg: float,
    setts: list[NDArray[np.int64]] | None,
    plain: ArrayLike | None,
) -> NDArray[np.float32]:
    """Linear light (h, w, 3) of a 2/2 twill at plane points (h, w, 2)."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    uv = xy_mm @ np.array([[c, -s], [s, c]], np.float32) / np.float32(PITCH_MM) + np.float32(2000)
    thread = uv.astype(np.int32)
    within = uv - thread
    warp_on_top = (thread[..., 0] + thread[..., 1]) % 4 < 2
    across = np.where(warp_on_top, within[..., 0], within[..., 1])
    round_yarn = np.float32(0.8) + np.float32(1.2) * across * (1 - across)
    if setts is None:
        return np.asarray(plain, np.float32) * round_yarn[..., None]
    warp, weft = (sett[thread[..., k] % len(sett)] for k, sett in enumerate(setts))
    return COLOURS[np.where(warp_on_top, warp, weft)] * round_yarn[..., None]


def _laid_on(cloth: NDArray[np.float32], xy_mm: Floats, mark: Mark) -> NDArray[np.float32]:
    """The cloth with a mark and the shadow beside it."""
    own = mark.to_own_mm(xy_mm)
    beyond = mark.beyond_mm(own)
    near = np.nonzero(beyond < 6)
    if near[0].size == 0:
        return cloth
    box = np.s_[near[0].min() : near[0].max() + 1, near[1].min() : near[1].max() + 1]
    own, beyond = own[box].astype(np.float32), beyond[box][..., None]
    at = own * TEXTURE_PX_PER_MM - np.float32(0.5)
    face = cv2.remap(
        mark.light, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    dark = 1 - mark.shadow * np.exp(-np.maximum(beyond, 0))
    cloth[box] = np.where(beyond < 0, face, cloth[box] * dark)
    return cloth
