"""Photos of the scale card with known truth, drawn by warping the card's own picture."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from plaidcut.pictures.card_picture import card_picture
from plaidcut.scale.card_layout import CardSize, card_layout
from plaidcut.scale.plane import Lens, Method, Points, Scale, apply_homography

FINER = 3
"""Every pixel is the mean of this many by this many points."""

STRIDE = 4
"""Pixels between the points that are projected exactly; straight in between, to 0.001 px."""


def light_of_srgb(tone: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Linear light 0..1 of 8-bit sRGB (IEC 61966-2-1)."""
    v = np.arange(256) / 255
    table = np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)
    return table.astype(np.float32)[tone]


def srgb_of_light(light: NDArray[np.float32]) -> NDArray[np.float32]:
    """SRGB 0..255, not rounded, of linear light 0..1 (IEC 61966-2-1)."""
    light = np.clip(light, 0, 1)
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


@cache
def card_light(size: CardSize, ink_mm: float = 0.0) -> NDArray[np.float32]:
    """The card's picture in linear light, 20 pixels to the millimetre, its ink spread so far."""
    light = light_of_srgb(card_picture(size, dpi=508)[:, :, 0])
    reach = round(20 * ink_mm)
    dot = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    return cv2.erode(light, dot)


@dataclass(frozen=True, kw_only=True)
class Shot:
    """How a card was photographed."""

    size: CardSize = CardSize.WALLET
    photo_px: tuple[int, int] = (2000, 1500)
    px_per_mm: float = 9.0
    turn_deg: float = 0.0
    tilt_deg: float = 0.0
    tilt_axis_deg: float = 30.0
    at: tuple[float, float] = (0.5, 0.5)
    """Where the card's middle lies, as shares of the photo's width and height."""
    focal_ratio: float = 0.8
    """Focal length over the photo's longer side."""
    k1: float = 0.0
    blur_px: float = 0.7
    white: float = 0.7
    """Linear light of the card's white."""
    black: float = 0.03
    """Light that the ink sends back, as a share of white's."""
    falloff: float = 0.0
    """How much less light falls on the photo's right side than on its left."""
    noise: float = 0.004
    """Standard deviation of the noise in linear light."""
    quality: int | None = 92
    """JPEG quality; None leaves the pixels alone."""
    ink_mm: float = 0.0
    """How far the printer's ink spreads over every black edge."""
    curl_mm: float = 0.0
    """How far the card's middle rises over its left and right edge."""
    seed: int = 1

    @property
    def lens(self) -> Lens:
        """The true lens."""
        return Lens.of_size(*self.photo_px, k1=self.k1)

    @property
    def focal_px(self) -> float:
        """The true focal length."""
        return self.focal_ratio * max(self.photo_px)

    @property
    def camera(self) -> NDArray[np.float64]:
        """Projection (3, 4) of millimetres on the card's plane, z towards the camera."""
        layout = card_layout(self.size)
        width, height = self.photo_px
        distance = self.focal_px / self.px_per_mm
        turn, axis, tilt = np.deg2rad([self.turn_deg, self.tilt_axis_deg, self.tilt_deg])
        spin = _turned([0, 0, turn])
        lean = _turned([tilt * np.cos(axis), tilt * np.sin(axis), 0])
        flip = np.diag([1.0, 1.0, -1.0])
        rotation = lean @ spin @ flip
        middle = np.array([layout.width_mm / 2, layout.height_mm / 2, 0])
        offset = [
            (self.at[0] - 0.5) * width * distance / self.focal_px,
            (self.at[1] - 0.5) * height * distance / self.focal_px,
            distance,
        ]
        inner = np.array(
            [
                [self.focal_px, 0, (width - 1) / 2],
                [0, self.focal_px, (height - 1) / 2],
                [0, 0, 1],
            ]
        )
        return np.asarray(inner @ np.c_[rotation, offset - rotation @ middle])

    @property
    def plane_to_px(self) -> NDArray[np.float64]:
        """Homography (3, 3) from the card's plane to ideal pixels."""
        matrix = self.camera[:, [0, 1, 3]]
        return np.asarray(matrix / matrix[2, 2])

    def truth(self) -> Scale:
        """The true scale."""
        return Scale(
            method=Method.CARD,
            size_px=self.photo_px,
            plane_to_px=self.plane_to_px,
            lens=self.lens,
            relative_std=0.0,
        )


def _turned(vector: list[float]) -> NDArray[np.float64]:
    """Rotation (3, 3) about a vector by its length in radians."""
    return np.asarray(cv2.Rodrigues(np.asarray(vector, float))[0])


def photograph(
    shot: Shot,
    *,
    hide: tuple[int, ...] = (),
    ground: NDArray[np.float32] | None = None,
    printed: tuple[float, float] = (1.0, 1.0),
) -> NDArray[np.uint8]:
    """The photo: sRGB (height, width, 3), read-only.

    ``hide`` lays a brown thumb over the markers of those places in the layout's
    order; ``ground`` is the light of the cloth, (height, width, 3);
    ``printed`` how large the printer drew.
    """
    rng = np.random.default_rng(shot.seed)
    width, height = shot.photo_px
    light = np.full((height, width, 3), 0.08, np.float32) if ground is None else ground.copy()
    layout = card_layout(shot.size)
    outline = layout.outline_mm * printed
    edge_px = shot.lens.distort(apply_homography(shot.plane_to_px, outline))
    x0, y0 = np.floor(edge_px.min(axis=0)).astype(int) - 40
    columns, rows = -((np.floor(edge_px.min(axis=0)) - edge_px.max(axis=0) - 80) // STRIDE)
    size = (int(columns) * STRIDE, int(rows) * STRIDE)
    xs = x0 - 0.5 + (np.arange(columns) + 0.5) * STRIDE
    ys = y0 - 0.5 + (np.arange(rows) + 0.5) * STRIDE
    nodes_mm = _plane_of(shot, np.stack(np.meshgrid(xs, ys), axis=-1)) / printed
    fine = (size[0] * FINER, size[1] * FINER)
    xy_mm = cv2.resize(nodes_mm, fine, interpolation=cv2.INTER_LINEAR)
    texture = card_light(shot.size, shot.ink_mm)
    px_per_mm = np.array(texture.shape[::-1]) / (layout.width_mm, layout.height_mm)
    at = (xy_mm * px_per_mm - 0.5).astype(np.float32)
    seen = cv2.remap(texture, at, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    seen = shot.white * (shot.black + (1 - shot.black) * seen)
    inside = np.all((xy_mm >= 0) & (xy_mm <= (layout.width_mm, layout.height_mm)), axis=-1)
    share = cv2.resize(inside.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    card = cv2.resize(np.where(inside, seen, 0), size, interpolation=cv2.INTER_AREA)
    top, left = max(y0, 0), max(x0, 0)
    region = light[top : y0 + size[1], left : x0 + size[0]]
    part = np.s_[top - y0 : top - y0 + region.shape[0], left - x0 : left - x0 + region.shape[1]]
    region *= 1 - share[part][:, :, None]
    region += card[part][:, :, None]
    for place in hide:
        middle = shot.truth().to_px(layout.markers[place].box.corners_mm.mean(axis=0) * printed)
        radius = round(0.62 * layout.markers[place].box.width_mm * shot.px_per_mm)
        cv2.circle(light, np.rint(middle).astype(int).tolist(), radius, (0.35, 0.2, 0.13), -1)
    light *= np.linspace(1, 1 - shot.falloff, width, dtype=np.float32)[None, :, None]
    if shot.blur_px:
        light = cv2.GaussianBlur(light, (0, 0), shot.blur_px)
    light += rng.normal(0, shot.noise, light.shape).astype(np.float32)
    pixels = np.rint(srgb_of_light(light)).astype(np.uint8)
    if shot.quality is not None:
        bgr = np.ascontiguousarray(pixels[:, :, ::-1])
        coded = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, shot.quality])[1]
        pixels = np.ascontiguousarray(cv2.imdecode(coded, cv2.IMREAD_COLOR)[:, :, ::-1])
    pixels.flags.writeable = False
    return pixels


def _plane_of(shot: Shot, xy_px: Points) -> Points:
    """Where the rays of pixels (..., 2) meet the card, curled or flat, in its own millimetres."""
    xy_mm = shot.truth().to_mm(xy_px)
    if not shot.curl_mm:
        return xy_mm
    layout = card_layout(shot.size)
    camera = shot.camera
    eye = -np.linalg.solve(camera[:, :3], camera[:, 3])
    half = layout.width_mm / 2
    flat = xy_mm
    for _ in range(5):
        rise = shot.curl_mm * (1 - ((flat[..., 0] - half) / half) ** 2)
        flat = xy_mm + (eye[:2] - xy_mm) * (rise / eye[2])[..., None]
    # length along the arc, to second order: y = c(1 - x²/h²), s = x + 2c²x³/(3h⁴)
    x = flat[..., 0] - half
    arc = x + 2 * shot.curl_mm**2 * x**3 / (3 * half**4)
    return np.stack([arc + half, flat[..., 1]], axis=-1)


def plaid_ground(photo_px: tuple[int, int], px_per_mm: float, seed: int) -> NDArray[np.float32]:
    """A plaid cloth's light (height, width, 3): strong squares, to mislead a marker detector."""
    rng = np.random.default_rng(seed)
    width, height = photo_px
    reach = int(1.5 * max(width, height))

    def stripes() -> NDArray[np.float32]:
        widths = rng.uniform(2, 25, 400) * px_per_mm
        tones = rng.choice([0.01, 0.03, 0.1, 0.35, 0.7], 400)
        edges = np.cumsum(widths)
        return tones[np.searchsorted(edges, np.arange(reach))].astype(np.float32)

    square = (stripes()[None, :] + stripes()[:, None]) / 2
    matrix = cv2.getRotationMatrix2D((reach / 2, reach / 2), rng.uniform(0, 90), 1)
    matrix[:, 2] -= [(reach - width) / 2, (reach - height) / 2]
    turned = cv2.warpAffine(square, matrix, (width, height), flags=cv2.INTER_AREA)
    return np.repeat(turned[:, :, None], 3, axis=2)
