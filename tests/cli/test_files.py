"""Files are written whole or not at all."""

import os
from pathlib import Path

import pytest

from plaidcut.errors import AlreadyExists, CannotWrite, FileTrouble, NotFound, UsageError
from plaidcut.files import check_targets, read_text, write_whole


def test_what_was_written_is_there_and_nothing_beside_it(tmp_path):
    """The file holds the whole content, and no half-written helper is left."""
    write_whole(tmp_path / "a.json", "ünï", force=False)
    write_whole(tmp_path / "b.png", b"\x89PNG", force=False)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {
        "a.json": "ünï".encode(),
        "b.png": b"\x89PNG",
    }


def test_a_file_that_is_there_stays_untouched(tmp_path):
    """Without --force nothing is written over; with it the new content replaces the old."""
    path = tmp_path / "a.json"
    path.write_text("old")
    with pytest.raises(AlreadyExists, match=r"a\.json"):
        write_whole(path, "new", force=False)
    assert path.read_text() == "old"
    write_whole(path, "new", force=True)
    assert path.read_text() == "new"


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    """When the disk is full the old file is still whole."""
    path = tmp_path / "a.json"
    path.write_text("old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotWrite, match="no space left on device"):
        write_whole(path, "new", force=True)
    assert [each.name for each in tmp_path.iterdir()] == ["a.json"]
    assert path.read_text() == "old"


@pytest.mark.parametrize("name", [".", "no/such/folder/a.json"])
def test_what_is_no_place_for_a_file_is_refused(tmp_path, name):
    """A folder, or a file in a folder that doesn't exist, can't be written."""
    with pytest.raises(CannotWrite):
        check_targets([tmp_path / name], force=True)


def test_two_outputs_never_share_a_file(tmp_path):
    """The second would silently replace the first."""
    with pytest.raises(UsageError, match="same file"):
        check_targets([tmp_path / "a", None, tmp_path / "x" / ".." / "a"], force=True)


def test_a_text_file_is_read_or_its_trouble_is_named(tmp_path):
    """Missing, binary and folder are told apart."""
    (tmp_path / "a.txt").write_text("naïve", encoding="utf-8")
    assert read_text(tmp_path / "a.txt") == "naïve"
    (tmp_path / "b.bin").write_bytes(b"\xff\xfe\x00\xd8")
    with pytest.raises(NotFound):
        read_text(tmp_path / "c.txt")
    with pytest.raises(FileTrouble, match="UTF-8"):
        read_text(tmp_path / "b.bin")
    with pytest.raises(FileTrouble, match="directory"):
        read_text(tmp_path)


def test_names_are_shown_as_they_were_typed(tmp_path, monkeypatch):
    """A relative path isn't made absolute in what she reads."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(CannotWrite) as caught:
        check_targets([Path("x/a.json")], force=False)
    assert "folder x." in caught.value.message
