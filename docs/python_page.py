"""The reference of the Python API, drawn from signatures and docstrings.

`page` begins with the functions of `plaidcut.tasks` and `plaidcut.sources`, and goes on with every
record that these take and give, directly or within another.
"""

from __future__ import annotations

import ast
import dataclasses
import importlib
import inspect
import re
from collections.abc import Iterator
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, Final

HEAD: Final = """\
# Python

Made from signatures and docstrings by `docs/generate.py`: don't edit this page.

`plaidcut.tasks` does everything that the commands do; `plaidcut.sources` opens photos, documents
and names on the shelf. Below them stand the records that they take and give: frozen dataclasses,
with units in the names.
Errors are of one family, [with a code each](errors.md); [how to use it](../how-to/programs.md).
"""

MODULES: Final = ("plaidcut.tasks", "plaidcut.sources")
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_SECTION: Final = re.compile(r"^(\w[\w ]*)\n-+\n", re.MULTILINE)


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    wanted: list[type] = []
    for name in MODULES:
        module = importlib.import_module(name)
        parts.append(f"## `{name}`\n\n{_prose(module.__doc__)}\n")
        for each in _public(module):
            if inspect.isclass(each):
                wanted.append(each)
            else:
                parts.append(_function(each, "###", each.__name__))
                wanted += _records_in(_signature(each), each.__module__)
    parts.append("## Records\n")
    parts += [_record(each) for each in sorted(_closure(wanted), key=lambda each: each.__name__)]
    return "\n".join(parts).rstrip() + "\n"


def _public(module: Any) -> Iterator[Any]:  # noqa: ANN401
    """Functions and classes of a module, in the order of their source."""
    asked = getattr(module, "__all__", None)
    found = [
        each
        for name, each in vars(module).items()
        if (inspect.isfunction(each) or inspect.isclass(each))
        and (name in asked if asked else each.__module__ == module.__name__)
        and not name.startswith("_")
    ]
    return iter(sorted(found, key=lambda each: (*_place(each, module.__name__), _line(each))))


def _place(each: Any, module: str) -> tuple[bool, str]:  # noqa: ANN401
    """A module's own come first, those of its parts by part; then what it passes on."""
    return not f"{each.__module__}.".startswith(f"{module}."), each.__module__


def _line(each: Any) -> int:  # noqa: ANN401
    return inspect.getsourcelines(each)[1]


def _closure(begin: list[type]) -> list[type]:
    """These records and all within them, each once, in the order in which they are met."""
    found: dict[type, None] = {}
    waiting = list(begin)
    while waiting:
        each = waiting.pop(0)
        if each in found:
            continue
        found[each] = None
        for text in (kind for _, kind, _, _ in _fields(each)):
            waiting += _records_in(text, each.__module__)
    return list(found)


def _records_in(annotation: str, module: str) -> list[type]:
    """The records of plaidcut that an annotation names, where it stands in that module."""
    found = []
    for name in _NAME.findall(annotation):
        home = _homes(module).get(name, module)
        if not home.startswith("plaidcut"):
            continue
        each = getattr(importlib.import_module(home), name, None)
        if inspect.isclass(each) and (dataclasses.is_dataclass(each) or issubclass(each, Enum)):
            found.append(each)
        elif each is not None and hasattr(each, "__args__"):  # a union with a name
            found += [part for part in each.__args__ if dataclasses.is_dataclass(part)]
    return found


@cache
def _tree(module: str) -> ast.Module:
    source = importlib.import_module(module).__file__
    return ast.parse(Path(str(source)).read_text(encoding="utf-8"))


@cache
def _homes(module: str) -> dict[str, str]:
    """Which module each imported name comes from, those for type checkers too."""
    return {
        alias.asname or alias.name: node.module
        for node in ast.walk(_tree(module))
        if isinstance(node, ast.ImportFrom) and node.module
        for alias in node.names
    }


def _fields(record: type) -> list[tuple[str, str, str, str]]:
    """Name, type, default and meaning of each field, as they stand in the source."""
    if issubclass(record, Enum):
        return []
    found: list[tuple[str, str, str, str]] = []
    for each in reversed(record.__mro__[:-1]):
        if not each.__module__.startswith("plaidcut"):
            continue
        body = _class(each).body
        for node, after in zip(body, [*body[1:], None], strict=True):
            if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                if node.target.id.startswith("_"):
                    continue
                told = isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)
                meaning = inspect.cleandoc(str(after.value.value)) if told else ""
                default = ast.unparse(node.value) if node.value else ""
                found.append((node.target.id, ast.unparse(node.annotation), default, meaning))
    return found


def _class(each: type) -> ast.ClassDef:
    return next(
        node
        for node in ast.walk(_tree(each.__module__))
        if isinstance(node, ast.ClassDef) and node.name == each.__name__
    )


def _record(record: type) -> str:
    """A record: what it is, its fields, and what it can be asked."""
    own = _prose(_class(record) and ast.get_docstring(_class(record)))
    homes = (name for name in MODULES if f"{record.__module__}.".startswith(f"{name}."))
    home = next(homes, record.__module__)
    parts = [f"### `{record.__name__}`\n\nFrom `{home}`. {own}\n"]
    if issubclass(record, Enum):
        values = ", ".join(f"`{each.name}` (`{each.value}`)" for each in record)
        return f"{parts[0]}\nOne of {values}.\n"
    fields = _fields(record)
    if fields:
        parts.append("| field | type | meaning |\n| --- | --- | --- |")
        parts.append("\n".join(_row(*each) for each in fields) + "\n")
    for name, each in vars(record).items():
        if name.startswith("_"):
            continue
        if isinstance(each, property):
            parts.append(f"- `.{name}`: {_first(each.__doc__)}")
        elif inspect.isfunction(each) and each.__doc__ and each.__module__ == record.__module__:
            parts.append(f"- `.{name}()`: {_first(each.__doc__)}")
    return "\n".join(parts).rstrip() + "\n"


def _row(name: str, kind: str, default: str, meaning: str) -> str:
    usual = "" if default in {"", "..."} else f" Else `{_usual(default)}`."
    return f"| `{name}` | `{_bar(kind)}` | {_bar(' '.join(meaning.split()))}{_bar(usual)} |"


def _usual(default: str) -> str:
    """A default, without how dataclasses spell it."""
    return re.sub(r"^field\(default_factory=(\w+)\)$", r"\1()", default)


def _bar(text: str) -> str:
    return _starred(text.replace("|", "\\|"))


def _starred(text: str) -> str:
    """The colour space with its stars, which Markdown would take for emphasis."""
    return text.replace("L*a*b*", r"L\*a\*b\*")


def _function(each: Any, level: str, name: str) -> str:  # noqa: ANN401
    """A function: how it is called, and its docstring."""
    return f"{level} `{name}`\n\n```python\n{_signature(each)}\n```\n\n{_docstring(each)}\n"


def _signature(each: Any) -> str:  # noqa: ANN401
    """As it stands in the source, on as many lines as it needs."""
    node = next(
        node
        for node in ast.walk(_tree(each.__module__))
        if isinstance(node, ast.FunctionDef) and node.name == each.__name__
    )
    node = ast.FunctionDef(**{**node.__dict__, "body": [ast.Pass()], "decorator_list": []})
    text = ast.unparse(ast.fix_missing_locations(node)).splitlines()[0]
    return text.removeprefix("def ").removesuffix(":")


def _docstring(each: Any) -> str:  # noqa: ANN401
    """A numpydoc docstring as Markdown: its sections as lists."""
    text = inspect.cleandoc(each.__doc__ or "")
    parts = _SECTION.split(text)
    said = [_prose(parts[0])]
    for title, body in zip(parts[1::2], parts[2::2], strict=True):
        if title == "Examples":
            said.append(f"```python\n{body.strip()}\n```")
        else:
            said.append(f"{title}:\n\n{_list(body.replace('``', '`'))}")
    return "\n\n".join(said)


def _list(body: str) -> str:
    """Names with what is said of each below them, as a list."""
    found: list[list[str]] = []
    for line in body.strip().splitlines():
        if line.startswith(" "):
            found[-1].append(line.strip())
        elif line:
            found.append([line.strip()])
    return "\n".join(
        f"- {', '.join(f'`{part}`' for part in name.split(', '))}: {' '.join(said)}"
        for name, *said in found
    )


def _prose(text: str | None) -> str:
    """Paragraphs of a docstring, its sections left out, its double ticks made single."""
    whole = inspect.cleandoc(text or "")
    said = _SECTION.split(whole)[0].strip()
    return _starred(said.replace("``", "`"))


def _first(text: str | None) -> str:
    return _prose(text).split("\n\n")[0].replace("\n", " ")
