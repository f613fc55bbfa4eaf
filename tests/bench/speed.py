"""Time and memory of measuring a photo, in units of what its pixels cost at least.

``python -m tests.bench.speed`` runs two processes in turn and whole, imports and all: one
that only decodes the JPEG, detects markers, converts once to CIE L*a*b* and warps once,
all with OpenCV; and ``plaidcut measure PHOTO --json``. The photo is a rendered one. Memory is told
above that of a process which only loads what measuring loads; and ``plaidcut --help`` is held
against ``import typer``. All run from compiled files, as installed packages do.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from importlib.metadata import version
from multiprocessing import get_context
from pathlib import Path

from tests.bench.targets import HELP, LARGER, MEMORY, TIMES

_CACHE = Path(__file__).parents[2] / ".cache" / "bench" / "speed"
_COMPILED = _CACHE.parent / "compiled"
_REFERENCE = """
import sys
import cv2
import numpy as np
pixels = cv2.imread(sys.argv[1])
markers = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_25h9)
corners, ids, _ = cv2.aruco.ArucoDetector(markers).detectMarkers(pixels)
assert ids is not None, "no markers seen"
lab = cv2.cvtColor(pixels, cv2.COLOR_BGR2LAB)
height, width = lab.shape[:2]
frame = np.float32([[0, 0], [width, 0], [width, height], [0, height]])
seen = frame + np.float32([[9, 5], [-40, 20], [-7, -11], [30, -25]])
cv2.warpPerspective(lab, cv2.getPerspectiveTransform(seen, frame), (width, height))
"""
"""The reference process: 8 bits a channel throughout, one warp of the whole picture."""
_PLAIDCUT = "from plaidcut.cli.app import main; main()"
_IMPORTS = """
from importlib import import_module
import cv2, pillow_heif, simplejpeg
import plaidcut.cli.app, plaidcut.cli.asked, plaidcut.cli.measure, plaidcut.cli.show
from PIL import ImageCms
from plaidcut.preload import MEASURING
for module in MEASURING:
    import_module(module)
"""
"""The interpreter with what measuring loads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What a process took."""

    wall_s: float
    cpu_s: float
    """User and system time of all its threads and children."""
    peak_mb: float
    """Largest resident memory, in millions of bytes."""


def cost_of(command: list[str]) -> Cost:
    """Run a command to its end and say what it took."""
    begin = time.perf_counter()
    unset = "PYTHONDONTWRITEBYTECODE"
    compiled = {name: value for name, value in os.environ.items() if name != unset}
    compiled["PYTHONPYCACHEPREFIX"] = str(_COMPILED)
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, env=compiled) as process:
        _, status, usage = os.wait4(process.pid, 0)
        wall_s = time.perf_counter() - begin
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{command[0]} ended with status {process.returncode}")
    unit = 1 if sys.platform == "darwin" else 1024
    return Cost(
        wall_s=wall_s,
        cpu_s=usage.ru_utime + usage.ru_stime,
        peak_mb=usage.ru_maxrss * unit / 1e6,
    )


def photo_of(megapixels: float, *, seed: int, folder: Path) -> Path:
    """An ordinary photo through a camera of so many megapixels, which see the same scene."""
    from fixtures.render import keep
    from fixtures.render.suites import SUITES

    scene = SUITES["easy"](seed)[0]
    camera, sensor = scene.camera, scene.sensor
    times = (megapixels * 1e6 / (camera.width_px * camera.height_px)) ** 0.5
    camera = replace(
        camera,
        width_px=4 * round(camera.width_px * times / 4),
        height_px=4 * round(camera.height_px * times / 4),
        px_per_mm=camera.px_per_mm * times,
    )
    sensor = replace(
        sensor, defocus_px=sensor.defocus_px * times, motion_px=sensor.motion_px * times
    )
    name = f"speed-{megapixels:g}-mp"
    path, _ = keep(replace(scene, name=name, camera=camera, sensor=sensor), folder)
    return path


def _drawn_apart(megapixels: float, seed: int, folder: Path) -> Path:
    """Draw the photo in a process of its own.

    What this one takes would be in its children's figures: Linux counts a process's largest
    resident memory from before it became another program.
    """
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        return pool.submit(photo_of, megapixels, seed=seed, folder=folder).result()


def best_of(times: int, *commands: list[str]) -> tuple[Cost, ...]:
    """The cost of each, run in turn, the least of each figure; a first run only compiles."""
    runs = [[cost_of(command) for command in commands] for _ in range(times + 1)]
    return tuple(_least(of_one) for of_one in zip(*runs[1:], strict=True))


def _python(script: str, *words: str) -> list[str]:
    return [sys.executable, "-c", script, *words]


def _least(costs: tuple[Cost, ...]) -> Cost:
    return Cost(
        wall_s=min(c.wall_s for c in costs),
        cpu_s=min(c.cpu_s for c in costs),
        peak_mb=min(c.peak_mb for c in costs),
    )


def main() -> None:
    """Print what both cost, and by how many times plaidcut costs more."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.speed", description=__doc__)
    parser.add_argument("--megapixels", type=float, nargs="+", default=[12.0], metavar="N")
    parser.add_argument("--runs", type=int, default=3, metavar="N", help="the best of so many")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--cache", type=Path, default=_CACHE, metavar="FOLDER")
    given = parser.parse_args()
    libraries = ("numpy", "opencv-python", "scipy", "scikit-image", "pillow")
    words = ", ".join(f"{name} {version(name)}" for name in libraries)
    say(f"Python {platform.python_version()}, {words}")
    load = f", load {os.getloadavg()[0]:.1f} before" if hasattr(os, "getloadavg") else ""
    say(f"{platform.machine()}, {os.cpu_count()} processor cores{load}; best of {given.runs}")
    typer, help_, imports = best_of(
        given.runs, _python("import typer"), _python(_PLAIDCUT, "--help"), _python(_IMPORTS)
    )
    times = help_.wall_s / typer.wall_s
    say(f"import typer {typer.wall_s:.2f} s, plaidcut --help {help_.wall_s:.2f} s")
    say(f"  {times:.1f} {HELP.figure}  {HELP.mark(times)}")
    say(f"interpreter with imports: {imports.wall_s:.2f} s, {imports.peak_mb:.0f} MB")
    first: Cost | None = None
    for megapixels in given.megapixels:
        path = _drawn_apart(megapixels, given.seed, given.cache)
        reference, measured = best_of(
            given.runs,
            _python(_REFERENCE, str(path)),
            _python(_PLAIDCUT, "measure", str(path), "--json"),
        )
        say(f"\n{megapixels:g} megapixels, rendered, {path.stat().st_size / 1e6:.1f} MB of JPEG")
        say(f"  {'':12}{'wall s':>9}{'CPU s':>9}{'peak MB':>9}")
        for name, cost in (("reference", reference), ("plaidcut", measured)):
            say(f"  {name:12}{cost.wall_s:9.2f}{cost.cpu_s:9.2f}{cost.peak_mb:9.0f}")
        wall, cpu = measured.wall_s / reference.wall_s, measured.cpu_s / reference.cpu_s
        say(f"  {'times':12}{wall:9.1f}{cpu:9.1f}{measured.peak_mb / reference.peak_mb:9.1f}")
        if megapixels == 12:
            say(f"  {wall:.1f} {TIMES.figure}  {TIMES.mark(wall)}")
        each = (measured.peak_mb - imports.peak_mb) / megapixels
        say(f"  {each:.1f} {MEMORY.figure}  {MEMORY.mark(each)}")
        if first is None:
            first = measured
            continue
        wall, cpu = measured.wall_s / first.wall_s, measured.cpu_s / first.cpu_s
        least = f"{given.megapixels[0]:g} megapixels"
        due = LARGER.mark(wall) if (given.megapixels[0], megapixels) == (12, 48) else ""
        say(f"  {wall:.1f} times the wall time of {least}, {cpu:.1f} times the CPU time  {due}")


def say(line: str) -> None:
    """Print a line at once."""
    print(line, flush=True)


if __name__ == "__main__":
    main()
