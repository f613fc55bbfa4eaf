"""The bench's tables: a row for each photo, the figures over all, and what they must be."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.bench.score import PhotoScore, SystemScore
from tests.bench.targets import Target

HEAD = (
    f"{'photo':28} {'outcome':16} {'found':>9} {'inv':>4} {'width mm':>15} {'repeat %':>8}"
    f" {'scale %':>8} {'dE':>5} {'cells':>9} {'s':>5}"
)


def row(score: PhotoScore) -> str:
    """One line for one photo; an outcome that should not be has a mark before it."""
    outcome = score.outcome if score.right else f"!{score.outcome}"
    if not score.systems:
        return f"{score.name:28} {outcome:16} {'':64} {score.seconds:5.1f}"
    systems = score.systems
    errors = np.abs(_all(systems, "width_error_mm"))
    colours = _all(systems, "colour_difference")
    repeats = [s.repeat_error for s in systems if s.repeat_error is not None]
    widths = f"{np.median(errors):.3f} / {errors.max():.3f}" if len(errors) else "-"
    colour = f"{np.median(colours):.1f}" if len(colours) else "-"
    scale = "-" if score.scale_error is None else f"{100 * score.scale_error:.2f}"
    return (
        f"{score.name:28} {outcome:16} {_sum(systems, 'found'):4}/{_sum(systems, 'true_bands'):<4}"
        f" {_sum(systems, 'invented'):4} {widths:>15} {100 * max(repeats, default=0):8.2f}"
        f" {scale:>8} {colour:>5} {_sum(systems, 'cells_right'):4}/{_sum(systems, 'cells'):<4}"
        f" {score.seconds:5.1f}"
    )


def summary(scores: Sequence[PhotoScore]) -> dict[str, float]:
    """The figures over all photos; NaN where there is nothing to take them from.

    Found, invented and all errors are of the photos that were measured and should be.
    """
    due = [s for s in scores if s.expected == "ok"]
    undue = [s for s in scores if s.expected != "ok"]
    measured = [s for s in due if s.systems]
    systems = [s for score in measured for s in score.systems]
    carded = [s for score in measured if score.white_known for s in score.systems]
    signed, stated = _all(systems, "width_error_mm"), _all(systems, "stated_std_mm")
    but_print = np.sqrt(np.maximum(stated**2 - _all(systems, "print_std_mm") ** 2, 0))
    bands = _sum(systems, "true_bands")
    repeats = [s.repeat_error for s in systems if s.repeat_error is not None]
    scales = [abs(s.scale_error) for s in measured if s.scale_error is not None]
    return {
        "photos": len(scores),
        "to measure: refused %": _percent(len(due) - len(measured), len(due)),
        "to refuse: refused rightly %": _percent(sum(s.right for s in undue), len(undue)),
        "bands": bands,
        "found %": _percent(_sum(systems, "found"), bands),
        "invented %": _percent(_sum(systems, "invented"), bands),
        "width error median mm": _quantile(np.abs(signed), 0.5),
        "width error 95th percentile mm": _quantile(np.abs(signed), 0.95),
        "width error mean, signed mm": float(np.mean(signed)) if len(signed) else np.nan,
        "repeat error median %": 100 * _quantile(repeats, 0.5),
        "scale error median %": 100 * _quantile(scales, 0.5),
        "strip counts right %": _percent(_sum(systems, "cells_right"), _sum(systems, "cells")),
        "yarn CIEDE2000 median, card": _quantile(_all(carded, "colour_difference"), 0.5),
        "95 % intervals that hold, but for print %": _holding(signed, but_print),
        "as stated, with a printer's error %": _holding(signed, stated),
        "mirror right %": _percent(_sum(systems, "mirror_right"), len(systems)),
        "seconds median": _quantile([s.seconds for s in scores], 0.5),
    }


def _holding(error: NDArray[np.float64], std: NDArray[np.float64]) -> float:
    """Per cent of errors within their 95 % interval."""
    return _percent(int(np.sum(np.abs(error) <= 1.96 * std)), len(error))


def compare(
    scores: Sequence[PhotoScore], reference: Sequence[PhotoScore]
) -> dict[str, tuple[float, float, float]]:
    """Bands missed or wrong: ours, the plain pipeline's, and by how many times it has more.

    Once with all bands of a photo that was refused and shouldn't be counted as missed,
    once over the photos alone that both measured.
    """
    pairs = [p for p in zip(scores, reference, strict=True) if p[0].expected == "ok"]
    both = [(ours, plain) for ours, plain in pairs if ours.systems and plain.systems]
    return {
        name: _times(
            sum(ours.missed_or_wrong for ours, _ in chosen),
            sum(plain.missed_or_wrong for _, plain in chosen),
        )
        for name, chosen in (("refused is missed", pairs), ("both measured", both))
    }


def figures(
    values: dict[str, float],
    *,
    targets: Sequence[Target] = (),
    beside: dict[str, float] | None = None,
) -> str:
    """The figures as a list, the plain pipeline's beside them, and whether they suffice."""
    lines = []
    for name, value in values.items():
        line = f"  {name:32} {value:9.3f}"
        if beside is not None:
            line += f" {beside[name]:9.3f}"
        marks = [t.mark(value) for t in targets if t.figure == name]
        lines.append("  ".join([line, *marks]))
    return "\n".join(lines)


def _all(systems: Sequence[SystemScore], name: str) -> np.ndarray:
    """All values of a field that holds one a band."""
    return np.concatenate([np.empty(0), *(getattr(s, name) for s in systems)])


def _sum(systems: Sequence[SystemScore], name: str) -> int:
    return sum(getattr(s, name) for s in systems)


def _percent(part: int, whole: int) -> float:
    return 100 * part / whole if whole else np.nan


def _quantile(values: Sequence[float] | np.ndarray, at: float) -> float:
    return float(np.quantile(values, at)) if len(values) else np.nan


def _times(ours: int, plain: int) -> tuple[float, float, float]:
    return (ours, plain, plain / ours if ours else np.inf)
