"""Measure photos with truth, and print how well.

``python -m tests.bench --suite hard --seeds 11,12,13`` draws and measures a suite,
``python -m tests.bench --photos FOLDER`` measures what lies there.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from fixtures.render import Scene, keep, small
from fixtures.render.suites import SUITES
from tests.bench import targets
from tests.bench.photos import measure_photo
from tests.bench.plain import measure_plainly
from tests.bench.score import PhotoScore
from tests.bench.table import HEAD, compare, figures, row, summary

_CACHE = Path(__file__).parents[2] / ".cache" / "bench"

Pair = tuple[PhotoScore, PhotoScore | None]


@dataclass(frozen=True)
class Task:
    """One photo, drawn when its turn comes."""

    folder: Path
    scene: Scene | None
    name: str

    def run(self, *, reference: bool) -> Pair:
        """Draw it unless it is there, and measure it, by the plain pipeline too if asked."""
        path = self.folder / f"{self.name}.jpg"
        if self.scene is not None:
            path, _ = keep(self.scene, self.folder)
        return measure_photo(path), measure_plainly(path) if reference else None


def main() -> None:
    """Print a row for each photo, then the figures over all."""
    given = _arguments()
    if given.suite:
        tasks = [task for seed in given.seeds for task in _drawn(given, seed)]
        title = f"{given.suite}, seeds {', '.join(map(str, given.seeds))}, {given.size} size"
        wanted = targets.SUITES[given.suite]
    else:
        paths = [p for folder in given.photos for p in sorted(folder.glob("*.jpg"))]
        tasks = [Task(p.parent, None, p.stem) for p in paths if given.only in p.stem]
        title = ", ".join(folder.name for folder in given.photos)
        wanted = targets.PHOTOS
    pairs = []
    say(HEAD)
    for task, pair in zip(tasks, _run(tasks, given.jobs, reference=given.reference), strict=True):
        pairs.append(pair)
        say(f"{row(pair[0])}  {task.folder.name}")
        if pair[1] is not None:
            say(row(pair[1]).replace(pair[1].outcome, "  plainly", 1))
    ours = [pair[0] for pair in pairs]
    plain = [pair[1] for pair in pairs if pair[1] is not None]
    say("", title)
    say(figures(summary(ours), targets=wanted, beside=summary(plain) if plain else None))
    if plain:
        for name, (wrong, plainly, times) in compare(ours, plain).items():
            mark = targets.TIMES_BETTER.mark(times) if given.suite == "hard" else ""
            words = f"  missed or wrong, {name}: {wrong:.0f} of ours, {plainly:.0f} plainly,"
            say(f"{words} {times:.1f} times  {mark}".rstrip())


def say(*lines: str) -> None:
    """Print lines at once."""
    print(*lines, sep="\n", flush=True)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m tests.bench",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--suite", choices=sorted(targets.SUITES))
    what.add_argument("--photos", type=Path, action="append", metavar="FOLDER")
    parser.add_argument("--seeds", type=_numbers, default=[1], metavar="N,N,N")
    parser.add_argument("--count", type=int, metavar="N", help="only so many photos of each seed")
    parser.add_argument("--only", default="", metavar="NAME", help="part of the photos' names")
    parser.add_argument("--size", choices=("full", "small"), default="full")
    parser.add_argument("--cache", type=Path, default=_CACHE, metavar="FOLDER")
    parser.add_argument("--jobs", type=int, default=1, metavar="N", help="photos at a time")
    parser.add_argument(
        "--reference", action="store_true", help="measure with the plain pipeline as well"
    )
    return parser.parse_args()


def _numbers(text: str) -> list[int]:
    return [int(word) for word in text.split(",")]


def _drawn(given: argparse.Namespace, seed: int) -> list[Task]:
    """The photos of one seed, in a folder of their own."""
    scenes = [s for s in SUITES[given.suite](seed) if given.only in s.name][: given.count]
    ending = "" if given.size == "full" else "-small"
    folder = given.cache / f"{given.suite}-{seed}{ending}"
    if given.size == "small":
        scenes = [small(scene) for scene in scenes]
    return [Task(folder, scene, scene.name) for scene in scenes]


def _run(tasks: list[Task], jobs: int, *, reference: bool) -> Iterator[Pair]:
    """Results in the order of the tasks."""
    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(partial(Task.run, reference=reference), tasks)


if __name__ == "__main__":
    main()
