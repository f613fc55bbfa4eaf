"""Nothing lost: kills, full disks, folders that can't be written, and two that write at once."""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from plaidcut.errors import CannotWrite
from plaidcut.shelf import store
from plaidcut.shelf.opening import in_words, open_shelf, writing
from tests.shelf.wool import held, kept, shelve

ROOT = Path(__file__).parents[2]
NOBODY = 65534

needs_posix = pytest.mark.skipif(os.name == "nt", reason="done with POSIX's own means")


@needs_posix
def test_a_killed_writer_loses_nothing_that_was_kept(tmp_path):
    """A sample of `tests.bench.shelf_kills`, which kills two hundred and fifty times."""
    command = [sys.executable, "-m", "tests.bench.shelf_kills", "--kills", "25", "--seed", "5"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "25 kills" in done.stdout
    assert "none lost" in done.stdout


def test_a_full_disk_is_told_and_leaves_the_shelf_whole(tmp_path):
    """No room for another cloth: said in words, and all that was there still is."""
    path = tmp_path / "shelf.db"
    shelve(path, kept("Harbour skirt", photo=True))
    before = held(path)
    with open_shelf(path) as connection:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        connection.execute(f"PRAGMA max_page_count = {pages + 3}")
        with (  # noqa: PT012
            pytest.raises(CannotWrite, match="no room") as told,
            in_words(path),
            writing(connection),
        ):
            for number in range(50):
                store.add(connection, *kept(f"cloth {number}", f"K{number + 9} R4", photo=True))
    assert told.value.code == "cannot-write"
    assert held(path) == before


@needs_posix
def test_a_file_that_may_not_grow_is_told_and_left_whole(tmp_path):
    """The system itself refuses to write on, as a full disk or a quota does."""
    path = tmp_path / "shelf.db"
    shelve(path, kept("Harbour skirt", photo=True))
    before = held(path)
    most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size, most[1]))
    try:
        with pytest.raises(CannotWrite):
            shelve(path, *(kept(f"cloth {n}", f"K{n + 9} R4", photo=True) for n in range(50)))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, most)
    after = held(path)
    assert [each for each in after if each[0].name == "Harbour skirt"] == before
    shelve(path, kept("Quarry kilt", "G20 W4"))  # with room again all goes on
    assert len(held(path)) == len(after) + 1


@pytest.fixture
def locked():
    """A shelf in a folder that may not be written, and nobody who may do so all the same."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "shelf.db"
    shelve(path, kept("Harbour skirt", photo=True))
    path.chmod(0o444)
    folder.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.seteuid(NOBODY)
    try:
        yield path
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)
        for each in folder.iterdir():
            each.unlink()
        folder.rmdir()


@needs_posix
def test_a_folder_that_cannot_be_written_is_read_all_the_same(locked):
    """Cloths are listed and opened; writing is refused in words, and nothing appears."""
    assert [entry.name for entry, *_ in held(locked)] == ["Harbour skirt"]
    with pytest.raises(CannotWrite) as told:
        shelve(locked, kept("Quarry kilt", "G20 W4"))
    assert told.value.code == "cannot-write"
    with (
        pytest.raises(CannotWrite, match="can't be written"),
        open_shelf(locked) as connection,
        writing(connection),
    ):
        store.remove(connection, "Harbour skirt")
    with pytest.raises(CannotWrite), open_shelf(locked.with_name("new.db"), make=True):
        pass
    assert [each.name for each in locked.parent.iterdir()] == ["shelf.db"]


WRITER = """
import sys
from pathlib import Path
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelf.store import add
from tests.shelf.wool import kept
me, path = sys.argv[1], Path(sys.argv[2])
some = [kept(f"{me} {n}", f"K{n + 9} R4", photo=True) for n in range(15)]
print("ready", flush=True)
sys.stdin.readline()
for cloth, pictures in some:
    with open_shelf(path, make=True) as connection, writing(connection):
        add(connection, cloth, pictures)
"""


def test_several_that_write_at_once_all_succeed(tmp_path):
    """Four processes make the shelf and write to it at the same time; none is refused."""
    path = tmp_path / "shelf.db"
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, name, str(path)],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for name in ("Harbour", "Lantern", "Quarry", "Heron")
    ]
    for writer in writers:
        assert writer.stdout.readline() == "ready\n", writer.stderr.read()
    for writer in writers:
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        _, err = writer.communicate()
        assert writer.returncode == 0, err
    assert len(held(path)) == 60
