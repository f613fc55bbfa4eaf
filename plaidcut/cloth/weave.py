"""Taking the weave apart: what each thread system and the light give to every spot.

Seen from far enough that single yarns blur, a spot where up band i crosses
across band j shows ``light · (up_i + across_j)``, in linear light, where each
system's share is half of its yarn's colour. On the unrolled cloth that is a
two-way additive model, columns and rows; it is fitted with robust weights, so
that noise (which grows with brightness) and foreign things count little. Only
the sum of the two shares is known from the cloth: one offset stays open.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.field import Floats
from plaidcut.cloth.unrolled import Unrolled
from plaidcut.srgb import LUMINANCE

BLOCK_MM = 1.0
LIGHT_SMOOTH_MM = 15.0
"""Light changes on no shorter scale, but for the edges of cast shadows."""
MISFIT_SMOOTH_MM = 3.0
DIM_SHARE = 0.5
"""Dark spots are judged as if they had this share of the cloth's mean brightness more."""
TWILL_MM = 2.5
"""Twill lines come again after about this much (four yarns)."""
DARKEST = 0.01
"""Linear light under which noise no longer falls with brightness."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Weave:
    """The shares of both systems, along the unrolled cloth."""

    up: Floats
    """Share of each column, linear light (W, 3)."""
    across: Floats
    """Share of each row, linear light (H, 3)."""
    up_seen: Floats
    """How many millimetres of thread each column was seen along, (W,)."""
    across_seen: Floats
    """The same for each row, (H,)."""
    light: NDArray[np.float32]
    """Relative light, mean about 1, on blocks of :data:`BLOCK_MM` (h, w)."""
    misfit: NDArray[np.float32]
    """Departure from the model over the model's own brightness, per block (h, w), signed and
    averaged over :data:`MISFIT_SMOOTH_MM`, so that single yarns cancel; nan unseen."""
    block: int
    """Side of a block in grid steps."""


def take_apart(cloth: Unrolled, *, rounds: int = 4) -> Weave:
    """Fit the two-way model to an unrolled cloth."""
    step = cloth.grid.step_mm
    block = max(1, round(BLOCK_MM / step))
    rgb, weight = _blocks(cloth.rgb, cloth.valid, block, block)
    light = _smooth_trend(rgb @ LUMINANCE, weight)
    up, across = _two_way(rgb / light[..., None], weight)
    for _ in range(rounds):
        model = np.maximum((up[None] + across[:, None]) @ LUMINANCE, DARKEST)
        ratio = np.clip((rgb @ LUMINANCE) / (model * light), 0.4, 2.5)
        light = light * _smooth(ratio, weight, LIGHT_SMOOTH_MM / BLOCK_MM)
        up, across = _two_way(rgb / light[..., None], weight)
    model = up[None] + across[:, None]
    away = rgb / light[..., None] - model
    mean_away = np.stack(
        [
            _smooth(c, weight, MISFIT_SMOOTH_MM / BLOCK_MM, beyond=0.0)
            for c in away.transpose(2, 0, 1)
        ]
    )
    bright = _smooth(model.sum(axis=2), weight, MISFIT_SMOOTH_MM / BLOCK_MM)
    usual = float(bright[weight > 0.3].mean())
    misfit = np.where(
        weight > 0.3,
        np.abs(mean_away).sum(axis=0) / np.maximum(bright, DIM_SHARE * usual + 3 * DARKEST),
        np.nan,
    ).astype(np.float32)
    fine_up = _fine_share(cloth, light, across, block)
    fine_across = _fine_share(cloth.turned(), light.T, up, block)
    return Weave(
        up=fine_up,
        across=fine_across,
        up_seen=cloth.valid.sum(axis=0) * step,
        across_seen=cloth.valid.sum(axis=1) * step,
        light=light,
        misfit=misfit,
        block=block,
    )


def _blocks(
    rgb: NDArray[np.float32], valid: NDArray[np.bool_], tall: int, wide: int
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Means of valid pixels over blocks, (h, w, 3), and the share of valid ones (h, w)."""
    rows, columns = (-(-n // k) for n, k in zip(valid.shape, (tall, wide), strict=True))
    pad = ((0, rows * tall - valid.shape[0]), (0, columns * wide - valid.shape[1]))
    seen = np.pad(valid, pad).reshape(rows, tall, columns, wide)
    total = np.pad(rgb, (*pad, (0, 0))).reshape(rows, tall, columns, wide, 3).sum(axis=(1, 3))
    count = seen.sum(axis=(1, 3), dtype=np.float32)
    return total / np.maximum(count, 1)[..., None], count / (tall * wide)


def _two_way(
    shown: NDArray[np.float32], weight: NDArray[np.float32], *, sweeps: int = 4, rounds: int = 3
) -> tuple[Floats, Floats]:
    """Robust fit of ``up[column] + across[row]`` to (h, w, 3), alternating."""
    across = _weighted_mean(shown, weight, 1)
    up = np.zeros((shown.shape[1], 3))
    robust = weight
    for _ in range(rounds):
        for _ in range(sweeps):
            up = _weighted_mean(shown - across[:, None], robust, 0)
            across = _weighted_mean(shown - up[None], robust, 1)
        robust = weight * _trust(shown, up[None] + across[:, None], weight)
    return up, across


def _trust(
    shown: NDArray[np.float32], model: NDArray[np.floating], weight: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Weight by brightness (noise grows with it) and by agreement with the model (Cauchy)."""
    bright = np.maximum(model @ LUMINANCE, 0) + DARKEST
    away = np.abs((shown - model) @ LUMINANCE) / bright
    spread = 3.7 * float(np.median(away[weight > 0])) + 1e-6
    return (1 / (bright**2 * (1 + (away / spread) ** 2))).astype(np.float32)


def _weighted_mean(values: NDArray[np.floating], weight: NDArray[np.floating], axis: int) -> Floats:
    total = (values * weight[..., None]).sum(axis=axis, dtype=np.float64)
    return np.asarray(total / np.maximum(weight.sum(axis=axis), 1e-12)[..., None])


def _fine_share(cloth: Unrolled, light: NDArray[np.float32], across: Floats, block: int) -> Floats:
    """Share of every single column, the rows taken in blocks whose own share is known."""
    from scipy import ndimage

    shown, weight = _blocks(cloth.rgb, cloth.valid, block, 1)
    lit = np.repeat(light, block, axis=1)[:, : shown.shape[1]]
    left = shown / lit[..., None] - across[:, None]
    coarse = _weighted_mean(left, weight, 0)
    model = coarse[None] + across[:, None]
    trust = weight * _trust(shown / lit[..., None], model, weight)
    # where few threads of a strong colour cross, single ups and downs of the weave show:
    # rows that fit badly say less, changing smoothly so that twill lines cancel
    away = ((shown / lit[..., None] - model) @ LUMINANCE) ** 2
    row = (away * trust).sum(axis=1) / np.maximum(trust.sum(axis=1), 1e-9)
    row = ndimage.gaussian_filter1d(row, TWILL_MM / BLOCK_MM)
    usual = float(np.quantile(row[weight.any(axis=1)], 0.1))
    return _weighted_mean(left, weight / (row[:, None] + usual + 1e-9), 0)


def _smooth_trend(
    luminance: NDArray[np.float32], weight: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Light as the exponential of a quadratic over the cloth, mean 1."""
    height, width = luminance.shape
    y, x = np.meshgrid(np.linspace(-1, 1, height), np.linspace(-1, 1, width), indexing="ij")
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    log = np.log(np.maximum(luminance, DARKEST / 4))
    used = weight > 0.3
    thin = used & (np.arange(height)[:, None] % 3 == 0)
    factors, *_ = np.linalg.lstsq(terms[thin], log[thin], rcond=None)
    factors[0] = 0
    light = np.exp(np.clip(terms @ factors, -2, 2))
    return np.asarray(light / light[used].mean(), np.float32)


def _smooth(
    values: NDArray[np.floating],
    weight: NDArray[np.float32],
    std: float,
    *,
    beyond: float = 1.0,
) -> NDArray[np.float32]:
    """Gaussian mean of values where seen; ``beyond`` far from all that is seen."""
    import cv2

    blur = [
        cv2.GaussianBlur(a.astype(np.float32), (0, 0), std, borderType=cv2.BORDER_CONSTANT)
        for a in (values * weight, weight)
    ]
    return np.asarray((blur[0] + beyond * 1e-3) / (blur[1] + 1e-3), np.float32)
