"""The table: a private folder in which each cloth at work has a folder of its own.

Names in it are ours: nothing that a browser sends ever becomes a path. Every step is written
whole as it is made, so the page can be left, or the computer switched off, at any time.
"""

from __future__ import annotations

import json
import re
import secrets
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Final

from plaidcut.errors import CannotWrite, NotFound
from plaidcut.files import read_text, write_whole

DAYS_KEPT: Final = 30
"""Days that a cloth stays on the table after it was last touched (chosen here)."""

MOST_CLOTHS: Final = 200
"""On the table at once; then old ones go first (chosen here)."""

_ID: Final = re.compile(r"[0-9a-f]{16}")

PHOTO: Final = "photo"
ASKED: Final = "asked.json"
STATE: Final = "state.json"
REPORT_STATE: Final = "report-state.json"
REPORT_ASKED: Final = "report-asked.json"
REPORT: Final = "made-"
"""What the names of a report's files begin with here."""
MEASURED: Final = "measurement.json"
CORRECTIONS: Final = "corrections.json"
CHOICES: Final = "choices.json"
PREVIEW: Final = "preview.jpg"
THUMBNAIL: Final = "thumbnail.jpg"
SIZE: Final = "size.json"
STRAIGHT: Final = "straight.npz"
LOOSE: Final = "loose.json"
LOOSE_TABLE: Final = "loose.csv"
LOOSE_WORDS: Final = "loose-words.json"
NAMED: Final = "named.jpg"


class Kind(StrEnum):
    """What lies in a photo."""

    CLOTH = "cloth"
    STRIPS = "strips"
    """Ready-cut, loose."""


class Phase(StrEnum):
    """How far a cloth is."""

    WAITING = "waiting"
    """For a place among those that are worked on."""
    WORKING = "working"
    DONE = "done"
    REFUSED = "refused"
    """It can't be measured honestly, or read."""
    CANCELLED = "cancelled"


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """How far a cloth is, and why it went no further."""

    phase: Phase
    code: str = ""
    """Of the error that it was refused with."""
    message: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Cloth:
    """A cloth on the table."""

    folder: Path

    @property
    def id(self) -> str:
        """What its addresses hold."""
        return self.folder.name

    def path(self, name: str) -> Path:
        """One of its files; ``name`` is one of ours."""
        return self.folder / name

    def has(self, name: str) -> bool:
        """Whether it is there."""
        return self.path(name).is_file()

    def keep(self, name: str, content: bytes | str | Mapping[str, object]) -> None:
        """Write one of its files whole."""
        held = content if isinstance(content, bytes | str) else json.dumps(content, indent=1)
        write_whole(self.path(name), held, force=True)

    def read(self, name: str) -> dict[str, str]:
        """A small file of words; empty where there is none."""
        if not self.has(name):
            return {}
        read: dict[str, str] = json.loads(read_text(self.path(name)))
        return read

    @property
    def kind(self) -> Kind:
        """What lies in its photo."""
        return Kind(self.read(ASKED).get("kind") or Kind.CLOTH)

    @property
    def name(self) -> str:
        """What she calls it: the name of its photo."""
        return self.read(ASKED).get("name") or "cloth"

    @property
    def state(self) -> State:
        """How far it is."""
        return self.state_in(STATE)

    def state_in(self, name: str) -> State:
        """How far the work is whose state is kept in one of its files."""
        words = self.read(name)
        if not words:
            return State(phase=Phase.WAITING)
        return State(**{**words, "phase": Phase(words["phase"])})  # type: ignore[arg-type]

    def set_state(self, state: State, name: str = STATE) -> None:
        """Say how far it is, or how far the work is whose state that file keeps."""
        words = {"phase": state.phase.value, "code": state.code}
        self.keep(name, {**words, "message": state.message, "hint": state.hint})

    def touched(self) -> float:
        """When it was last changed, in seconds."""
        try:
            return max(filter(None, map(_changed, self.folder.iterdir())), default=0.0)
        except FileNotFoundError:  # another tab has taken it off
            return 0.0


def _changed(path: Path) -> float | None:
    """When a file was last changed; None where it is gone, as half-written ones soon are."""
    try:
        return path.stat().st_mtime
    except FileNotFoundError:
        return None


@dataclass(frozen=True, slots=True)
class Table:
    """All cloths at work."""

    root: Path

    @classmethod
    def at(cls, root: Path) -> Table:
        """The table in a folder, which is made so that only she can look into it.

        Raises
        ------
        CannotWrite
            If it can't be made.
        """
        try:
            root.mkdir(parents=True, exist_ok=True, mode=0o700)
            root.chmod(0o700)
        except OSError as error:
            msg = f"The folder {root} can't be made or used: {error.strerror}."
            raise CannotWrite(msg) from error
        return cls(root)

    def new(self, asked: Mapping[str, str]) -> Cloth:
        """Lay a new cloth on it."""
        cloth = Cloth(self.root / secrets.token_hex(8))
        cloth.folder.mkdir(mode=0o700)
        cloth.keep(ASKED, asked)
        return cloth

    def cloth(self, cloth_id: str) -> Cloth:
        """The cloth of that id.

        Raises
        ------
        NotFound
            If there is none.
        """
        cloth = Cloth(self.root / cloth_id) if _ID.fullmatch(cloth_id) else None
        if cloth is None or not cloth.has(ASKED):
            msg = "This cloth is no longer on the table."
            raise NotFound(msg, hint="Choose its photo again, or take it from the shelf.")
        return cloth

    def cloths(self) -> list[Cloth]:
        """All that lie on it, the last touched first."""
        return sorted(self._all(), key=Cloth.touched, reverse=True)

    def _all(self) -> Iterator[Cloth]:
        for folder in self.root.iterdir():
            if _ID.fullmatch(folder.name) and (folder / ASKED).is_file():
                yield Cloth(folder)

    def remove(self, cloth: Cloth) -> None:
        """Take a cloth off it, with its photo and all that was made of it."""
        shutil.rmtree(cloth.folder, ignore_errors=True)

    def clear_old(self) -> None:
        """Take off what wasn't touched for long, and what is too much."""
        oldest = datetime.now(UTC) + timedelta(days=-DAYS_KEPT)
        for number, cloth in enumerate(self.cloths()):
            if number >= MOST_CLOTHS or cloth.touched() < oldest.timestamp():
                self.remove(cloth)
