"""Heavy work in processes of its own: a few at a time, the others wait in order.

A process can be ended when she cancels, can't harm the page when it fails, and gives its memory
back when it is done.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from plaidcut.errors import Busy
from plaidcut.page.table import PHOTO, REPORT_STATE, STATE, Cloth, Kind, Phase, State

AT_ONCE: Final = min(2, os.cpu_count() or 1)
"""Processes at a time: each takes about half a gigabyte and both threads of a photo's systems."""

MOST_WAITING: Final = 60
"""Cloths that may wait; more are asked to come again (chosen here)."""

LONGEST_S: Final = 600.0
"""Nothing takes so long unless it has gone wrong (chosen here)."""

MEASURE: Final = "measure"
REPORT: Final = "report"
DRAW: Final = "draw"
STRIPS: Final = "strips"

STATES: Final = {MEASURE: STATE, DRAW: STATE, STRIPS: STATE, REPORT: REPORT_STATE}
"""The tasks of `plaidcut.page.worker`, and the file of a cloth that says how far each is."""

Job = tuple[str, str]
"""A cloth's id, and a task."""

ENDED: Final = State(
    phase=Phase.REFUSED,
    code="bug",
    message="The work ended before it was done, perhaps for want of memory.",
    hint="Try again; if it happens again, try a smaller photo.",
)


def first_task(cloth: Cloth) -> str:
    """What is done with a cloth first: one of the shelf has no photo of its own to measure."""
    if cloth.kind is Kind.STRIPS:
        return STRIPS
    return MEASURE if cloth.has(PHOTO) else DRAW


@dataclass(slots=True)
class Jobs:
    """What is being worked on, and what waits."""

    at_once: int = AT_ONCE
    most_waiting: int = MOST_WAITING
    _tasks: dict[Job, asyncio.Task[None]] = field(default_factory=dict)
    _steps: dict[Job, str] = field(default_factory=dict)
    _places: asyncio.Semaphore = field(init=False)

    def __post_init__(self) -> None:
        """Make the places."""
        self._places = asyncio.Semaphore(self.at_once)

    def start(self, cloth: Cloth, what: str) -> None:
        """Let something be done with a cloth, as soon as there is a place.

        Parameters
        ----------
        cloth
            One job of a kind at a time: what was under way of it ends.
        what
            One of `STATES`.

        Raises
        ------
        Busy
            If too many wait.
        """
        if len(self._tasks) >= self.at_once + self.most_waiting:
            msg = f"{len(self._tasks)} cloths are being measured or wait for it."
            raise Busy(msg)
        job = (cloth.id, what)
        before = self._tasks.pop(job, None)
        if before is not None:
            before.cancel()
        cloth.set_state(State(phase=Phase.WAITING), STATES[what])
        task = asyncio.create_task(self._work(cloth, what))
        self._tasks[job] = task
        task.add_done_callback(self._forgetting(job))

    def _forgetting(self, job: Job) -> Callable[[asyncio.Task[None]], None]:
        def forget(task: asyncio.Task[None]) -> None:
            if self._tasks.get(job) is task:
                del self._tasks[job]
                self._steps.pop(job, None)

        return forget

    def step(self, cloth: Cloth, what: str = MEASURE) -> str:
        """What is being done with it now, in words; empty where it waits or nothing is."""
        return self._steps.get((cloth.id, what), "")

    def waiting_before(self, cloth: Cloth, what: str = MEASURE) -> int:
        """How many wait or are worked on before it."""
        job = (cloth.id, what)
        return list(self._tasks).index(job) if job in self._tasks else 0

    async def cancel(self, cloth: Cloth, what: str = MEASURE) -> None:
        """End what is being done with a cloth."""
        task = self._tasks.get((cloth.id, what))
        if task is None:
            return
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task
        cloth.set_state(State(phase=Phase.CANCELLED), STATES[what])

    async def close(self) -> None:
        """End everything; what waits or is under way begins anew at the next start."""
        tasks = list(self._tasks.values())
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)

    async def _work(self, cloth: Cloth, what: str) -> None:
        async with self._places:
            cloth.set_state(State(phase=Phase.WORKING), STATES[what])
            process = await asyncio.create_subprocess_exec(
                *(sys.executable, "-P", "-m", "plaidcut.page.worker", what, str(cloth.folder)),
                stdin=asyncio.subprocess.DEVNULL,
                stdout=asyncio.subprocess.PIPE,
                stderr=asyncio.subprocess.DEVNULL,
            )
            try:
                async with asyncio.timeout(LONGEST_S):
                    await self._followed((cloth.id, what), process)
            except TimeoutError:
                cloth.set_state(ENDED, STATES[what])
            finally:
                if process.returncode is None:
                    process.kill()
                    await process.wait()
            if cloth.folder.is_dir() and cloth.state_in(STATES[what]).phase is Phase.WORKING:
                cloth.set_state(ENDED, STATES[what])

    async def _followed(self, job: Job, process: asyncio.subprocess.Process) -> None:
        """Follow a process's words to its end."""
        assert process.stdout is not None  # noqa: S101 -- it is a pipe
        async for line in process.stdout:
            self._steps[job] = line.decode("utf-8", "replace").strip()
        await process.wait()
