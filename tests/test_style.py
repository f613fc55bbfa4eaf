"""What no linter knows: every test says what must be true."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TESTS = sorted(ROOT.glob("tests/**/test_*.py"))


def functions_of(path):
    """Every function of a file."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            yield node


@pytest.mark.parametrize("path", TESTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_test_says_what_must_be_true(path):
    """Each test has a sentence, in which a reader finds what broke when it fails."""
    silent = [
        function.name
        for function in functions_of(path)
        if function.name.startswith("test_")
        and not (ast.get_docstring(function) or "").rstrip().endswith((".", "!", "?"))
    ]
    assert silent == []
