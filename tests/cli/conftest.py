"""The command line as tests run it."""

import json
from dataclasses import dataclass

import pytest

from plaidcut.cli.app import run


@dataclass(frozen=True)
class Answer:
    """What a command answered."""

    status: int
    out: str
    err: str

    @property
    def document(self):
        """Standard output as the one JSON document that it must be."""
        return json.loads(self.out, parse_constant=lambda word: pytest.fail(f"{word} in JSON"))

    @property
    def error(self):
        """The error of an error document."""
        document = self.document
        assert list(document) == ["error"]
        assert list(document["error"]) == ["code", "message", "hint"]
        return document["error"]


@pytest.fixture
def plaidcut(capsys):
    """Run a command line in this process."""

    def run_it(*words):
        status = run([str(word) for word in words])
        told = capsys.readouterr()
        return Answer(status, told.out, told.err)

    return run_it
