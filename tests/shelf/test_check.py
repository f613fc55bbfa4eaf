"""Looking the shelf over: what can be made anew is, what can't is told."""

import pytest

from plaidcut.shelf.check import check
from plaidcut.shelf.opening import open_shelf, writing
from tests.shelf.wool import held, kept, shelve


@pytest.fixture
def path(tmp_path):
    """A shelf with two cloths, one of them with a photo."""
    path = tmp_path / "shelf.db"
    shelve(path, kept("Harbour skirt", photo=True), kept("Quarry kilt", "G20 W4"))
    return path


def looked_over(path):
    """A check, as the command makes it."""
    with open_shelf(path) as connection, writing(connection):
        return check(connection)


def spoil(path, statement, *values):
    """Change the file as no plaidcut does."""
    with open_shelf(path) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute(statement, values)


def test_a_whole_shelf_is_left_as_it_is(path):
    """Nothing to mend, nothing to tell."""
    before = held(path)
    found = looked_over(path)
    assert (found.cloths, found.mended, found.left) == (2, [], [])
    assert held(path) == before


@pytest.mark.parametrize(
    ("statement", "mended"),
    [
        ("UPDATE picture SET thumbnail = NULL", "thumbnail"),
        ("UPDATE picture SET thumbnail = x'00'", "thumbnail"),
        ("DELETE FROM band", "bands"),
        ("UPDATE band SET lightness = 3.0 WHERE band = 'U1'", "bands"),
        ("DELETE FROM stripe", "bands"),
        ("DELETE FROM words", "full text"),
        ("UPDATE words SET note = 'other'", "full text"),
        ("DELETE FROM words_content", "full text"),
        ("INSERT INTO piece VALUES (99, 0, 1, 1.0, 1.0)", "belonged to no cloth"),
        ("INSERT INTO picture VALUES (99, x'00', NULL)", "belonged to no cloth"),
    ],
)
def test_what_can_be_made_anew_is(path, statement, mended):
    """Mended once, and then all is well: the shelf holds what it held before."""
    before = held(path)
    spoil(path, statement)
    found = looked_over(path)
    assert found.left == []
    assert any(mended in line for line in found.mended), found.mended
    assert (looked_over(path).mended, looked_over(path).left) == ([], [])
    assert held(path) == before


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("UPDATE picture SET copy = x'ffd8'", "photo of"),
        ("DELETE FROM picture", "No photo of"),
        ("UPDATE measurement SET document = '{'", "measurement of"),
        ('UPDATE measurement SET document = \'{"document": "x"}\'', "measurement of"),
        ("DELETE FROM measurement", "measurement of"),
        ("DELETE FROM words_data", "full text"),
    ],
)
def test_what_cannot_is_told_with_the_way_on(path, statement, told):
    """The name of the cloth, and the command that helps; the other cloth is no worse for it."""
    spoil(path, statement)
    found = looked_over(path)
    assert any(told in line.told for line in found.left)
    assert all("--again" in line.told or "--copy" in line.told for line in found.left)
    assert found.cloths == 2


def test_a_damaged_file_is_told(path):
    """Bytes lost in the middle: no traceback, and a copy is what helps."""
    with open_shelf(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'stripe'"
        ).fetchone()
    data = bytearray(path.read_bytes())
    data[(page - 1) * size : page * size] = b"\xff" * size
    path.write_bytes(data)
    from plaidcut.errors import FileTrouble

    with pytest.raises(FileTrouble, match="damaged") as told:
        looked_over(path)
    assert "--copy" in told.value.hint
