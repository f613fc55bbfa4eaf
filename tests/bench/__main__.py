"""``python -m tests.bench --photos FOLDER``: measure a folder of photos with truth."""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.bench.photos import measure_photo
from tests.bench.table import HEAD, figures, row, summary


def main() -> None:
    """Measure, print a row for each photo and the figures over all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--photos", type=Path, action="append", required=True)
    parser.add_argument("--only", default="", help="part of the names to measure")
    parser.add_argument("--jobs", type=int, default=1)
    arguments = parser.parse_args()
    for folder in arguments.photos:
        paths = [p for p in sorted(folder.glob("*.jpg")) if arguments.only in p.stem]
        print(HEAD)
        with ProcessPoolExecutor(arguments.jobs) as pool:
            scores = []
            for score in pool.map(measure_photo, paths):
                scores.append(score)
                print(row(score), flush=True)
        print(figures(str(folder.name), summary(scores)))


if __name__ == "__main__":
    main()
