"""Photos and documents as sources of a measurement."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from plaidcut import sources
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.errors import FileTrouble, NotFound, UsageError
from plaidcut.sources import Sources, is_document, open_document
from plaidcut.tasks import HowToMeasure, measure_by_hand

TYPED = measure_by_hand("red 1/2 in, navy 1 in")


@pytest.fixture
def measured(monkeypatch):
    """What was measured, each time it was; measuring itself is tested elsewhere."""
    calls = []

    def measure(photo, how):
        calls.append((photo.name, how))
        return TYPED

    monkeypatch.setattr(sources, "measure", measure)
    return calls


def picture(path, shade):
    """A photo of one shade."""
    Image.fromarray(np.full((20, 30, 3), shade, np.uint8)).save(path)
    return path


def test_the_same_photo_is_measured_once(tmp_path, measured):
    """Content counts, not the name: a copy isn't measured again, another photo is."""
    opened = Sources()
    how = HowToMeasure()
    first = opened.photo(picture(tmp_path / "a.png", 90), how)
    assert opened.photo(picture(tmp_path / "copy.png", 90), how) is first
    assert opened.photo(picture(tmp_path / "b.png", 91), how) is not first
    assert [name for name, _ in measured] == ["a.png", "b.png"]


def test_measured_in_another_way_it_is_measured_again(tmp_path, measured):
    """The narrowest band of interest changes the answer, so the photo is looked at anew."""
    opened = Sources()
    path = picture(tmp_path / "a.png", 90)
    how = HowToMeasure()
    opened.photo(path, how)
    again = opened.photo(path, replace(how, narrowest_mm=0.6))
    assert len(measured) == 2
    assert again.unusual == {"narrowest_mm": 0.6}


def test_only_a_few_photos_are_held(tmp_path, measured):
    """A long session doesn't fill the memory: the oldest photo is let go."""
    opened = Sources()
    paths = [picture(tmp_path / f"{shade}.png", shade) for shade in range(sources.KEPT + 1)]
    for path in [*paths, paths[-1], paths[0]]:
        opened.photo(path, HowToMeasure())
    assert [name for name, _ in measured] == [*(path.name for path in paths), "0.png"]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b'{"document": 1}', True),
        (b"\xef\xbb\xbf\n {}", True),
        (b"\xff\xd8\xff", False),
        (b"", False),
    ],
)
def test_a_document_is_told_by_how_it_begins(tmp_path, content, expected):
    """Whatever a file is called, a brace makes it a document."""
    path = tmp_path / "skirt.jpg"
    path.write_bytes(content)
    assert is_document(path) is expected


def test_a_missing_file_and_a_folder_are_named(tmp_path):
    """Neither is a document; as a photo a folder is refused, and the error says what it is."""
    with pytest.raises(NotFound, match=r"none\.jpg"):
        is_document(tmp_path / "none.jpg")
    assert not is_document(tmp_path)
    with pytest.raises(FileTrouble, match="is a folder"):
        Sources().photo(tmp_path, HowToMeasure())


def test_a_document_comes_back_whole(tmp_path):
    """What was written is what is opened, a byte order mark or not."""
    path = tmp_path / "cloth.json"
    text = to_text(to_document(TYPED))
    for written in (text, "\ufeff" + text):
        path.write_text(written, encoding="utf-8")
        assert to_document(open_document(path).measurement) == to_document(TYPED)


def test_a_photo_that_was_not_measured_is_not_taken_for_it(tmp_path):
    """A document made by hand has no photo, so none belongs to it."""
    path = tmp_path / "cloth.json"
    path.write_text(to_text(to_document(TYPED)), encoding="utf-8")
    with pytest.raises(UsageError, match="was not measured from"):
        open_document(path, photo_path=picture(tmp_path / "a.png", 90))
