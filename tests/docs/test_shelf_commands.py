"""What the pages on the shelf tell her to type, typed in that order."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from plaidcut import many
from plaidcut.tasks import measure as real_measure

ROOT = Path(__file__).parents[2]
PHOTOS = ROOT / "fixtures" / "photos"


def commands():
    """The lines of the how-to, from its first section on the shelf on, as words."""
    text = (ROOT / "docs" / "how-to.md").read_text("utf-8")
    part = text[text.index("## keep measured cloths") :]
    lines = re.findall(r"^    plaidcut (.+)$|`plaidcut (shelf [^`]+)`", part, flags=re.MULTILINE)
    return [shlex.split(block or inline) for block, inline in lines]


def test_every_command_on_the_shelf_does_what_the_page_says(capsys, tmp_path, monkeypatch):
    """In order, in a folder with her photos: none is refused."""
    from plaidcut.cli.app import run

    known = {}

    def once(photo, how):
        if photo.sha256 not in known:
            known[photo.sha256] = real_measure(photo, how)
        return known[photo.sha256]

    monkeypatch.setattr(many, "measure", once)
    monkeypatch.setattr("plaidcut.sources.measure", once)
    monkeypatch.setenv("PLAIDCUT_SHELF", str(tmp_path / "shelf.db"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "photos").mkdir()
    for name, photo in (
        ("skirt", "harbour-skirt"),
        ("new", "quarry-kilt"),
        ("wall", "pantry-shawl"),
    ):
        shutil.copy(PHOTOS / f"{photo}.jpg", tmp_path / f"{name}.jpg")
    for photo in ("harbour-skirt", "quarry-kilt"):
        shutil.copy(PHOTOS / f"{photo}.jpg", tmp_path / "photos")
    typed = commands()
    assert len(typed) > 10
    for words in typed:
        if "--jobs" in words:
            words[words.index("--jobs") + 1] = "1"  # in this process, which knows the photos
        status = run(words)
        told = capsys.readouterr()
        assert status == 0, (words, told.err)


@pytest.mark.parametrize("name", ["MOST_CLOTHS", "MOST_RATIO"])
def test_the_limits_of_archives_are_those_of_the_code(name):
    """The page names the figures that the code refuses by."""
    from plaidcut.shelf import archive

    page = (ROOT / "docs" / "reference" / "shelf.md").read_text("utf-8")
    assert f"{getattr(archive, name):,}" in page
