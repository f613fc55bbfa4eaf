"""Starting, ending, and what no command does by itself."""

import json
import os
import subprocess
import sys

import pytest
from typer.main import get_command

from plaidcut import __version__
from plaidcut.cli import app as app_module
from plaidcut.cli.app import app
from plaidcut.cli.overview import COMMANDS as SENTENCES

GROUP = get_command(app).commands
COMMANDS = {name: command for name, command in GROUP.items() if name != "shelf"} | {
    f"shelf {name}": command for name, command in GROUP["shelf"].commands.items()
}


def test_without_a_word_it_shows_what_there_is(plaidcut):
    """Typing nothing isn't a fault: it shows every command."""
    answer = plaidcut()
    assert answer.status == 0
    for name in GROUP:
        assert f" {name} " in answer.out
    for name in GROUP["shelf"].commands:
        assert f" {name} " in plaidcut("shelf").out


@pytest.mark.parametrize("name", GROUP)
def test_the_overview_says_what_the_command_says(name):
    """A command's sentence in the overview is the first of its own help."""
    first, _, _ = GROUP[name].help.partition("\n\n")
    assert SENTENCES[name][1] == " ".join(first.split())


def test_the_version_is_told(plaidcut):
    """One line, and nothing else."""
    assert plaidcut("--version").out == f"{__version__}\n"


@pytest.mark.parametrize("flag", ["-h", "--help"])
@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(plaidcut, name, flag):
    """Help fits 80 columns, and shows how the command is typed."""
    answer = plaidcut(*name.split(), flag)
    assert answer.status == 0
    assert f"Example: plaidcut {name}" in answer.out
    assert max(len(line) for line in answer.out.splitlines()) <= 80


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_says_what_it_does(name):
    """No option of any command is without a sentence."""
    for parameter in COMMANDS[name].params:
        assert parameter.help, f"{name} {parameter.name}"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_answers_in_json(name):
    """--json, --units and --settings belong to all commands alike."""
    options = {option for parameter in COMMANDS[name].params for option in parameter.opts}
    assert {"--json", "--units", "--settings", "--debug"} <= options


@pytest.fixture
def broken(monkeypatch):
    """A command line with a fault in it."""

    def fault(*_, **__):
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(app_module, "app", fault)


def test_a_fault_is_told_without_a_traceback(plaidcut, broken):
    """An unknown exception ends with status 1, a sentence, and how to learn more."""
    answer = plaidcut("measure", "skirt.jpg")
    assert answer.status == 1
    assert answer.out == ""
    assert "ZeroDivisionError: nought" in answer.err
    assert "--debug" in answer.err
    assert "Traceback" not in answer.err


def test_a_fault_in_json_is_a_bug(plaidcut, broken):
    """Programs see the code "bug" in a document."""
    answer = plaidcut("measure", "skirt.jpg", "--json")
    assert answer.status == 1
    assert answer.error["code"] == "bug"


def test_debug_shows_where(plaidcut, broken):
    """With --debug the traceback stands on standard error, before the words."""
    answer = plaidcut("measure", "skirt.jpg", "--debug", "--json")
    assert "Traceback" in answer.err
    assert answer.error["code"] == "bug"


def test_ctrl_c_ends_it_quietly(plaidcut, monkeypatch):
    """Interrupted, it says nothing and exits as shells expect."""

    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("plaidcut.cli.asked.measure_by_hand", interrupted)
    answer = plaidcut("measure", "--by-hand", "red 1 in")
    assert (answer.status, answer.out, answer.err) == (130, "", "")


@pytest.mark.skipif(os.name == "nt", reason="pipes break otherwise there")
def test_a_reader_that_goes_away_is_no_fault(tmp_path):
    """Piped into a program that stops reading, it ends without a word."""
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-m", "plaidcut", "measure", "--by-hand", "red 1 in"]
    done = subprocess.run(command, stdout=write, stderr=subprocess.PIPE, cwd=tmp_path, text=True)
    os.close(write)
    assert done.stderr == ""
    assert done.returncode == 141


def test_the_settings_file_is_heeded_and_options_go_before_it(plaidcut, tmp_path):
    """Units come from the file unless they are typed."""
    settings = tmp_path / "settings.toml"
    settings.write_text('units = "mm"\ncut = "5 mm"')
    words = ["yield", "--by-hand", "red 1/2 in, navy 1 in", "--settings", settings]
    assert "12.7" in plaidcut(*words).out
    assert "Your cut, 5 mm" in plaidcut(*words).out
    inches = plaidcut(*words, "--units", "in", "--cut", "8").out
    assert "0.5" in inches
    assert "Your cut, #8" in inches
    assert "Your cut, 5 mm" not in inches


def test_json_is_the_same_whatever_the_units(plaidcut):
    """Documents hold millimetres; units are for people."""
    words = ["measure", "--by-hand", "red 1/2 in, navy 1 in", "--json"]
    assert plaidcut(*words, "--units", "in").out == plaidcut(*words, "--units", "mm").out


def test_words_in_json_are_readable(plaidcut):
    """Letters beyond ASCII stand as they are, and the text ends with a newline."""
    out = plaidcut("measure", "--by-hand", "red ½ in, navy 1 in", "--json").out
    assert out.endswith("}\n")
    assert json.loads(out)["up"]["bands"][0]["width_mm"] == 12.7
