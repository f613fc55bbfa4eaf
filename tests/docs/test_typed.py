"""Whatever the pages tell her to type is typed here, in that order, and does what they say."""

import re
import shutil

import pytest
from typer.main import get_command

from plaidcut import many, sources, tasks
from plaidcut.cli.app import app, run
from plaidcut.page import server
from plaidcut.photo import Photo
from plaidcut.tasks import measure as really_measure
from tests.docs.conftest import PHOTOS_DRAWN, draw
from tests.docs.pages import PAGES, ROOT, Python, Saved, Shown, Typed, mentioned_in, steps_of

STEPS = {page.relative_to(ROOT).as_posix(): list(steps_of(page)) for page in PAGES}
TYPED = [name for name, steps in STEPS.items() if any(isinstance(step, Typed) for step in steps)]

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_MEASURED = {}


def measured_once(photo, how=None):
    """As `plaidcut.tasks.measure`, each photo once in each way: pages measure the same ones."""
    photo = photo if isinstance(photo, Photo) else tasks.load_photo(photo)
    key = (photo.sha256, how)
    if key not in _MEASURED:
        _MEASURED[key] = really_measure(photo, how)
    return _MEASURED[key]


def close_at_once(own, *_args, phones=None, **_options):
    """In place of serving: give back what would be listened on."""
    own.close()
    if phones is not None:
        phones.listening.close()


@pytest.fixture
def quick(monkeypatch):
    """No photo is measured twice in a way, and the page doesn't wait for a visitor."""
    for place in (tasks, many, sources):
        monkeypatch.setattr(place, "measure", measured_once)
    monkeypatch.setattr(server, "serve", close_at_once)
    monkeypatch.setattr("webbrowser.open", lambda _address: True)
    monkeypatch.setenv("COLUMNS", "80")


@pytest.mark.parametrize("page", TYPED)
def test_every_command_of_a_page_does_what_it_says(page, her_folder, quick, capsys):
    """Typed in order, beside files saved as told, none is refused; shown answers are right."""
    answer = ""
    for step in STEPS[page]:
        match step:
            case Saved(name, text):
                (her_folder / name).write_text(text, encoding="utf-8")
            case Typed(words):
                for name in PHOTOS_DRAWN & {part for word in words for part in word.split()}:
                    shutil.copy(draw(name), her_folder / name)
                status = run([*one_process(words)])
                told = capsys.readouterr()
                assert status == 0, (" ".join(words), told.err)
                answer = told.out
            case Python(code):
                exec(compile(code, page, "exec"), {})  # noqa: S102 -- as she would
                capsys.readouterr()
            case Shown(text):
                for part in re.split(r"^\.\.\.$", text, flags=re.MULTILINE):
                    assert is_in(part, answer), part


def one_process(words):
    """The command without processes of its own, which would not know what was measured."""
    words = list(words)
    if "--jobs" in words:
        words[words.index("--jobs") + 1] = "1"
    return words


def is_in(part, answer):
    """Whether an answer holds these words in a row; numbers may differ in their last digit.

    Other processors round otherwise, by less than anybody would cut.
    """
    wanted, said = words_of(part), words_of(answer)
    return any(
        all(map(is_alike, wanted, said[begin : begin + len(wanted)]))
        for begin in range(len(said) - len(wanted) + 1)
    )


def words_of(text):
    """Words, however they are set."""
    return text.split()


def is_alike(wanted, said):
    """Whether two words are the same, but for the last digit of decimals."""
    if _NUMBER.sub("", wanted) != _NUMBER.sub("", said):
        return False
    return all(
        abs(float(one) - float(other)) <= 1.01 * 10 ** -len(one.partition(".")[2])
        if "." in one
        else one == other
        for one, other in zip(_NUMBER.findall(wanted), _NUMBER.findall(said), strict=True)
    )


def test_an_answer_that_differs_is_noticed():
    """The comparison above lets the last digit of decimals pass, and nothing else."""
    assert is_in("U1 0.993 in", "of U1   0.994\nin all")
    assert not is_in("U1 0.993 in", "of U1   0.996\nin all")
    assert not is_in("count on 3", "count on 4")
    assert not is_in("dark red", "dark purplish red")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_command_and_option_that_a_page_names_exists(page):
    """What stands within a sentence can be typed: the command is there, and has the option."""
    for words in mentioned_in(page):
        command = get_command(app)
        options = {"--help", "--version"}
        for word in words:
            if word in getattr(command, "commands", {}):
                command = command.commands[word]
        options |= {option for each in command.params for option in each.opts}
        assert command.name != "plaidcut" or words[0].startswith("-"), words
        asked = {word.partition("=")[0] for word in words if word.startswith("--")}
        assert asked <= options, words


def test_every_page_that_tells_how_is_tried():
    """No how-to page is without a command that is typed above, and the tutorial shows answers."""
    pages = {page.relative_to(ROOT).as_posix() for page in (ROOT / "docs" / "how-to").glob("*.md")}
    assert pages - {"docs/how-to/index.md"} <= set(TYPED)
    assert any(isinstance(step, Shown) for step in STEPS["docs/tutorial.md"])
