"""The pages as what they are for a reader: commands to type, files to save, answers to expect."""

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
GENERATED = {
    "explanation/bench.md",
    "reference/commands.md",
    "reference/errors.md",
    "reference/fields.md",
    "reference/python.md",
}
"""Written by docs/generate.py."""

PAGES = [
    ROOT / "README.md",
    *sorted(
        page
        for page in DOCS.rglob("*.md")
        if page.relative_to(DOCS).as_posix() not in {"changelog.md", *GENERATED}
    ),
]

_BLOCK = re.compile(r"^(?: {4}| {6}| {8})plaidcut (?P<typed>.+)$")
_FENCE = re.compile(r"^```(?P<kind>\w*)$")
_SAVED = re.compile(r"[Ss]ave (?:this|it) as\s+`(?P<name>[^`]+)`")
_INLINE = re.compile(r"`plaidcut ([^`]+)`")


@dataclass(frozen=True)
class Typed:
    """A command that she types."""

    words: tuple[str, ...]


@dataclass(frozen=True)
class Saved:
    """A file that she saves."""

    name: str
    text: str


@dataclass(frozen=True)
class Shown:
    """What the page shows of the answer to the command before it."""

    text: str


@dataclass(frozen=True)
class Python:
    """A program that she writes."""

    code: str


def steps_of(page):
    """What a page tells her to do and to see, in order."""
    before, fenced, kind = "", None, ""
    for line in page.read_text(encoding="utf-8").splitlines():
        fence = _FENCE.match(line)
        if fence and fenced is None:
            fenced, kind = [], fence["kind"]
        elif fence:
            yield from _of_fence("\n".join(fenced) + "\n", kind, before)
            before, fenced = "", None
        elif fenced is not None:
            fenced.append(line)
        else:
            before += line + "\n"
            block = _BLOCK.match(line)
            typed = [block["typed"]] if block else [*_INLINE.findall(line)]
            for text in typed:
                words = tuple(shlex.split(text))
                if block or is_whole(words):
                    yield Typed(words)


def _of_fence(text, kind, before):
    """What a fenced block is: a file, an answer, or commands for a shell."""
    saved = _SAVED.search(before[-200:])
    if kind in {"json", "toml"} and saved:
        yield Saved(saved["name"], text)
    elif kind == "python":
        yield Python(text)
    elif kind == "text":
        yield Shown(text)
    elif kind == "sh":
        for line in text.splitlines():
            if line.startswith("plaidcut "):
                yield Typed(tuple(shlex.split(line)[1:]))


def is_whole(words):
    """Whether what stands within a sentence could be typed, and isn't just a command's name."""
    said = words[2:] if words[0] == "shelf" else words[1:]
    values = [word for word in said if not word.startswith("-")]
    placeholder = any(re.fullmatch(r"[A-Z.]{3,}(\.\w+)?", word.strip(",")) for word in values)
    return bool(values) and not placeholder


def mentioned_in(page):
    """Commands and their options as a page names them within a sentence."""
    for text in _INLINE.findall(page.read_text(encoding="utf-8")):
        yield tuple(shlex.split(text))
