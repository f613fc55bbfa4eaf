"""Photos with truth, measured one by one as a user's would be."""

from __future__ import annotations

import json
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from plaidcut.errors import PlaidcutError
from plaidcut.scale.card import PRINT_STD
from plaidcut.scale.plane import Lens, Method
from plaidcut.scale.ways import ByCard, ByRectangle, ByRuler, ScaleWay
from plaidcut.tasks import HowToMeasure, measure
from tests.bench.score import PhotoScore, score_systems

_PRINTED = ("wallet", "sheet")
_INDEX_CARD_MM = (152.4, 101.6)


def truth_of(path: Path) -> dict[str, Any]:
    """What lies beside a photo as ``NAME.json``."""
    return json.loads(path.with_suffix(".json").read_text())


def way_of(truth: dict[str, Any]) -> ScaleWay:
    """What a user who sees the photo would tell of its scale.

    Where nothing of known size lies in it she says nothing, and the printed card is
    looked for. A truth without ``card_kind`` has an index card if it is of that size.
    """
    if truth["scale"] == "ruler":
        return ByRuler(unit=truth["ruler"]["unit"])
    kind = truth.get("card_kind")
    if kind == "id1":
        return ByRectangle.id1()
    if kind == "index" or (kind is None and is_index_card(truth)):
        return ByRectangle(size_mm=_INDEX_CARD_MM)
    return ByCard()


def is_index_card(truth: dict[str, Any]) -> bool:
    """Whether the card has an index card's size."""
    size = truth.get("card_size_mm")
    return size is not None and bool(np.allclose(size, _INDEX_CARD_MM))


def right_codes(truth: dict[str, Any]) -> tuple[str, ...]:
    """The refusals that are right; none named means that any is."""
    first, also = truth.get("why_refuse_code"), truth.get("accept_also") or ()
    return tuple(([first] if first else []) + list(also))


def measure_photo(path: Path) -> PhotoScore:
    """Measure one photo by the public interface and hold it against its truth."""
    truth = truth_of(path)
    way = way_of(truth)
    about = {
        "name": path.stem,
        "expected": truth["expect"],
        "accept": right_codes(truth),
        "true_bands": true_bands(truth),
        "white_known": truth.get("card_kind") in _PRINTED,
    }
    begin = time.perf_counter()
    try:
        measured = measure(path, HowToMeasure(scale=way))
    except PlaidcutError as error:
        seconds = time.perf_counter() - begin
        return PhotoScore(outcome=error.code, seconds=seconds, notes=(error.message,), **about)
    seconds = time.perf_counter() - begin
    if truth["warp"] is None:  # something was measured where no cloth is
        return PhotoScore(outcome="measured", seconds=seconds, **about)
    by_card = measured.scale.method is Method.CARD
    return PhotoScore(
        outcome="measured",
        systems=score_systems(measured.systems, truth, print_std=PRINT_STD if by_card else 0.0),
        scale_error=measured.scale.px_per_mm / true_px_per_mm(truth) - 1,
        seconds=seconds,
        notes=tuple(caution.code for caution in measured.cautions),
        **about,
    )


def true_bands(truth: dict[str, Any]) -> int:
    """How many bands one repeat of both systems has."""
    return sum(len(system["bands"]) for system in systems_of(truth))


def systems_of(truth: dict[str, Any]) -> Iterable[dict[str, Any]]:
    """The true thread systems; none where there is no cloth."""
    return [truth[name] for name in ("warp", "weft") if truth.get(name) is not None]


def lens_of(truth: dict[str, Any]) -> Lens:
    """The camera's lens."""
    camera = truth["camera"]
    return Lens(k1=camera["k1"], center_px=tuple(camera["center_px"]), norm_px=camera["norm_px"])


def true_px_per_mm(truth: dict[str, Any]) -> float:
    """Local scale at the picture's centre, from the truth's own plane and lens."""
    plane = np.array(truth["plane_to_pixel_homography"])
    center = (np.array(truth["image_size"]) - 1) / 2
    corners = center + np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
    seen = np.column_stack([lens_of(truth).undistort(corners), np.ones(4)])
    homogeneous = seen @ np.linalg.inv(plane).T
    x, y = (homogeneous[:, :2] / homogeneous[:, 2:]).T
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    return float(1 / np.sqrt(area))
