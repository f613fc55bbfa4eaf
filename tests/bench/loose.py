"""Measure rendered photos of loose strips, and print how well.

``python -m tests.bench.loose --seeds 1,2`` draws them (kept in .cache/bench) and measures them.
"""

from __future__ import annotations

import argparse
import json
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from scipy.spatial import cKDTree

from fixtures.render import Scene, keep
from fixtures.render.suites import SUITES
from plaidcut import tasks
from plaidcut.cutting.cuts import CutTable, Numbering, cut_table
from plaidcut.cutting.which_cut import NamedStrip, NamedStrips
from plaidcut.errors import PlaidcutError
from tests.bench.targets import Target

_CACHE = Path(__file__).parents[2] / ".cache" / "bench"

ROUGH = ("ravelled", "twisted", "wandering")
"""Cases whose strips have no one width all along: they are to be marked, not named."""

TARGETS = (
    Target("right cut %", least=95),
    Target("counted for a wrong cut %", most=1),
    Target("within 0.2 mm %", least=95),
    Target("invented", most=0),
    Target("95 % intervals that hold %", least=90),
    Target("refused rightly %", least=100),
)


@dataclass
class Score:
    """What came out of one photo."""

    name: str
    true: int = 0
    found: int = 0
    right: int = 0
    """Strips given the right cut ..."""
    counted: int = 0
    """... and counted for it, nothing about them being odd."""
    wrong: int = 0
    """Strips that count for a cut that isn't theirs."""
    between: int = 0
    """Strips of no sure cut."""
    odd: int = 0
    invented: int = 0
    parted: int = 0
    """Strips that came out as several."""
    refused: str | None = None
    expected: str | None = None
    errors_mm: list[float] = field(default_factory=list)
    stated_mm: list[float] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def rough(self) -> bool:
        """Whether its strips have no one width."""
        return self.name.split("-", 2)[2] in ROUGH


def main() -> None:
    """Print a row for each photo, then the figures over all."""
    given = _arguments()
    say(
        f"{'photo':26}{'true':>5}{'found':>6}{'right':>6}{'cntd':>5}{'wrong':>6}{'betw':>5}{'odd':>5}"
        f"{'inv':>4}{'parted':>7}{'width mm':>16}{'s':>6}"
    )
    scores = []
    work = [
        (scene, given.cache / f"loose-{seed}")
        for seed in given.seeds
        for scene in SUITES["loose"](seed)
        if given.only in scene.name
    ]
    with ProcessPoolExecutor(given.jobs) as pool:
        for score in pool.map(drawn_and_scored, work):
            scores.append(score)
            say(row(score))
    say("", f"seeds {', '.join(map(str, given.seeds))}")
    for name, value in figures(scores).items():
        marks = [target.mark(value) for target in TARGETS if target.figure == name]
        say("  ".join([f"  {name:40}{value:9.3f}", *marks]))


def drawn_and_scored(task: tuple[Scene, Path]) -> Score:
    """Draw a scene into a folder unless it is there, and measure it."""
    scene, folder = task
    path, _ = keep(scene, folder)
    return score_photo(path)


def score_photo(path: Path) -> Score:
    """Measure one photo, and hold it against its truth."""
    truth = json.loads(path.with_suffix(".json").read_text())
    score = Score(path.stem, len(truth["strips"]), expected=truth["why_refuse_code"])
    start = time.perf_counter()
    try:
        named = tasks.which_cut(path, table_of(path.stem))
    except PlaidcutError as error:
        score.refused = error.code
        return score
    finally:
        score.seconds = time.perf_counter() - start
    match(named, truth["strips"], score)
    return score


def table_of(name: str) -> CutTable:
    """The cuts that a photo's strips were cut in."""
    thirty_seconds = "thirty-seconds" in name
    return cut_table(Numbering.THIRTY_SECONDS if thirty_seconds else Numbering.STEPPED)


def match(named: NamedStrips, truth: list[dict[str, Any]], score: Score) -> None:
    """Give every strip that was found to the true one that it lies on."""
    given: dict[int, list[NamedStrip]] = {}
    px_per_mm = named.loose.scale.px_per_mm
    lines = [_dense(np.array(strip["line_px"])) for strip in truth]
    for each in named.strips:
        middle = np.concatenate(
            [
                (line[: len(line) // 2] + line[len(line) // 2 :][::-1]) / 2
                for line in each.strip.outlines_px
            ]
        )
        away = [float(np.median(cKDTree(line).query(middle)[0])) for line in lines]
        nearest = int(np.argmin(away)) if away else -1
        if nearest < 0 or away[nearest] > 0.4 * truth[nearest]["width_mm"] * px_per_mm:
            score.invented += 1
        else:
            given.setdefault(nearest, []).append(each)
    for index, those in given.items():
        strip = truth[index]
        score.found += 1
        score.parted += len(those) > 1
        for number, each in enumerate(sorted(those, key=lambda e: -e.strip.length_mm)):
            right = each.named.cut is not None and each.named.cut.name == strip["cut"]
            score.wrong += each.counted is not None and not right
            if number:
                continue
            score.right += right
            score.counted += right and each.counted is not None
            score.odd += bool(each.strip.odd)
            score.between += each.named.cut is None
            if each.counted is not None or not each.strip.odd:
                score.errors_mm.append(each.strip.width_mm - strip["width_mm"])
                score.stated_mm.append(each.strip.width_std_mm)


def _dense(line: np.ndarray) -> np.ndarray:
    """A line's points so close that distances to it are right."""
    at = np.arange(0, len(line) - 1 + 1e-9, 0.02)
    return np.column_stack([np.interp(at, np.arange(len(line)), line[:, k]) for k in range(2)])


def row(score: Score) -> str:
    """One line for one photo."""
    head = f"{score.name:26}"
    if score.refused or score.expected:
        mark = "" if score.refused == score.expected else "!"
        return f"{head}  {mark}{score.refused or 'measured'}"
    errors = np.abs(score.errors_mm)
    width = f"{np.median(errors):.3f} / {errors.max():.3f}" if len(errors) else "-"
    return (
        f"{head}{score.true:5}{score.found:6}{score.right:6}{score.counted:5}{score.wrong:6}{score.between:5}"
        f"{score.odd:5}{score.invented:4}{score.parted:7}{width:>16}{score.seconds:6.1f}"
    )


def figures(scores: list[Score]) -> dict[str, float]:
    """The figures over all photos."""
    due = [each for each in scores if each.expected is None]
    undue = [each for each in scores if each.expected is not None]
    plain = [each for each in due if not each.rough]
    errors = np.abs(np.concatenate([[], *(each.errors_mm for each in plain)]))
    stated = np.concatenate([[], *(each.stated_mm for each in plain)])
    rough = np.abs(np.concatenate([[], *(each.errors_mm for each in due if each.rough)]))
    true, rough_true = _sum(plain, "true"), _sum(due, "true") - _sum(plain, "true")
    rough_ones = [each for each in due if each.rough]
    return {
        "photos": len(scores),
        "strips of one width": true,
        "found %": _percent(_sum(plain, "found"), true),
        "right cut %": _percent(_sum(plain, "right"), true),
        "right and counted %": _percent(_sum(plain, "counted"), true),
        "counted for a wrong cut %": _percent(_sum(plain, "wrong"), true),
        "of no sure cut %": _percent(_sum(plain, "between"), true),
        "width error median mm": _quantile(errors, 0.5),
        "width error 95th percentile mm": _quantile(errors, 0.95),
        "within 0.2 mm %": _percent(int(np.sum(errors <= 0.2)), len(errors)),
        "95 % intervals that hold %": _percent(int(np.sum(errors <= 1.96 * stated)), len(errors)),
        "invented": _sum(due, "invented") + _sum(undue, "invented"),
        "came out in parts": _sum(due, "parted"),
        "rough strips": rough_true,
        "rough strips marked odd %": _percent(_sum(rough_ones, "odd"), rough_true),
        "rough strips, counted for a wrong cut %": _percent(_sum(rough_ones, "wrong"), rough_true),
        "rough, width error median mm": _quantile(rough, 0.5),
        "refused rightly %": _percent(sum(e.refused == e.expected for e in undue), len(undue)),
        "refused wrongly": sum(each.refused is not None for each in due),
        "seconds median": _quantile(np.array([each.seconds for each in scores]), 0.5),
    }


def _sum(scores: list[Score], name: str) -> int:
    return sum(int(getattr(each, name)) for each in scores)


def _percent(part: int, whole: int) -> float:
    return 100 * part / whole if whole else float("nan")


def _quantile(values: np.ndarray, at: float) -> float:
    return float(np.quantile(values, at)) if len(values) else float("nan")


def say(*lines: str) -> None:
    """Print lines at once."""
    print(*lines, sep="\n", flush=True)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.loose", description=__doc__)
    parser.add_argument("--seeds", type=_numbers, default=[1], metavar="N,N,N")
    parser.add_argument("--only", default="", metavar="NAME", help="part of the photos' names")
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="photos at a time")
    parser.add_argument("--cache", type=Path, default=_CACHE, metavar="FOLDER")
    return parser.parse_args()


def _numbers(text: str) -> list[int]:
    return [int(word) for word in text.split(",")]


if __name__ == "__main__":
    main()
