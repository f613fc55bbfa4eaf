"""Where the face of a strip ends: the light beside its edge, taken apart.

From the face outwards a photo shows the face itself, a little darker where the wool rounds off;
on the side nearer to the camera the cut side, whose breadth follows from the strip's thickness and
from where the camera stood; then what the strip lies on or beside, darkest in the corner at the
strip's foot. Each of these is a template; their strengths are fitted, held near what is usual.
Of all places of the edge the one is taken that leaves least unexplained.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.loose.thickness import THICK_MM, THICK_STD_MM
from plaidcut.loose.unrolled import Floats

INSIDE_MM: Final = 1.4
OUTSIDE_MM: Final = 1.3
"""How far into the strip, and how far past its foot, the light is looked at."""
SETTLED: Final = 0.4
"""The inmost share of that has the face's own tone."""
STEP_MM: Final = 0.05
REACH_MM: Final = (0.4, 0.8)
"""How far off its first guess an edge is looked for; then further, if it isn't there."""
MOSTLY_SEEN: Final = 0.6
"""Share of the rows that must show it."""
ROUNDING_MM: Final = 0.2
"""How far in the wool rounds off ..."""
CORNER_MM: Final = 0.4
"""... and how far out the corner at its foot is dark ..."""
CAST_MM: Final = (0.8, 0.3)
"""... and its shadow, to this far on the average, give or take (all chosen on rendered photos)."""
USUAL: Final = np.array([0.65, -0.2, -0.25, -0.2])
USUAL_STD: Final = np.array([0.15, 0.1, 0.25, 0.25])
"""Light of the cut side over the face's; what the face loses at its edge, the ground in the
corner, and in the shadow, as shares of their own light (from memory, no source)."""
TONE_OF: Final = (0, 1, 0, 0, 1, 1)
"""Of the templates, face and ground first: the face's tone (0) or the ground's (1)."""
NOISE: Final = 0.05
"""What the templates leave unexplained, as a share of the light where it is: yarns, and shadows
of another shape. So a dark strip's faint edges count beside a bright ground's shadows."""
DARKEST: Final = 0.25
"""Over the brighter of face and ground, the light from which that share is taken at least."""
LEAST_NOISE: Final = 0.003
"""Of full scale: what 8 bits leave in dark places."""
CALM_MM: Final = 0.1
"""Blur of the usual light before shares of it are taken."""
TOGETHER_ROWS: Final = 7
"""Rows, 3.5 mm, that tell an edge's place together."""
THICKNESSES_MM: Final = THICK_MM + THICK_STD_MM * np.linspace(-1.5, 1.5, 9)
TOLD_APART: Final = 20.0
"""So many stretches of a strip tell its thickness independently of each other, at most."""
LEAST_TOLD: Final = 0.5
"""How likely the thicknesses must be, in all, at which an edge is seen."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FaceEdge:
    """The edge of a strip's face along one side, row by row."""

    place_mm: Floats
    """How far outwards of the guess it is seen (N,); nan where nothing tells it."""
    std_mm: Floats
    """Standard uncertainty of that (N,)."""
    thick_mm: float
    """The strip's thickness, as likely from this edge."""


def fit_face_edge(
    light: NDArray[np.float32], offsets_mm: Floats, side_mm: Floats, *, blur_mm: float
) -> FaceEdge:
    """Find where the face ends on one side of a strip.

    Parameters
    ----------
    light
        Linear light (N, M, 3) about the guessed edge, row by row.
    offsets_mm
        How far outwards of the guess its columns lie (M,), evenly spaced.
    side_mm
        How broad the cut side is seen at :data:`~plaidcut.loose.thickness.THICK_MM` (N,);
        nothing of it where negative.
    blur_mm
        Standard deviation of the photo's blur.
    """
    near, far = REACH_MM
    edge = _fit_within(near, light, offsets_mm, side_mm, blur_mm)
    if np.isfinite(edge.place_mm).mean() < MOSTLY_SEEN:
        edge = _fit_within(far, light, offsets_mm, side_mm, blur_mm)
    return edge


def _fit_within(
    reach_mm: float,
    light: NDArray[np.float32],
    offsets_mm: Floats,
    side_mm: Floats,
    blur_mm: float,
) -> FaceEdge:
    """The edge, looked for so far off the guess."""
    from scipy.ndimage import gaussian_filter1d

    broad = float(np.clip(np.nanmedian(side_mm), 0, 2))
    places = np.arange(-reach_mm - 1.3 * broad, reach_mm + STEP_MM / 2, STEP_MM)
    thick = THICKNESSES_MM if broad > STEP_MM else np.array([THICK_MM])
    value = np.nan_to_num(light)
    seen = np.isfinite(light).all(axis=(1, 2))
    if not seen.any() or not _inner(offsets_mm).any():
        return _unseen(len(light))
    tones = _face(value, offsets_mm), _ground(value, offsets_mm)
    scale = np.maximum(np.maximum(*tones).max(axis=1), LEAST_NOISE)
    usual = gaussian_filter1d(
        np.median(value[seen].max(axis=2) / scale[seen, None], axis=0), CALM_MM / STEP_MM
    )
    noise = np.hypot(NOISE * np.maximum(usual, DARKEST), LEAST_NOISE / np.median(scale[seen]))
    edges, unlike = [], []
    for t in thick:
        cost = _costs(
            value / scale[:, None, None],
            offsets_mm,
            (tones[0] / scale[:, None], tones[1] / scale[:, None]),
            places,
            broad_mm=broad * t / THICK_MM,
            noise=noise,
            blur_mm=blur_mm,
        )
        cost[~seen] = np.nan
        cost = _together(cost)
        if np.isnan(cost).all():
            return _unseen(len(light))
        edges.append(_least(cost, places, float(t)))
        misfit = float(np.nanmean(cost.min(axis=1)))
        unlike.append(TOLD_APART * misfit + ((t - THICK_MM) / THICK_STD_MM) ** 2)
    return _weighed(edges, np.exp(-(np.array(unlike) - min(unlike)) / 2))


def _unseen(rows: int) -> FaceEdge:
    """An edge that no row shows."""
    nowhere = np.full(rows, np.nan)
    return FaceEdge(place_mm=nowhere, std_mm=nowhere, thick_mm=THICK_MM)


def _weighed(edges: list[FaceEdge], likely: Floats) -> FaceEdge:
    """The edge over all thicknesses, each as much as it is likely."""
    place = np.stack([edge.place_mm for edge in edges])
    std = np.stack([edge.std_mm for edge in edges])
    known = np.isfinite(place)
    likely = likely / likely.sum()
    share = np.where(known, likely[:, None], 0)
    told = share.sum(axis=0)
    share = share / np.maximum(told, 1e-9)
    mean = np.sum(share * np.where(known, place, 0), axis=0)
    variance = np.sum(share * np.where(known, std**2 + (place - mean) ** 2, 0), axis=0)
    unseen = told < LEAST_TOLD
    return FaceEdge(
        place_mm=np.where(unseen, np.nan, mean),
        std_mm=np.where(unseen, np.nan, np.sqrt(variance)),
        thick_mm=float(likely @ [edge.thick_mm for edge in edges]),
    )


def _face(value: NDArray[np.float32], offsets_mm: Floats) -> Floats:
    """Tone of the face (N, 3)."""
    return np.asarray(value[:, _inner(offsets_mm)].mean(axis=1), float)


def _inner(offsets_mm: Floats) -> NDArray[np.bool_]:
    """Columns (M,) far enough within to be all face; none where the guess is at the first."""
    return np.asarray(offsets_mm < (1 - SETTLED) * offsets_mm[0])


def _ground(value: NDArray[np.float32], offsets_mm: Floats) -> Floats:
    """Tone of what lies beyond (N, 3)."""
    return np.asarray(value[:, offsets_mm > offsets_mm[-1] - 0.3].mean(axis=1), float)


def _costs(
    value: Floats | NDArray[np.float32],
    offsets_mm: Floats,
    tones: tuple[Floats, Floats],
    places: Floats,
    *,
    broad_mm: float,
    noise: Floats,
    blur_mm: float,
) -> Floats:
    """What stays unexplained (N, P) with the edge at each place.

    A template is a profile outwards in one tone: the products of templates, and of templates with
    the light, are products of profiles times products of tones.
    """
    profiles = _profiles(offsets_mm - places[:, None], broad_mm, blur_mm) / noise
    # neighbouring samples are not independent: what is sharp is as wide as the blur
    thin = (offsets_mm[1] - offsets_mm[0]) / max(2 * blur_mm, 0.1)
    data = value / noise[:, None]
    toned = np.stack(tones, axis=1)[:, TONE_OF]
    alike = np.einsum("pkm,plm->pkl", profiles, profiles)
    alike = thin * alike * np.einsum("nkc,nlc->nkl", toned, toned)[:, None]
    lit = thin * np.einsum("nkm,pkm->npk", np.einsum("nmc,nkc->nkm", data, toned), profiles)
    fixed, free = [0, 1], [2, 3, 4, 5]
    whole = thin * np.sum(data**2, axis=(1, 2))[:, None] - 2 * lit[..., fixed].sum(axis=-1)
    whole += alike[..., :2, :2].sum(axis=(-1, -2)) + np.sum((USUAL / USUAL_STD) ** 2)
    right = lit[..., free] - alike[..., free, :2].sum(axis=-1) + USUAL / USUAL_STD**2
    normal = alike[..., 2:, 2:] + np.diag(1 / USUAL_STD**2)
    found = np.linalg.solve(normal, right[..., None])[..., 0]
    return np.asarray(whole - np.sum(found * right, axis=-1))


def _profiles(out: Floats, broad_mm: float, blur_mm: float) -> Floats:
    """The six templates (P, 6, M) by how far outwards of the edge (P, M): first face and ground."""
    from scipy.special import ndtr

    past, beyond = ndtr(out / blur_mm), out - broad_mm
    foot = ndtr(beyond / blur_mm)
    return np.stack(
        [
            1 - past,
            foot,
            past - foot,
            (1 - past) * np.exp(np.minimum(out, 0) / ROUNDING_MM),
            foot * np.exp(-np.maximum(beyond, 0) / CORNER_MM),
            foot * ndtr((CAST_MM[0] - beyond) / CAST_MM[1]),
        ],
        axis=1,
    )


def _together(cost: Floats) -> Floats:
    """Costs averaged over neighbouring rows; nan rows count for nothing."""
    from scipy.ndimage import uniform_filter1d

    known = np.asarray(np.isfinite(cost).all(axis=1))
    total = uniform_filter1d(np.where(known[:, None], cost, 0), TOGETHER_ROWS, axis=0)
    share = uniform_filter1d(known.astype(float), TOGETHER_ROWS)
    return np.where(share[:, None] > 0.3, total / np.maximum(share, 1e-9)[:, None], np.nan)


def _least(cost: Floats, places: Floats, thick_mm: float) -> FaceEdge:
    """The place of the least cost in each row, by a parabola, and how sharp that is."""
    rows = np.arange(len(cost))
    known = np.asarray(np.isfinite(cost).all(axis=1))
    held = np.where(known[:, None], cost, 0)
    best = np.clip(held.argmin(axis=1), 1, len(places) - 2)
    before, here, after = (held[rows, best + k] for k in (-1, 0, 1))
    bend = np.maximum(before + after - 2 * here, 1e-9)
    off = np.clip((before - after) / (2 * bend), -0.5, 0.5)
    atend = (held.argmin(axis=1) == 0) | (held.argmin(axis=1) == len(places) - 1)
    place = np.where(known & ~atend, places[best] + off * STEP_MM, np.nan)
    std = STEP_MM * np.sqrt(2 / bend)
    return FaceEdge(place_mm=place, std_mm=std, thick_mm=thick_mm)
