"""Groups of options, handed over as one record."""

import inspect
from dataclasses import dataclass
from typing import Annotated

import pytest
import typer

from plaidcut.cli.groups import takes_groups


@dataclass(frozen=True, kw_only=True)
class Inner:
    """A group in a group."""

    loud: Annotated[bool, typer.Option("--loud", help="Shout.")] = False


@dataclass(frozen=True, kw_only=True)
class Outer:
    """A group."""

    times: Annotated[int, typer.Option(help="How often.")] = 1
    inner: Inner = Inner()


@takes_groups
def greet(name: Annotated[str, typer.Argument(help="Whom.")], *, how: Outer) -> str:
    """Greet somebody."""
    words = f"hello {name}"
    return " ".join([words.upper() if how.inner.loud else words] * how.times)


@pytest.fixture
def app():
    """A command line with the one command."""
    app = typer.Typer()
    app.command()(greet)
    return app


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (["ann"], "hello ann"),
        (["ann", "--times", "2"], "hello ann hello ann"),
        (["ann", "--loud"], "HELLO ANN"),
    ],
)
def test_options_of_groups_are_typed_like_any_other(app, words, answer):
    """What is typed fills the records, however deep; what isn't has its default."""
    assert app(words, standalone_mode=False) == answer


def test_a_group_shows_its_options_and_not_itself():
    """The command's own signature lists every option once, in order."""
    assert list(inspect.signature(greet).parameters) == ["name", "times", "loud"]
