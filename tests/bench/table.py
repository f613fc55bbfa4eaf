"""The bench's tables: a row for each photo and the figures over all."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tests.bench.score import PhotoScore


HEAD = (
    f"{'photo':28} {'outcome':16} {'found':>9} {'inv':>4} {'width mm':>16} {'repeat %':>9}"
    f" {'scale %':>8} {'dE':>5} {'cells':>9} {'s':>5}"
)


def row(score: PhotoScore) -> str:
    """One line for one photo; an outcome that should not be has a mark before it."""
    outcome = score.outcome if score.right else f"!{score.outcome}"
    if not score.systems:
        return f"{score.name:28} {outcome:16} {'':64} {score.seconds:5.1f}"
    errors = np.abs(np.concatenate([s.width_error_mm for s in score.systems]))
    colours = np.concatenate([s.colour_difference for s in score.systems])
    repeats = [s.repeat_error for s in score.systems if s.repeat_error is not None]
    found, true = sum(s.found for s in score.systems), sum(s.true_bands for s in score.systems)
    cells = (sum(s.cells_right for s in score.systems), sum(s.cells for s in score.systems))
    widths = f"{np.median(errors):.3f} / {errors.max():.3f}" if len(errors) else "-"
    return (
        f"{score.name:28} {outcome:16} {found:4}/{true:<4} {sum(s.invented for s in score.systems):4}"
        f" {widths:>16} {100 * max(repeats, default=0):9.2f} {100 * (score.scale_error or 0):8.2f}"
        f" {np.median(colours) if len(colours) else 0:5.1f} {cells[0]:4}/{cells[1]:<4}"
        f" {score.seconds:5.1f}"
    )


def summary(scores: Iterable[PhotoScore]) -> dict[str, float]:
    """The figures over all photos; refused ones count all their bands as missed only where due."""
    scores = list(scores)
    systems = [s for score in scores for s in score.systems]
    true = sum(s.true_bands for s in systems)
    errors = np.abs(np.concatenate([s.width_error_mm for s in systems] or [np.empty(0)]))
    signed = np.concatenate([s.width_error_mm for s in systems] or [np.empty(0)])
    stated = np.concatenate([s.stated_std_mm for s in systems] or [np.empty(0)])
    colours = np.concatenate([s.colour_difference for s in systems] or [np.empty(0)])
    repeats = [s.repeat_error for s in systems if s.repeat_error is not None]
    scales = [abs(s.scale_error) for s in scores if s.scale_error is not None]
    cells = sum(s.cells for s in systems)
    return {
        "photos": len(scores),
        "measured": sum(s.outcome == "measured" for s in scores),
        "right (measured or refused as due)": sum(s.right for s in scores),
        "bands": true,
        "found %": 100 * sum(s.found for s in systems) / max(true, 1),
        "invented %": 100 * sum(s.invented for s in systems) / max(true, 1),
        "width error median mm": float(np.median(errors)) if len(errors) else float("nan"),
        "width error 95 % mm": float(np.quantile(errors, 0.95)) if len(errors) else float("nan"),
        "repeat error median %": 100 * float(np.median(repeats)) if repeats else float("nan"),
        "scale error median %": 100 * float(np.median(scales)) if scales else float("nan"),
        "strip counts right %": 100 * sum(s.cells_right for s in systems) / max(cells, 1),
        "yarn CIEDE2000 median": float(np.median(colours)) if len(colours) else float("nan"),
        "95 % intervals that hold %": 100 * float(np.mean(np.abs(signed) <= 1.96 * stated))
        if len(stated)
        else float("nan"),
        "mirror right %": 100 * float(np.mean([s.mirror_right for s in systems])) if systems else float("nan"),
        "seconds median": float(np.median([s.seconds for s in scores])) if scores else float("nan"),
    }


def figures(title: str, values: dict[str, float]) -> str:
    """The figures as a list under a title."""
    return "\n".join([title, *(f"  {name:36} {value:9.3f}" for name, value in values.items())])
