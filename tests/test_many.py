"""Many photos measured at once: each for itself, and one that fails stops no other."""

import multiprocessing
import os
import signal
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from plaidcut import many
from plaidcut.errors import NotFound
from plaidcut.many import Measured, measure_many, measure_one, photos_in, sha256_of
from plaidcut.scale.ways import Given
from plaidcut.shelved import Failed
from plaidcut.tasks import HowToMeasure

HOW = HowToMeasure(scale=Given(px_per_mm=8.0))
PHOTOS = Path(__file__).parents[1] / "fixtures" / "photos"


@pytest.fixture
def folder(tmp_path):
    """A folder with two photos of nothing that can be measured, a text and a hidden file."""
    for name, shade in (("b.png", 90), ("a.PNG", 120)):
        Image.fromarray(np.full((30, 40, 3), shade, np.uint8)).save(tmp_path / name)
    (tmp_path / "notes.txt").write_text("none")
    (tmp_path / ".hidden.jpg").write_text("none")
    (tmp_path / "c.jpg").write_text("not a photo")
    return tmp_path


def test_a_folder_s_photos_are_those_that_are_called_so(folder, tmp_path):
    """By name, whatever their capitals; hidden and other files are left out."""
    assert [path.name for path in photos_in(folder)] == ["a.PNG", "b.png", "c.jpg"]
    (tmp_path / "empty").mkdir()
    with pytest.raises(NotFound, match="no photos"):
        photos_in(tmp_path / "empty")
    with pytest.raises(NotFound, match="can't be read"):
        photos_in(tmp_path / "none")


def test_each_that_fails_is_told_with_its_reason(folder):
    """All three fail, each for its own reason, and none stops the others."""
    outcomes = list(measure_many(photos_in(folder), HOW, jobs=1))
    assert [outcome.file for outcome in outcomes] == [str(path) for path in photos_in(folder)]
    assert all(isinstance(outcome, Failed) for outcome in outcomes)
    assert outcomes[2].code == "unreadable-photo"
    assert all(outcome.hint for outcome in outcomes)


def test_processes_give_what_one_does(folder):
    """In two processes of their own the outcomes are the same, in whatever order."""
    one = list(measure_many(photos_in(folder), HOW, jobs=1))
    two = list(measure_many(photos_in(folder), HOW, jobs=2))
    assert sorted(two, key=lambda each: each.file) == one
    assert not multiprocessing.active_children()


def test_photos_are_taken_only_as_there_is_room(folder, monkeypatch):
    """Of an endless row of photos few are under way, so memory is bounded."""
    taken = []

    def endless():
        while True:
            taken.append(1)
            yield folder / "c.jpg"

    outcomes = measure_many(endless(), HOW, jobs=1)
    for _ in range(5):
        next(outcomes)
    assert len(taken) == 5
    outcomes = measure_many(endless(), HOW, jobs=2)
    next(outcomes)
    assert len(taken) <= 5 + 3
    outcomes.close()


def test_a_fault_of_our_own_is_told_too(folder, monkeypatch):
    """An unforeseen error is one photo's, too."""

    def broken(*_):
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(many, "measure_one", broken)
    (outcome,) = measure_many([folder / "b.png"], HOW, jobs=1)
    assert outcome.code == "bug"
    assert "nought" in outcome.message


def ended(path, how):
    """A job whose process is ended from outside at one of the photos."""
    if path.name == "b.png":
        os.kill(os.getpid(), signal.SIGTERM if os.name == "nt" else signal.SIGKILL)
    return Failed(file=str(path), code="x", message="", hint="")


def test_a_process_that_is_ended_costs_only_its_own_photo(folder, monkeypatch):
    """As when the system runs out of memory: the photo is named, the others are measured."""
    monkeypatch.setattr(many, "_told", ended)
    codes = {
        Path(each.file).name: each.code for each in measure_many(photos_in(folder), HOW, jobs=2)
    }
    assert codes == {"a.PNG": "x", "b.png": "bug", "c.jpg": "x"}


def test_a_photo_is_measured_without_its_pixels_coming_along():
    """What comes back holds the document and two small pictures, and the photo's own hash."""
    path = PHOTOS / "harbour-skirt.jpg"
    found = measure_one(path, HowToMeasure())
    assert isinstance(found, Measured)
    assert found.sha256 == sha256_of(path) == found.document["photo"]["sha256"]
    assert found.kind.value == found.document["cloth"]["kind"]
    assert len(found.pictures.copy) < 2_000_000
