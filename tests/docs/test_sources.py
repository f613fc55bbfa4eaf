"""Every figure that is cited by its id stands in docs/sources.md, and every one there is cited."""

import ast
import io
import re
import tokenize
from pathlib import Path

ROOT = Path(__file__).parents[2]
ID = re.compile(r"\b[AWTPSCO][0-9]{2}\b")
LISTED = set(
    re.findall(r"^\| ([AWTPSCO][0-9]{2}) \|", (ROOT / "docs/sources.md").read_text(), re.MULTILINE)
)
CODE = [path for room in ("plaidcut", "tests", "fixtures") for path in (ROOT / room).rglob("*.py")]


def prose_of(text):
    """Comments and docstrings: setts such as W20 stand in other strings."""
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.string
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield str(node.value.value)


def test_every_citation_is_explained():
    """An id in a comment or a docstring leads to a source."""
    cited = {
        (path.name, each)
        for path in CODE
        for prose in prose_of(path.read_text(encoding="utf-8"))
        for each in ID.findall(prose)
    }
    assert sorted(each for each in cited if each[1] not in LISTED) == []


def test_every_source_is_cited():
    """The page holds nothing that neither code nor tests rely on."""
    everything = "\n".join(path.read_text(encoding="utf-8") for path in CODE)
    assert sorted(LISTED - set(ID.findall(everything))) == []


def test_the_pages_cite_what_is_explained():
    """Every id on a page leads to a source, and every practice listed is cited by a page."""
    told = (ROOT / "docs/sources.md").read_text(encoding="utf-8")
    listed = set(re.findall(r"^\| ([A-Z][0-9]{2}) \|", told, re.MULTILINE))
    how_to = "\n".join(
        path.read_text(encoding="utf-8")
        for folder in ("how-to", "explanation")
        for path in (ROOT / "docs" / folder).glob("*.md")
    )
    cited = set(re.findall(r"\b[AHWTPSCO][0-9]{2}\b", how_to))
    assert sorted(cited - listed) == []
    assert sorted({each for each in listed if each.startswith("H")} - cited) == []
