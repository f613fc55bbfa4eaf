"""Kinds of cloth, thread pitches and columns of the texture suite, against their truth.

``python -m tests.bench.texture --seeds 1,2`` draws fifteen photos a seed (kept in .cache/bench),
measures them through the public interface, prints a row for each, then the figures.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fixtures.render import Scene, keep
from fixtures.render.suites import SUITES
from plaidcut.errors import PlaidcutError
from plaidcut.stripes.measurement import Direction, Kind, Measurement
from plaidcut.tasks import HowToMeasure, measure
from tests.bench.photos import truth_of, way_of
from tests.bench.speed import say

_CACHE = Path(__file__).parents[2] / ".cache" / "bench"
CONFIDENT = 0.75
"""From here on the words are "this is", not "this may be"."""
RESOLVED_PX = 4.0
"""Pixels a thread from which its pitch is asked for."""
PITCH_WITHIN = 0.03
COLUMN_WITHIN = 0.05
KINDS_RIGHT, CONFIDENTLY_WRONG = 0.9, 0.03


@dataclass(frozen=True, slots=True, kw_only=True)
class TextureScore:
    """One photo."""

    name: str
    true_kind: str
    true_word: str | None
    outcome: str
    """The kind measured, or a refusal's code."""
    confidence: float = 0.0
    word: str | None = None
    px_per_thread: float = 0.0
    pitch_errors: tuple[float | None, float | None] = (None, None)
    """Relative, of up and of across; None where no pitch was given."""
    twill_right: bool | None = None
    """None where the truth or the measurement tells of none."""
    column_error: float | None = None
    columns: bool = False
    """Whether the cloth has some."""

    @property
    def right(self) -> bool:
        """Whether the kind is right."""
        return self.outcome == self.true_kind

    @property
    def confidently_wrong(self) -> bool:
        """Whether a wrong kind was said without a doubt."""
        said = self.outcome in set(Kind) - {Kind.UNSURE}
        return said and not self.right and self.confidence >= CONFIDENT


def score(path: Path) -> TextureScore:
    """Measure one photo and hold its texture against the truth."""
    truth = truth_of(path)
    texture = truth["texture"]
    about = {"name": path.stem, "true_kind": truth["kind"], "true_word": texture["word"]}
    pitches = {
        name: truth[name]["pitch_mm"] * truth[name]["local_width_factor"][1]
        for name in ("warp", "weft")
    }
    about["px_per_thread"] = min(pitches.values()) * truth["px_per_mm_center"]
    about["columns"] = texture["columns_mm"] is not None
    try:
        found = measure(path, HowToMeasure(scale=way_of(truth)))
    except PlaidcutError as error:
        return TextureScore(outcome=error.code, **about)
    return TextureScore(
        outcome=found.cloth.kind.value,
        confidence=found.cloth.kind_confidence,
        word=found.cloth.word,
        pitch_errors=_pitch_errors(found, truth, pitches),
        twill_right=_twill_right(found, truth),
        column_error=_column_error(found, truth),
        **about,
    )


def _up_is_warp(truth) -> bool:
    """Whether the true warp is what runs nearer to vertical in the photo."""
    return abs(truth["warp"]["angle_px_deg"] - 90) <= 45


def _pitch_errors(found: Measurement, truth, pitches) -> tuple[float | None, float | None]:
    weave = found.cloth.weave
    if weave is None:
        return None, None
    names = ("warp", "weft") if _up_is_warp(truth) else ("weft", "warp")
    said = [weave.pitch(direction) for direction in Direction]
    up, across = (
        None if each is None else each.mm / pitches[name] - 1
        for each, name in zip(said, names, strict=True)
    )
    return up, across


def _twill_right(found: Measurement, truth) -> bool | None:
    line, weave = truth["texture"]["twill_angle_px_deg"], found.cloth.weave
    if line is None or weave is None or weave.twill is None:
        return None
    up = truth["warp" if _up_is_warp(truth) else "weft"]["angle_px_deg"]
    return bool(((line - up) % 180 < 90) == (weave.twill.value == "right"))


def _column_error(found: Measurement, truth) -> float | None:
    weave, true_mm = found.cloth.weave, truth["texture"]["columns_mm"]
    if true_mm is None or weave is None or weave.columns is None:
        return None
    true_mm *= truth["warp"]["local_width_factor"][1]
    along_warp = (weave.columns.along is Direction.UP) == _up_is_warp(truth)
    return weave.columns.width_mm / true_mm - 1 if along_warp else np.inf


def row(each: TextureScore) -> str:
    """One photo in one line."""
    mark = " " if each.right else "!" if each.confidently_wrong else "?"
    pitch = " ".join("   --" if e is None else f"{100 * e:5.1f}" for e in each.pitch_errors)
    column = "" if each.column_error is None else f"{100 * each.column_error:.1f}"
    twill = {None: "", True: "yes", False: "NO"}[each.twill_right]
    return (
        f"{mark}{each.name[8:]:22}{each.true_kind:16}{each.outcome:16}{each.confidence:5.2f} "
        f"{each.true_word or '':14}{each.word or '':14}{each.px_per_thread:5.1f}  "
        f"{pitch}  {twill:5}{column:>6}"
    )


def figures(scores: list[TextureScore]) -> list[str]:
    """What all photos together show, each beside its goal."""
    number = len(scores)
    right, wrong = (
        sum(each.right for each in scores),
        sum(each.confidently_wrong for each in scores),
    )
    near = [each for each in scores if each.px_per_thread >= RESOLVED_PX]
    asked = [error for each in near for error in each.pitch_errors]
    given = [error for error in asked if error is not None]
    within = sum(abs(error) <= PITCH_WITHIN for error in given)
    far = [e for s in scores if s not in near for e in s.pitch_errors if e is not None]
    far_within = sum(abs(error) <= PITCH_WITHIN for error in far)
    twill = [each.twill_right for each in scores if each.twill_right is not None]
    columns = [each for each in scores if each.columns]
    wide = [each.column_error for each in columns if each.column_error is not None]
    worded = [each for each in scores if each.true_word is not None]
    return [
        _goal(f"kinds right: {right} of {number}", right >= KINDS_RIGHT * number),
        _goal(f"confidently wrong: {wrong}", wrong <= CONFIDENTLY_WRONG * number),
        _goal(
            f"pitch within 3 %, of {len(asked)} threads systems of 4 px a thread and more: {within}"
            f" of {len(given)} given",
            within == len(given),
        ),
        f"  pitch within 3 %, of finer threads: {far_within} of {len(far)} given",
        f"  twill's way right: {sum(twill)} of {len(twill)} given",
        f"  columns within 5 %: {sum(abs(e) <= COLUMN_WITHIN for e in wide)} of {len(columns)}",
        f"  finer words right: {sum(s.word == s.true_word for s in worded)} of {len(worded)}",
        f"  finer words wrong: {sum(s.word not in (None, s.true_word) for s in scores)}",
    ]


def _goal(words: str, met: bool) -> str:  # noqa: FBT001
    return f"  {words}  {'goal met' if met else 'GOAL MISSED'}"


def main() -> None:
    """Print a row for each photo, then the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.texture", description=__doc__)
    parser.add_argument("--seeds", default="1")
    parser.add_argument("--only", default="", metavar="NAME")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--cache", type=Path, default=_CACHE, metavar="FOLDER")
    given = parser.parse_args()
    scenes = [
        (scene, given.cache / f"texture-{seed}")
        for seed in map(int, given.seeds.split(","))
        for scene in SUITES["texture"](seed)
        if given.only in scene.name
    ]
    say(
        f" {'photo':22}{'kind':16}{'measured':16}{'sure':>5} {'word':14}{'measured':14}px/th"
        "  pitch %, up across  twill  col %"
    )
    scores = []
    with ProcessPoolExecutor(given.jobs) as pool:
        for each in pool.map(_drawn_and_scored, scenes):
            scores.append(each)
            say(row(each))
    say("")
    for line in figures(scores):
        say(line)


def _drawn_and_scored(task: tuple[Scene, Path]) -> TextureScore:
    path, _ = keep(*task)
    return score(path)


if __name__ == "__main__":
    main()
