"""From what was found to the records that later stages read."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.both import both
from plaidcut.cloth.cloth import Cloth
from plaidcut.cloth.field import Floats
from plaidcut.cloth.light import FULL
from plaidcut.cloth.mesh import bands
from plaidcut.cloth.unrolled import Unrolled
from plaidcut.cloth.weave import Weave
from plaidcut.stripes.bold import bold_stripes
from plaidcut.stripes.cautions import PURE_WHITE, RepeatSeen, cautions
from plaidcut.stripes.colour import colour_of_linear_rgb
from plaidcut.stripes.finer import finer_word, word_for_tweed
from plaidcut.stripes.kind import kind_of_cloth
from plaidcut.stripes.lie import angle_px_deg, bow, left_out_px, outline_px, skew_deg, trace
from plaidcut.stripes.measurement import (
    Band,
    ClothRecord,
    Direction,
    Kind,
    Measurement,
    PhotoRecord,
    ThreadSystem,
    Washed,
    WeaveRecord,
)
from plaidcut.stripes.repeat import doubt_of
from plaidcut.stripes.texture import texture_of
from plaidcut.stripes.values import strips_differ, value_shares
from plaidcut.stripes.yarns import unmix

if TYPE_CHECKING:
    from plaidcut.photo import Photo
    from plaidcut.stripes.measure import SystemFound

LENS_REACH = 0.8
"""Relative change of scale, averaged over the picture, for one of the lens's radial term: the
local scale changes by 3·k1·r², and r² averages about a quarter of the half-diagonal's."""
BIAS_MM = 0.008
BIAS_PX = 0.13
"""What widths are off by in every repeat alike: where a twill's diagonal meets an edge, and JPEG's
halved colour (measured on rendered photos, ``docs/explanation/measuring.md``)."""
WHITE_REFLECTANCE = 0.9
"""Of printer paper, against a perfect white (common practice, no source)."""


def measurement_of(
    photo: Photo,
    cloth: Cloth,
    unrolled: Unrolled,
    weave: Weave,
    found: tuple[SystemFound, SystemFound],
    *,
    warp: Direction | None,
    washed: Washed,
) -> Measurement:
    """The whole measurement from what the stages found."""
    up, across = found
    lit = reflectance_factor(cloth, unrolled, weave)
    grain = yarn_grain(unrolled, found)
    yarns = unmix(
        up.sequence.levels * lit,
        across.sequence.levels * lit,
        up.sequence.widths_mm,
        across.sequence.widths_mm,
        grain,
    )
    mean = [_mean_share(weave.up, weave.up_seen), _mean_share(weave.across, weave.across_seen)]
    systems = both(
        partial(system_record, cloth),
        Direction,
        found,
        (yarns.up, yarns.across),
        (
            (each.sequence.levels + crossing) * lit
            for each, crossing in zip(found, reversed(mean), strict=True)
        ),
    )
    width, height = photo.size_px
    left_out = left_out_px(cloth)
    texture = texture_of(photo, cloth, found, systems, shared_std=shared_std(cloth))
    kind, confidence = kind_of_cloth(*systems, texture)
    return Measurement(
        photo=PhotoRecord(name=photo.name, width_px=width, height_px=height, sha256=photo.sha256),
        scale=cloth.scale,
        cloth=ClothRecord(
            kind=kind,
            kind_confidence=confidence,
            outline_px=outline_px(cloth),
            skew_deg=skew_deg(cloth),
            bow=bow(cloth),
            sharpness_mm=sharpness_mm(found),
            washed=washed,
            left_out=left_out,
            word=word_for_tweed(texture.flecks)
            if kind is Kind.TWEED
            else finer_word(kind, *systems),
            weave=texture.weave if texture.weave != WeaveRecord() else None,
            values=value_shares(unrolled, weave, lit),
            strips_differ=strips_differ((up.profile, across.profile), lit),
        ),
        up=systems[0],
        across=systems[1],
        warp=warp,
        cautions=(
            *photo.cautions,
            *cautions(
                cloth,
                (systems[0], systems[1]),
                (_repeat_seen(up), _repeat_seen(across)),
                (up.too_fine, across.too_fine),
                left_out,
                kind=kind,
                white_share=white_share(unrolled),
                yarns_sure=yarns.sure,
                washed=washed,
            ),
        ),
    )


def _repeat_seen(found: SystemFound) -> RepeatSeen | None:
    if found.folded is None or found.repeats_seen is None:
        return None
    return RepeatSeen(count=found.repeats_seen, doubt=doubt_of(found.profile, found.folded))


def white_share(unrolled: Unrolled) -> float:
    """Share of the cloth that is pure white in the photo."""
    import cv2

    white = cv2.inRange(unrolled.rgb, (PURE_WHITE * FULL,) * 3, (FULL,) * 3)
    return cv2.countNonZero(white) / max(int(unrolled.valid.sum()), 1)


def _mean_share(share: Floats, seen_mm: Floats) -> Floats:
    known = seen_mm > 0
    return np.asarray(share[known].mean(axis=0))


def reflectance_factor(cloth: Cloth, unrolled: Unrolled, weave: Weave) -> Floats:
    """Factor (3,) from the weave's linear light to reflectance, by the mark's white."""
    if cloth.scale.white is None:
        return np.ones(3)
    block = weave.block
    rows, columns = (np.arange(block // 2, n, block) for n in unrolled.grid.shape)
    xy = unrolled.grid.xy_mm(rows[:, None], columns)
    light = weave.light[: len(rows), : len(columns)]
    beside = cloth.view.look_up(cloth.around.ring, xy) & np.isfinite(
        weave.misfit[: xy.shape[0], : xy.shape[1]]
    )
    at_mark = float(light[beside].mean()) if beside.any() else 1.0
    return at_mark * WHITE_REFLECTANCE / np.asarray(cloth.scale.white)


def yarn_grain(unrolled: Unrolled, found: tuple[SystemFound, SystemFound]) -> NDArray[np.float64]:
    """How strongly single yarns show at each crossing (C, B), relative; nan where unseen."""
    import cv2

    labels = [
        band_at(each, positions)
        for each, positions in zip(found, (unrolled.grid.u_mm, unrolled.grid.v_mm), strict=True)
    ]
    counts = [len(each.sequence.widths_mm) for each in found]
    up, across = (
        (np.arange(count)[:, None] == label).astype(np.float32)
        for count, label in zip(counts, labels, strict=True)
    )
    grey = cv2.transform(unrolled.rgb, np.full((1, 3), 1 / 3, np.float32))
    soft = cv2.GaussianBlur(grey, (0, 0), 1.0 / unrolled.grid.step_mm)
    number, energy = np.zeros((2, *reversed(counts)))
    for rows, _ in bands(unrolled.grid.shape):
        valid = unrolled.valid[rows].astype(np.float32)
        fine = cv2.subtract(grey[rows], soft[rows], dtype=cv2.CV_32F)
        number += across[:, rows] @ valid @ up.T
        energy += across[:, rows] @ (fine * fine * valid) @ up.T
    grain = 3 / FULL * np.sqrt(energy / np.maximum(number, 1))
    return np.where(number > 200, grain, np.nan)


def band_at(found: SystemFound, position_mm: Floats) -> NDArray[np.intp]:
    """Index of the band at each position (N,) of the profile."""
    edges = found.sequence.edges_mm
    if found.folded is None:
        return np.searchsorted(edges, position_mm)
    period = found.folded.repeat_mm
    phase = found.folded.phase_mm(position_mm) % period
    order = np.argsort(edges % period)
    place = np.searchsorted((edges % period)[order], phase, side="right") - 1
    return order[place]


def system_record(
    cloth: Cloth, direction: Direction, found: SystemFound, yarn: Floats, reads: Floats
) -> ThreadSystem:
    """One system's record: ids, widths with their uncertainty, colours, traced edges."""
    index = list(Direction).index(direction)
    sequence, stretch = found.sequence, found.mm_per_phase
    widths = sequence.widths_mm * stretch
    alike = np.hypot(BIAS_MM, BIAS_PX / cloth.scale.px_per_mm)
    edge_std = np.hypot(sequence.width_std_mm * stretch, alike)
    shared = shared_std(cloth)
    starts = np.concatenate([[0.0], np.cumsum(widths)[:-1]])
    ids = [f"{direction.letter}{k + 1}" for k in range(len(widths))]
    lone = found.folded is None
    bands = tuple(
        Band(
            id=ids[k],
            start_mm=float(starts[k]),
            width_mm=float(widths[k]),
            width_edge_std_mm=float(edge_std[k]),
            width_std_mm=float(np.hypot(edge_std[k], shared * widths[k])),
            partial=lone and k in (0, len(widths) - 1),
            yarn=colour_of_linear_rgb(yarn[k]),
            reads=colour_of_linear_rgb(reads[k]),
        )
        for k in range(len(widths))
    )
    if len(bands) == 1:
        lone = True
    repeat_mm = None if lone else float(widths.sum())
    repeat_std = None
    if repeat_mm is not None and found.folded is not None:
        seen = max(1.0, found.repeats_seen or 1.0)
        repeat_std = float(np.hypot(np.median(edge_std) / seen, shared * repeat_mm))
    positions, beside = _edge_positions(found, ids)
    traced = [trace(cloth, index, position) for position in positions]
    kept = [k for k, line in enumerate(traced) if len(line) > 1]
    return ThreadSystem(
        direction=direction,
        angle_px_deg=angle_px_deg(cloth, index),
        repeat_mm=repeat_mm,
        repeat_std_mm=repeat_std,
        mirrored=sequence.mirrored,
        origin_mm=0.0
        if repeat_mm is None or not len(positions)
        else _origin_mm(
            found, float(positions[0]), starts[ids.index(str(beside[0][1]))], repeat_mm
        ),
        bands=bands,
        stripes=bold_stripes(bands, circular=not lone),
        edges_px=tuple(traced[k] for k in kept),
        edge_bands=tuple(beside[k] for k in kept),
    )


def _origin_mm(
    found: SystemFound, first_edge_mm: float, start_mm: float, repeat_mm: float
) -> float:
    """Where the first whole repeat starts, from the first thread seen, [0, repeat).

    ``start_mm`` is where in the repeat the band starts whose edge is the first one seen.
    """
    seen_mm = found.profile.position_mm[found.profile.seen][0]
    return float(((first_edge_mm - seen_mm) * found.mm_per_phase - start_mm) % repeat_mm)


def shared_std(cloth: Cloth) -> float:
    """Relative standard uncertainty that all widths share: scale, and what is left of the lens."""
    return float(np.hypot(cloth.scale.relative_std, LENS_REACH * cloth.scale.lens_std))


def sharpness_mm(found: tuple[SystemFound, SystemFound]) -> float | None:
    """Blur of the stripes' edges, standard deviation; None for plain cloth."""
    blurs = [each.blur_mm for each in found if len(each.sequence.widths_mm) > 1]
    return float(min(blurs)) if blurs else None


def _edge_positions(
    found: SystemFound, ids: list[str]
) -> tuple[Floats, list[tuple[str | None, str | None]]]:
    """Every edge seen, in order along the profile, with the ids before and after it."""
    edges, count = found.sequence.edges_mm, len(ids)
    if found.folded is None:
        return edges, [(ids[k], ids[k + 1]) for k in range(len(edges))]
    at = found.profile.position_mm[found.profile.seen]
    phase = found.folded.phase_mm(at)
    repeat = found.folded.repeat_mm
    all_edges = [
        (edge + turn * repeat, (ids[(k - 1) % count], ids[k]))
        for turn in range(
            int(np.floor(phase[0] / repeat)) - 1, int(np.ceil(phase[-1] / repeat)) + 1
        )
        for k, edge in enumerate(edges)
        if phase[0] < edge + turn * repeat < phase[-1]
    ]
    all_edges.sort(key=lambda item: item[0])
    targets = np.array([edge for edge, _ in all_edges])
    return np.interp(targets, phase, at), [beside for _, beside in all_edges]
