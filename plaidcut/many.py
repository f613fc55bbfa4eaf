"""Many photos measured at once, on all cores, a few in memory at a time.

Each photo is a job of its own that shares nothing with any other: `measure_one` can be mapped
over photos by any job runner. `measure_many` does so with processes of this machine.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import partial
from hashlib import file_digest
from pathlib import Path
from typing import Final

from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import JsonObject
from plaidcut.errors import NotFound, PlaidcutError
from plaidcut.photo import load_photo
from plaidcut.shelf.pictures import pictures_of_photo
from plaidcut.shelved import Failed, Pictures
from plaidcut.stripes.measurement import Kind
from plaidcut.tasks import HowToMeasure, measure

ENDINGS: Final = (".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif")
"""What files of photos are called; what they hold is looked at when they are read."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """A photo that was measured, without its pixels."""

    path: Path
    sha256: str
    kind: Kind
    document: JsonObject
    """Its ``plaidcut-measurement``."""
    pictures: Pictures


def photos_in(folder: Path) -> list[Path]:
    """The photos that lie in a folder itself, by name; those that begin with a point are left out.

    Raises
    ------
    NotFound
        If it can't be read, or holds none.
    """
    try:
        found = sorted(
            path
            for path in folder.iterdir()
            if path.suffix.lower() in ENDINGS and not path.name.startswith(".") and path.is_file()
        )
    except OSError as error:
        msg = f"The folder {folder} can't be read: {error.strerror}."
        raise NotFound(msg) from error
    if not found:
        msg = f"There are no photos in {folder}."
        raise NotFound(msg, hint=f"Photos are called {', '.join(ENDINGS)}.")
    return found


def sha256_of(path: Path) -> str | None:
    """SHA-256 of a file's bytes, read a little at a time; None where it can't be read."""
    try:
        with path.open("rb") as file:
            return file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def measure_one(path: Path, how: HowToMeasure) -> Measured:
    """Measure one photo, and make what the shelf keeps of it.

    Raises
    ------
    PlaidcutError
        As `plaidcut.tasks.measure` does.
    """
    photo = load_photo(path, max_megapixels=how.max_megapixels)
    measurement = measure(photo, how)
    return Measured(
        path=path,
        sha256=photo.sha256,
        kind=measurement.cloth.kind,
        document=to_document(measurement, settings=how.unusual),
        pictures=pictures_of_photo(photo.pixels),
    )


def measure_many(
    paths: Iterable[Path], how: HowToMeasure, *, jobs: int
) -> Iterator[Measured | Failed]:
    """Measure photos, and give each as soon as it is done, in whatever order.

    Parameters
    ----------
    paths
        Files of photos; taken from it as there is room for them, so it may be endless.
    how
        As for one.
    jobs
        How many at a time; one needs no process of its own.
    """
    one = partial(_told, how=how)
    if jobs == 1:
        yield from map(one, paths)
        return
    waiting = iter(paths)
    while True:
        lost: list[Path] = []
        yield from _in_processes(waiting, how, jobs, lost)
        if not lost:
            return
        for path in lost:  # each alone, so that it is known which of them ends its process
            again: list[Path] = []
            yield from _in_processes(iter([path]), how, 1, again)
            if again:
                yield Failed(
                    file=str(path),
                    code="bug",
                    message=f"{path.name}: the process that measured it was ended.",
                    hint="There may be too little memory: try --jobs 1, or a smaller photo.",
                )


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _told(path: Path, how: HowToMeasure) -> Measured | Failed:
    """A photo measured, or why it wasn't."""
    try:
        return measure_one(path, how)
    except PlaidcutError as error:
        return Failed(file=str(path), code=error.code, message=error.message, hint=error.hint)
    except Exception as error:  # noqa: BLE001 -- one photo's fault doesn't stop the others
        bug = PlaidcutError(f"A fault of plaidcut's own: {type(error).__name__}: {error}")
        return Failed(file=str(path), code=bug.code, message=bug.message, hint=bug.hint)


def _in_processes(
    paths: Iterator[Path], how: HowToMeasure, jobs: int, lost: list[Path]
) -> Iterator[Measured | Failed]:
    """Measure in processes, until all are done or a process was ended: what it had is lost."""
    before = set(multiprocessing.active_children())
    pool = ProcessPoolExecutor(
        jobs, mp_context=multiprocessing.get_context("spawn"), initializer=_begin
    )
    running: dict[Future[Measured | Failed], Path] = {}
    try:
        while not lost:
            while len(running) < jobs + 1 and (path := next(paths, None)) is not None:
                try:
                    running[pool.submit(_told, path, how)] = path
                except BrokenProcessPool:
                    lost.append(path)
                    break
            if not running:
                return
            yield from _finished(running, lost)
        while running:
            yield from _finished(running, lost)
    finally:
        for process in set(multiprocessing.active_children()) - before:
            process.kill()  # it has nothing to keep
        pool.shutdown(cancel_futures=True)


def _finished(
    running: dict[Future[Measured | Failed], Path], lost: list[Path]
) -> Iterator[Measured | Failed]:
    """What is done meanwhile, at least one."""
    done, _ = wait(running, return_when=FIRST_COMPLETED)
    for future in done:
        path = running.pop(future)
        try:
            yield future.result()
        except BrokenProcessPool:
            lost.append(path)


def _begin() -> None:
    """Leave Ctrl-C to the parent, and the other cores to the other processes."""
    import cv2

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cv2.setNumThreads(1)
