"""Places and surroundings that are odd: links, pipes, full disks, closed streams, other locales."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

BANDS = ["--by-hand", "red 1/2 in, navy 1 in"]
ROOT = getattr(os, "geteuid", lambda: 0)() == 0

pytestmark = pytest.mark.skipif(os.name == "nt", reason="links, pipes and limits are of Unix")


def plaidcut_process(folder, *words, before="exec", **environment):
    """Run the command as a process of its own, under what a shell sets up before it."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
    command = f'{before} "$@"' if before == "exec" else f'{before} exec "$@"'
    return subprocess.run(
        ["/bin/sh", "-c", command, "sh", sys.executable, "-m", "plaidcut", *words],
        cwd=folder,
        env=kept | {"PYTHONPATH": os.pathsep.join(sys.path)} | environment,
        capture_output=True,
        text=True,
        errors="replace",
    )


@pytest.mark.parametrize(
    "words",
    [
        ["measure", "{}"],
        ["yield", "{}"],
        ["rug", "{}"],
        ["garment", "{}", *BANDS, "--cut", "8"],
        ["rows", "1 in", "--settings", "{}"],
        ["measure", *BANDS, "--corrections", "{}"],
        ["shelf", "list", "--shelf", "{}"],
        ["shelf", "import", "{}"],
        ["rows", "1 in", "--out", "{}", "--force"],
    ],
    ids=lambda words: " ".join(words[:2]),
)
@pytest.mark.parametrize("kind", ["pipe", "circle", "nowhere", "long", "folder"])
def test_what_is_no_file(plaidcut, tmp_path, monkeypatch, words, kind):
    """None is waited for, followed for ever, or written through."""
    monkeypatch.chdir(tmp_path)
    name = "n" * 300 if kind == "long" else kind
    if kind == "pipe":
        os.mkfifo(name)
    elif kind in ("circle", "nowhere"):
        Path(name).symlink_to("circle" if kind == "circle" else "none")
    elif kind == "folder":
        Path(name).mkdir()
    before = sorted(Path().iterdir())
    answer = plaidcut(*[word.format(name) for word in words], "--json")
    assert answer.status == 3
    assert answer.error["code"] in {"bad-file", "not-found", "cannot-write", "unreadable-photo"}
    assert sorted(Path().iterdir()) == before


def test_a_link_is_written_where_it_leads(plaidcut, tmp_path):
    """With --force the file behind it is replaced and the link stays, as with other programs."""
    (tmp_path / "there.json").write_text("old")
    link = tmp_path / "link.json"
    link.symlink_to("there.json")
    assert plaidcut("measure", *BANDS, "--out", link).status == 2
    assert (tmp_path / "there.json").read_text() == "old"
    assert plaidcut("measure", *BANDS, "--out", link, "--force").status == 0
    assert link.is_symlink()
    assert json.loads((tmp_path / "there.json").read_text())["version"] == 1


@pytest.mark.parametrize(
    "name", ["a\x1b[2J", "a\udcff", "a\u202eb", "-rf", "a b'\"$;", "\u00e5\u030a"]
)
def test_odd_names_are_told_as_they_can_be_shown(plaidcut, tmp_path, monkeypatch, name):
    """A terminal obeys nothing in a name; a file of that name is read and written all the same."""
    monkeypatch.chdir(tmp_path)
    missing = plaidcut("measure", "--json", "--", f"{name}.jpg")
    assert missing.error["code"] == "not-found"
    assert missing.error["message"].isprintable()
    told = plaidcut("measure", *BANDS, f"--out={name}")
    assert told.status == 0
    assert "\x1b" not in told.out
    assert "\u202e" not in told.out
    assert list(Path().iterdir()) == [Path(name)]
    assert plaidcut("yield", "--json", "--", name).status == 0


@pytest.mark.parametrize(
    "word", ["\x00", "\x1b[2J", "\udcff", "--", "-", "=1", "9" * 5000, "--json", "[bold]", "%s{}"]
)
@pytest.mark.parametrize("option", ["--by-hand", "--px-per-mm", "--check", "--corrections"])
def test_odd_words_are_usage(plaidcut, option, word):
    """No word that can be typed, or passed by a program, ends in a fault."""
    answer = plaidcut("measure", f"{option}={word}", "--json")
    assert answer.status in (2, 3)
    assert answer.error["message"]


@pytest.mark.parametrize("shell", ["exec 1>&-;", "exec 0<&- 1>&- 2>&-;", "exec 2>&-;"])
def test_streams_that_are_closed(tmp_path, shell):
    """It does its work all the same, and no file gets what was meant for a stream."""
    done = plaidcut_process(tmp_path, "measure", *BANDS, "--out", "a.json", before=shell)
    assert done.returncode == 0
    assert done.stderr == ""
    assert json.loads((tmp_path / "a.json").read_text())["version"] == 1


@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize("words", [["yield", *BANDS, "--json"], ["rows", "1 in"], ["--help"]])
def test_an_answer_that_finds_no_room(tmp_path, words, unbuffered):
    """Standard output on a full disk is an error, never half an answer called whole."""
    shell = "exec >/dev/full;" if Path("/dev/full").exists() else "ulimit -f 0; exec >out;"
    done = plaidcut_process(tmp_path, *words, before=shell, PYTHONUNBUFFERED=unbuffered)
    assert done.returncode == 3
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_half_an_answer_is_an_error(tmp_path, unbuffered):
    """Where the first part of an answer still fits, the exit status says that the rest didn't."""
    shell = "ulimit -f 1; exec >out.json;"
    words = ["yield", *BANDS, "--json"]
    done = plaidcut_process(tmp_path, *words, before=shell, PYTHONUNBUFFERED=unbuffered)
    assert done.returncode == 3


def test_a_file_that_finds_no_room(tmp_path):
    """Nothing half written is left, and what was there before is whole."""
    (tmp_path / "a.json").write_text("old")
    words = ["measure", *BANDS, "--out", "a.json", "--force"]
    done = plaidcut_process(tmp_path, *words, before="ulimit -f 1;")
    assert done.returncode == 3
    assert "can't be written" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["a.json"]
    assert (tmp_path / "a.json").read_text() == "old"


def test_a_shelf_that_finds_no_room(tmp_path):
    """No file is left that would be taken for a shelf."""
    words = ["shelf", "add", *BANDS, "--name", "Kilt", "--shelf", "shelf.db"]
    done = plaidcut_process(tmp_path, *words, before="ulimit -f 1;")
    assert done.returncode == 3
    assert "shelf.db" in done.stderr
    assert [*tmp_path.iterdir()] == []
    assert plaidcut_process(tmp_path, *words).returncode == 0
    assert [path.name for path in tmp_path.iterdir()] == ["shelf.db"]


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "utf-16"])
def test_a_terminal_of_another_alphabet(tmp_path, encoding):
    """Words lose what it doesn't have, JSON is UTF-8 wherever it goes."""
    words = ["measure", "--by-hand", "red ½ in, navy 1 in"]
    assert plaidcut_process(tmp_path, *words, PYTHONIOENCODING=encoding).returncode == 0
    done = plaidcut_process(tmp_path, *words, "--json", PYTHONIOENCODING=encoding)
    assert json.loads(done.stdout)["up"]["bands"][0]["width_mm"] == 12.7


@pytest.mark.parametrize("width", ["0", "1", "-5", "x", "100000"])
def test_a_terminal_of_any_width(plaidcut, monkeypatch, width):
    """However narrow it says it is, the answer comes."""
    monkeypatch.setenv("COLUMNS", width)
    assert plaidcut("measure", *BANDS).status == 0


def test_the_plainest_locale(tmp_path):
    """LC_ALL=C without Python's mending of it."""
    plain = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
    done = plaidcut_process(tmp_path, "rows", "1 in", **plain)
    assert done.returncode == 0
    assert done.stderr == ""


def test_no_home_folder(plaidcut, monkeypatch):
    """Settings are then the usual ones; a shelf needs its file named."""

    def homeless(*_, **__):
        raise RuntimeError("could not determine the home directory")

    for name in ("PLAIDCUT_SETTINGS", "PLAIDCUT_SHELF"):
        monkeypatch.delenv(name)
    monkeypatch.setattr("platformdirs.user_config_path", homeless)
    monkeypatch.setattr("platformdirs.user_data_path", homeless)
    assert plaidcut("rows", "1 in").status == 0
    refused = plaidcut("shelf", "list", "--json")
    assert refused.error["code"] == "not-found"
    assert "--shelf" in refused.error["hint"]


@pytest.mark.skipif(ROOT, reason="root may write anywhere")
def test_a_folder_that_may_only_be_read(plaidcut, tmp_path):
    """Told as that, with nothing beside it."""
    tmp_path.chmod(0o500)
    answer = plaidcut("measure", *BANDS, "--out", tmp_path / "a.json", "--json")
    tmp_path.chmod(0o700)
    assert answer.error["code"] == "cannot-write"
