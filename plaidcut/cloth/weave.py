"""Taking the weave apart: what each thread system and the light give to every spot.

Seen from far enough that single yarns blur, a spot where up band i crosses
across band j shows ``light · (up_i + across_j)``, in linear light, where each
system's share is half of its yarn's colour. On the unrolled cloth that is a
two-way additive model, columns and rows; it is fitted with robust weights, so
that noise (which grows with brightness) and foreign things count little. Only
the sum of the two shares is known from the cloth: one offset stays open. The
light is what neither system can explain: it is fitted together with both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.both import both
from plaidcut.cloth.field import Floats
from plaidcut.cloth.unrolled import Picture, Unrolled, blocks
from plaidcut.srgb import LUMINANCE

BLOCK_MM = 1.0
LIGHT_SMOOTH_MM = 15.0
"""Light changes on no shorter scale, but for the edges of cast shadows ..."""
LIGHT_BLOCKS = 3
"""... so blocks of this many blocks are enough to see it."""
LIGHT_ROUNDS = 4
TREND_ROUNDS = 5
MISFIT_SMOOTH_MM = 3.0
DIM_SHARE = 0.5
"""Dark spots are judged as if they had this share of the cloth's mean brightness more."""
TWILL_MM = 2.5
"""Twill lines come again after about this much (four yarns)."""
DARKEST = 0.01
"""Linear light under which noise no longer falls with brightness."""


TREND_STD = 0.1
"""How far the log-light's factors may be from those of the cloth's mere brightness, which alone
tell where the other system has no stripes (standard deviation)."""
ALIKE_BLOCKS = 100
"""Blocks that err as one: uneven yarns, and what the model leaves, are not noise."""


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


def take_apart(cloth: Unrolled) -> Weave:
    """Fit the two-way model to an unrolled cloth."""
    block = max(1, round(BLOCK_MM / cloth.grid.step_mm))
    rgb, weight = blocks(cloth.rgb, cloth.valid, block, block)
    light = _light(rgb, weight)
    shown = rgb / light[..., None]
    up, across = _two_way(shown, weight)
    fine_up, fine_across = both(
        _fine_share, (cloth, cloth.turned()), (light, light.T), (across, up), (block, block)
    )
    return Weave(
        up=fine_up,
        across=fine_across,
        up_seen=cloth.valid.sum(axis=0) * cloth.grid.step_mm,
        across_seen=cloth.valid.sum(axis=1) * cloth.grid.step_mm,
        light=light,
        misfit=_misfit(shown, weight, up[None] + across[:, None]),
        block=block,
    )


def _two_way(
    shown: NDArray[np.floating], weight: Picture, *, sweeps: int = 12, rounds: int = 3
) -> tuple[Floats, Floats]:
    """Robust fit of ``up[column] + across[row]`` to (h, w, 3), alternating."""
    across = np.zeros((shown.shape[0], 3))
    robust = weight
    for _ in range(rounds):
        columns, rows = (np.maximum(robust.sum(axis=k), 1e-12)[:, None] for k in (0, 1))
        up_mean, across_mean = (_weighted_sum(shown, robust, k) for k in (0, 1))
        for _ in range(sweeps):
            up = (up_mean - robust.T @ across) / columns
            across = (across_mean - robust @ up) / rows
        luminance = up[None] @ LUMINANCE + across[:, None] @ LUMINANCE
        robust = weight * _trust(shown @ LUMINANCE, luminance, weight)
    return up, across


def _trust(
    shown: NDArray[np.floating], model: NDArray[np.floating], weight: Picture
) -> NDArray[np.float32]:
    """Weight by brightness (noise grows with it) and by agreement with the model (Cauchy).

    ``shown`` and ``model`` are luminances (h, w).
    """
    bright = np.maximum(model, 0) + DARKEST
    away = np.abs(shown - model) / bright
    spread = 3.7 * float(np.median(away[weight > 0])) + 1e-6
    return np.asarray(1 / (bright**2 * (1 + (away / spread) ** 2)), np.float32)


def _weighted_sum(values: NDArray[np.floating], weight: Picture, axis: int) -> Floats:
    """Sums of values (h, w, 3) along one axis."""
    return np.asarray(np.einsum("hwc,hw->wc" if axis == 0 else "hwc,hw->hc", values, weight), float)


def _fine_share(cloth: Unrolled, light: Picture, other: Floats, block: int) -> Floats:
    """Share of every single column, the rows taken in blocks whose share (h, 3) is known."""
    from scipy import ndimage

    shown, weight = blocks(cloth.rgb, cloth.valid, block, 1)
    lit = np.repeat(light, block, axis=1)[:, : shown.shape[1]]
    shown /= lit[..., None]
    other = other.astype(np.float32)

    def mean_over_rows(each: Picture) -> Floats:
        whole = _weighted_sum(shown, each, 0) - each.T @ other
        return np.asarray(whole / np.maximum(each.sum(axis=0), 1e-12)[:, None])

    bright = shown @ LUMINANCE
    mean = mean_over_rows(weight).astype(np.float32)
    model = (mean @ LUMINANCE)[None] + (other @ LUMINANCE)[:, None]
    trust = weight * _trust(bright, model, weight)
    # where few threads of a strong colour cross, single ups and downs of the weave show:
    # rows that fit badly say less, changing smoothly so that twill lines cancel
    row = ((bright - model) ** 2 * trust).sum(axis=1) / np.maximum(trust.sum(axis=1), 1e-9)
    row = ndimage.gaussian_filter1d(row, TWILL_MM / BLOCK_MM)
    usual = float(np.quantile(row[weight.any(axis=1)], 0.1))
    agrees = trust * (np.maximum(model, 0) + DARKEST) ** 2
    return mean_over_rows((agrees / (row[:, None] + usual + 1e-9)).astype(np.float32))


def _misfit(shown: Picture, weight: Picture, model: Floats) -> NDArray[np.float32]:
    """Smoothed departure from the model over its brightness, (h, w); nan unseen."""
    std = MISFIT_SMOOTH_MM / BLOCK_MM
    away = np.abs(_smooth(shown - model, weight, std, beyond=0.0)).sum(axis=2)
    bright = _smooth(model.sum(axis=2), weight, std)
    least = DIM_SHARE * float(bright[weight > 0.3].mean()) + 3 * DARKEST
    return np.where(weight > 0.3, away / np.maximum(bright, least), np.nan).astype(np.float32)


def _light(rgb: Picture, weight: Picture) -> NDArray[np.float32]:
    """Relative light (h, w), mean about 1, of blocks (h, w, 3)."""
    import cv2

    height, width = weight.shape
    coarse, share = blocks(rgb * weight[..., None], weight, LIGHT_BLOCKS, LIGHT_BLOCKS)
    luminance = coarse @ LUMINANCE
    light = _trend(luminance, share)
    for _ in range(LIGHT_ROUNDS):
        up, across = _two_way(coarse / light[..., None], share)
        model = np.maximum(up[None] @ LUMINANCE + across[:, None] @ LUMINANCE, DARKEST)
        shown = luminance / light
        # least squares of shown = ratio · model, with the weights of the shares
        says = share * _trust(shown, model, share) * model**2
        ratio = np.clip(shown / model, 0.4, 2.5)
        light = light * _smooth(ratio, says, LIGHT_SMOOTH_MM / BLOCK_MM / LIGHT_BLOCKS)
    size = (light.shape[1] * LIGHT_BLOCKS, light.shape[0] * LIGHT_BLOCKS)
    return np.asarray(cv2.resize(light.astype(np.float32), size)[:height, :width])


def _trend(luminance: Picture, weight: Picture) -> Floats:
    """Light (h, w) as the exponential of a quadratic, mean 1, fitted along with both systems.

    From the trend of the brightness, Gauss-Newton steps by what a change of the light does
    that no change of the shares could do.
    """
    height, width = luminance.shape
    y, x = np.meshgrid(np.linspace(-1, 1, height), np.linspace(-1, 1, width), indexing="ij")
    terms = np.stack([x, y, x * x, x * y, y * y], axis=-1)
    bright = np.log(np.maximum(luminance, DARKEST / 4))
    used = weight > 0.3
    design = np.concatenate([terms[used], np.ones((np.count_nonzero(used), 1))], axis=1)
    first = np.linalg.lstsq(design, bright[used], rcond=None)[0][:5]
    factors = first
    for _ in range(TREND_ROUNDS):
        light = np.exp(np.clip(terms @ factors, -2, 2))
        shown = luminance / light
        up, across = _two_way(np.repeat(shown[..., None], 3, axis=2), weight)
        model = up[None, :, 0] + across[:, None, 0]
        trust = weight * _trust(shown, model, weight)
        change = np.concatenate([shown[..., None], model[..., None] * terms], axis=2)
        left = (_unexplained(change, trust) * np.sqrt(trust)[..., None])[used]
        held = ALIKE_BLOCKS * float(np.mean(left[:, 0] ** 2)) / TREND_STD**2
        normal = left[:, 1:].T @ left[:, 1:] + (held + 1e-9) * np.eye(5)
        factors = factors + np.linalg.solve(
            normal, left[:, 1:].T @ left[:, 0] + held * (first - factors)
        )
    light = np.exp(np.clip(terms @ factors, -2, 2))
    return np.asarray(light / light[used].mean())


def _unexplained(values: Floats, weight: Picture, *, sweeps: int = 12) -> Floats:
    """What of values (h, w, C) no sum of a column's and a row's value explains."""
    for _ in range(sweeps):
        for axis in (0, 1):
            whole = np.maximum(weight.sum(axis=axis), 1e-12)[:, None]
            values = values - np.expand_dims(_weighted_sum(values, weight, axis) / whole, axis)
    return values


def _smooth(
    values: NDArray[np.floating], weight: NDArray[np.floating], std: float, *, beyond: float = 1.0
) -> NDArray[np.float32]:
    """Gaussian mean of values (h, w) or (h, w, 3) where seen; ``beyond`` far from all seen."""
    import cv2

    if values.ndim == 3:
        weight = weight[..., None]
    total, whole = (
        cv2.GaussianBlur(a.astype(np.float32), (0, 0), std, borderType=cv2.BORDER_CONSTANT)
        for a in (values * weight, weight)
    )
    whole = whole.reshape(weight.shape)
    return np.asarray((total + beyond * 1e-3) / (whole + 1e-3), np.float32)
