"""Photos with truth, measured one by one as a user's would be."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import numpy as np

from plaidcut.errors import PlaidcutError
from plaidcut.photo import Photo, load_photo
from plaidcut.scale.plane import Lens, Scale
from tests.bench.score import PhotoScore, score_systems


def find_scale(photo: Photo, truth: dict[str, Any]) -> Scale:
    """The scale as the command would find it: the printed card, else what the truth names."""
    size = tuple(truth.get("card_size_mm") or ())
    if truth.get("scale") == "ruler":
        from plaidcut.scale.ruler import find_ruler

        return find_ruler(photo.pixels, (truth.get("ruler") or {}).get("unit", "in"))
    if truth.get("mark", "") == "printed card" or truth["scale"] in ("wallet", "sheet"):
        from plaidcut.scale.card import find_card

        return find_card(photo.pixels)
    if size == (152.4, 101.6):
        from plaidcut.scale.rectangle import find_rectangle

        return find_rectangle(photo.pixels, size)
    from plaidcut.scale.card import find_card

    return find_card(photo.pixels)


def measure_photo(path: Path, *, narrowest_mm: float = 1.0) -> PhotoScore:
    """Measure one photo and hold it against ``NAME.json`` beside it."""
    from plaidcut.stripes.measure import measure_cloth

    truth = json.loads(path.with_suffix(".json").read_text())
    accept = truth.get("accept_also") or ()
    refuse = truth.get("why_refuse_code") or truth.get("code") or ()
    codes = tuple(x for group in (accept, refuse) for x in ([group] if isinstance(group, str) else group))
    begin = time.perf_counter()
    try:
        photo = load_photo(path)
        scale = find_scale(photo, truth)
        measured = measure_cloth(photo, scale, narrowest_mm=narrowest_mm)
    except PlaidcutError as error:
        return PhotoScore(
            name=path.stem, outcome=error.code, expected=truth["expect"], accept=codes,
            seconds=time.perf_counter() - begin, notes=(error.message,),
        )
    seconds = time.perf_counter() - begin
    assert measured.scale is not None
    return PhotoScore(
        name=path.stem,
        outcome="measured",
        expected=truth["expect"],
        accept=codes,
        systems=score_systems(measured, truth),
        scale_error=measured.scale.px_per_mm / true_px_per_mm(truth, photo.size_px) - 1,
        seconds=seconds,
        notes=tuple(c.code for c in measured.cautions),
    )


def true_px_per_mm(truth: dict[str, Any], size_px: tuple[int, int]) -> float:
    """Local scale at the picture's centre, from the truth's own plane and lens."""
    camera = truth["camera"]
    plane = np.array(truth["plane_to_pixel_homography"])
    center = np.array([(size_px[0] - 1) / 2, (size_px[1] - 1) / 2])
    lens = Lens(k1=camera["k1"], center_px=tuple(camera["center_px"]), norm_px=camera["norm_px"])
    corners = center + np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
    homogeneous = np.column_stack([lens.undistort(corners), np.ones(4)]) @ np.linalg.inv(plane).T
    x, y = (homogeneous[:, :2] / homogeneous[:, 2:]).T
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    return float(1 / np.sqrt(area))
