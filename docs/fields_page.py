"""The reference of the documents' fields, drawn from their JSON Schemas."""

from __future__ import annotations

from typing import Any, Final

from plaidcut.documents.schemas import MODELS, schema_of

HEAD: Final = """\
# Fields of the documents

Made from the JSON Schemas by `docs/generate.py`: don't edit this page. What all
documents share stands in [documents](documents.md).
"""


def page() -> str:
    """The whole page: each kind of document with its parts."""
    return "\n".join([HEAD, *(_document(name) for name in MODELS)]).rstrip() + "\n"


def _document(name: str) -> str:
    schema = schema_of(name)
    parts: dict[str, Any] = schema.get("$defs", {})
    text = f"## `{name}`\n\n{_lines(schema.get('description', ''))}\n\n"
    text += f"[Schema](schemas/{name}.json)\n\n{_fields(schema)}\n"
    for title, part in parts.items():
        if "properties" in part:
            said = _lines(part.get("description", ""))
            text += f"\n### {_name(title)} in `{name}`\n\n{said}\n\n{_fields(part)}\n"
        elif "enum" in part:
            values = ", ".join(f"`{value}`" for value in part["enum"])
            text += f"\n### {_name(title)} in `{name}`\n\nOne of {values}.\n"
    return text.replace("\n\n\n", "\n\n")


def _fields(part: Any) -> str:  # noqa: ANN401 -- JSON
    needed = set(part.get("required", ()))
    rows = ["| field | type | meaning |", "| --- | --- | --- |"]
    for name, field in part["properties"].items():
        meaning = _lines(field.get("description", ""))
        may = "" if name in needed else " May be left out."
        rows.append(f"| `{name}` | {_bar(_kind(field))} | {_bar(meaning)}{may} |")
    return "\n".join(rows)


def _kind(field: Any) -> str:  # noqa: ANN401, PLR0911 -- one line for each way to say it
    """What a value must be, in few words."""
    if "$ref" in field:
        return _name(field["$ref"].rsplit("/", 1)[-1])
    if "const" in field:
        return f"`{field['const']}`"
    if "enum" in field:
        return " or ".join(f"`{value}`" for value in field["enum"])
    for several in ("anyOf", "oneOf"):
        if several in field:
            return " or ".join(_kind(each) for each in field[several])
    if "prefixItems" in field:
        return f"[{', '.join(_kind(each) for each in field['prefixItems'])}]"
    if field.get("type") == "array":
        return f"list of {_kind(field.get('items', {}))}"
    return str(field.get("type", "anything"))


def _name(title: str) -> str:
    """A part's name, without the module that pydantic puts before it where two share a name."""
    return title.rsplit("__", 1)[-1]


def _lines(text: str) -> str:
    return " ".join(text.replace("``", "`").split())


def _bar(text: str) -> str:
    return text.replace("|", "\\|").replace("L*a*b*", r"L\*a\*b\*")
