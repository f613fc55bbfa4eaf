"""``python -m tests.bench --photos FOLDER``: measure a folder of photos with truth."""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.bench.photos import measure_photo
from tests.bench.table import figures, rows, summary


def main() -> None:
    """Measure, print a row for each photo and the figures over all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--photos", type=Path, action="append", required=True)
    parser.add_argument("--only", default="", help="part of the names to measure")
    parser.add_argument("--jobs", type=int, default=1)
    arguments = parser.parse_args()
    for folder in arguments.photos:
        paths = [p for p in sorted(folder.glob("*.jpg")) if arguments.only in p.stem]
        with ProcessPoolExecutor(arguments.jobs) as pool:
            scores = list(pool.map(measure_photo, paths))
        print(rows(scores))
        print(figures(str(folder.name), summary(scores)))


if __name__ == "__main__":
    main()
