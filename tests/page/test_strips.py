"""Loose strips on the page: measured as the command does it, and kept as her own cutter's."""

import json
from io import BytesIO

import pytest
from PIL import Image

from plaidcut import tasks
from plaidcut.documents.loose import to_document
from plaidcut.page import worker
from plaidcut.page.table import Cloth
from plaidcut.settings_file import open_settings
from tests.strip_photos import KEPT, photograph, rows


@pytest.fixture
def photo():
    """A photo of four #8 strips, a little narrow."""
    return KEPT / photograph("eights", rows(6.1, 6.08, 6.13, 6.1)).name


@pytest.fixture
def settings_file(tmp_path, monkeypatch):
    """Settings that a test may change."""
    path = tmp_path / "own.toml"
    path.touch()
    monkeypatch.setenv("PLAIDCUT_SETTINGS", str(path))
    return path


@pytest.fixture
def strips(page, table, photo):
    """Strips on the table, measured as the page's process does it."""
    cloth = table.new({"name": photo.name, "way": "card", "kind": "strips"})
    cloth.keep("photo", photo.read_bytes())
    assert worker.main("strips", str(cloth.folder)) == 0
    return Cloth(cloth.folder)


def test_a_photo_of_strips_is_taken_and_waits(page, table, photo):
    """Sent from its own page, it lies on the table as strips and is worked on."""
    answer = page.post("/which-cut", files={"photo": (photo.name, photo.read_bytes())})
    assert answer.status_code == 303
    (cloth,) = table.cloths()
    assert answer.headers["location"] == f"/cloths/{cloth.id}"
    assert cloth.kind == "strips"
    assert photo.name in page.get("/which-cut").text


def test_strips_are_those_of_the_command(page, strips, photo):
    """The document to take along is the command's, and the page shows each strip of it."""
    assert page.get(f"/cloths/{strips.id}").headers["location"] == f"/cloths/{strips.id}/strips"
    document = json.loads(page.get(f"/cloths/{strips.id}/strips/loose.json").content)
    assert document == to_document(tasks.which_cut(photo))
    shown = page.get(f"/cloths/{strips.id}/strips").text
    assert shown.count("#8") >= len(document["strips"])
    for name, kind in (("loose.csv", "text/csv"), ("named.jpg", "image/jpeg")):
        answer = page.get(f"/cloths/{strips.id}/strips/{name}")
        assert answer.headers["content-type"].startswith(kind)
        assert answer.content
    assert page.get(f"/cloths/{strips.id}/strips/photo").status_code == 404


def test_what_her_cutter_cuts_is_kept(page, strips, settings_file):
    """One button puts the strips' width into her cut table, for the cut that they are of only."""
    shown = page.get(f"/cloths/{strips.id}/strips").text
    assert "Keep it for my #8" in shown
    assert "Keep it for my #5" not in shown
    assert page.post(f"/cloths/{strips.id}/strips/keep", data={"cut": "5"}).status_code == 400
    assert not open_settings(settings_file).own_widths_mm
    assert page.post(f"/cloths/{strips.id}/strips/keep", data={"cut": "8"}).status_code == 303
    assert open_settings(settings_file).own_widths_mm["8"] == pytest.approx(6.1, abs=0.1)


def test_a_photo_without_strips_is_refused_with_ways_on(page, table):
    """Where there is no card the page says so, and offers to mark the scale by hand."""
    file = BytesIO()
    Image.effect_noise((900, 700), 40).convert("RGB").save(file, "PNG")
    cloth = table.new({"name": "table.png", "way": "card", "kind": "strips"})
    cloth.keep("photo", file.getvalue())
    assert worker.main("strips", str(cloth.folder)) == 1
    shown = page.get(f"/cloths/{cloth.id}").text
    assert 'role="alert"' in shown
    assert f"/cloths/{cloth.id}/scale" in shown
