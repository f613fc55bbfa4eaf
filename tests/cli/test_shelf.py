"""``shelf``: every command of it as a user types them."""

import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
from PIL import Image

from plaidcut import many
from plaidcut.cli import shelf_set
from plaidcut.cli.app import run
from plaidcut.documents.schemas import schema_of
from plaidcut.shelf.opening import open_shelf
from plaidcut.shelf.store import names
from plaidcut.tasks import measure as real_measure
from tests.shelf.wool import held

PHOTOS = Path(__file__).parents[2] / "fixtures" / "photos"
SKIRT = ["--by-hand", "navy 30 mm, white 3 mm, blue 10 mm, dark red 5 mm"]
KILT = ["--by-hand", "dark green 40 mm, black 12 mm, yellow 2 mm, black 12 mm"]


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """Where the shelf is: named by the environment, in a folder that isn't there yet."""
    path = tmp_path / "wool room" / "shelf.db"
    monkeypatch.setenv("PLAIDCUT_SHELF", str(path))
    return path


@pytest.fixture
def room(plaidcut, shelf):
    """A shelf with two cloths typed by ruler."""
    words = ["--pieces", "5 of 500 x 300 mm", "--place", "cedar chest", "--note", "thrifted"]
    assert plaidcut("shelf", "add", *SKIRT, "--name", "Harbour skirt", *words).status == 0
    assert plaidcut("shelf", "add", *KILT, "--name", "Quarry kilt").status == 0
    return shelf


@pytest.fixture(scope="module")
def measured():
    """Photos measured once in this file, whichever test wants them."""
    known = {}

    def measure(photo, how):
        if photo.sha256 not in known:
            known[photo.sha256] = real_measure(photo, how)
        return known[photo.sha256]

    return measure


@pytest.fixture
def photos(tmp_path, monkeypatch, measured):
    """A folder with two photos, one of them twice, and two files that aren't any."""
    monkeypatch.setattr(many, "measure", measured)
    monkeypatch.setattr("plaidcut.sources.measure", measured)
    folder = tmp_path / "photos"
    folder.mkdir()
    for name in ("harbour-skirt", "quarry-kilt"):
        shutil.copy(PHOTOS / f"{name}.jpg", folder)
    shutil.copy(PHOTOS / "quarry-kilt.jpg", folder / "the-same.jpg")
    (folder / "broken.jpg").write_text("not a photo")
    (folder / "notes.txt").write_text("not called a photo")
    return folder


def test_an_empty_place_is_said(plaidcut, shelf):
    """Where there is no shelf, nothing is made by looking; it says how to begin."""
    answer = plaidcut("shelf", "list")
    assert answer.status == 3
    assert "plaidcut shelf add" in answer.err
    assert not shelf.parent.exists()


def test_cloths_are_listed_and_shown(plaidcut, room):
    """Names, kinds, amounts and places; of one all that is known, and its stripes."""
    listed = plaidcut("shelf", "list").out
    assert "2 cloths on the shelf" in listed
    assert "cedar chest" in listed
    shown = plaidcut("shelf", "show", "harbour SKIRT").out
    assert "thrifted" in shown
    assert "5 of 19 11/16 x 11 13/16 in" in shown
    assert "Bands running up and down" in shown
    for words in (["list"], ["set", "Quarry kilt"], ["remove", "Quarry kilt", "--yes"]):
        document = plaidcut("shelf", *words, "--json").document
        jsonschema.validate(document, schema_of("plaidcut-shelf"))
        assert any(each["name"] == "Quarry kilt" for each in document["cloths"])


def test_a_cloth_s_document_holds_its_measurement(plaidcut, room, tmp_path):
    """`show --out` writes the cloth; the measurement in it is one that other commands take."""
    file = tmp_path / "cloth.json"
    answer = plaidcut("shelf", "show", "Harbour skirt", "--out", file, "--json")
    document = json.loads(file.read_text("utf-8"))
    assert document == answer.document
    jsonschema.validate(document, schema_of("plaidcut-cloth"))
    jsonschema.validate(document["measurement"], schema_of("plaidcut-measurement"))
    measurement = tmp_path / "m.json"
    measurement.write_text(json.dumps(document["measurement"]))
    direct = plaidcut("yield", measurement, "--json").document
    assert plaidcut("yield", "Harbour skirt", "--json").document == direct


def test_everything_said_of_a_cloth_is_kept(plaidcut, room):
    """Notes, amounts, what was cut and what is reserved; said anew it changes, unsaid it stays."""
    words = [
        *("--note", "soft", "--fibre", "wool", "--weave", "worsted", "--weight", "12 oz"),
        *("--garments", "1", "--washed-on", "2026-05-01", "--was-cut", "border = 3 strips of #8"),
        *("--reserve", "hearth rug = 40 strips", "--reserve", "runner", "--rename", "Skirt"),
    ]
    assert plaidcut("shelf", "set", "Harbour skirt", *words).status == 0
    (cloth,) = plaidcut("shelf", "set", "skirt", "--release", "Runner", "--json").document["cloths"]
    assert cloth["note"] == "soft"
    assert cloth["place"] == "cedar chest"
    assert cloth["weight_g"] == pytest.approx(340.19, abs=0.01)
    assert [each["how_much"] for each in cloth["taken"]] == ["3 strips of #8"]
    assert cloth["reserved"] == [{"rug": "hearth rug", "strips": 40}]
    shown = plaidcut("shelf", "show", "Skirt").out
    for line in ("Of: wool, worsted.", "Washed on 2026-05-01.", "Kept for hearth rug: 40 strips."):
        assert line in shown


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["show", "Heron"], "not-found"),
        (["set", "Heron", "--note", "x"], "not-found"),
        (["remove", "Heron", "--yes"], "not-found"),
        (["remove", "Harbour skirt"], "usage"),
        (["set", "Harbour skirt", "--rename", "quarry kilt"], "exists"),
        (["set", "Harbour skirt", "--rename", "<b>"], "usage"),
        (["set", "Harbour skirt", "--release", "runner"], "usage"),
        (["set", "Harbour skirt", "--washed-on", "May"], "usage"),
        (["set", "Harbour skirt", "--pieces", "five"], "bad-length"),
        (["set", "Harbour skirt", "--note", "a\x07b"], "usage"),
        (["add", *KILT, "--name", "Harbour skirt"], "exists"),
        (["add", *KILT], "usage"),
        (["add", "--name", "x"], "usage"),
        (["add", *KILT, "--name", "Heron", "--again"], "not-found"),
        (["add", "none.jpg"], "not-found"),
        (["add", "none.jpg", "other.jpg", "--name", "x"], "usage"),
        (["find", "--colour", "heathery"], "usage"),
        (["find", "--value", "bright"], "usage"),
        (["find", "--within", "5"], "usage"),
        (["find", "--colour", "red", "--spot", "a.jpg", "1,1"], "usage"),
        (["find", "--keeps-whole", "99"], "usage"),
        (["find", "--width", "1/2"], "bad-length"),
        (["find", "--width", "1 in to 1/2 in"], "usage"),
        (["find", "--spot", "none.jpg", "1,1"], "not-found"),
        (["import", "none.zip"], "not-found"),
        (["list", "--shelf", "none.db"], "not-found"),
    ],
)
def test_what_cannot_be_done_is_said_and_changes_nothing(plaidcut, room, words, code):
    """One code each, nobody is asked where nobody is there, and the shelf is as it was."""
    before = held(room)
    assert plaidcut("shelf", *words, "--json").error["code"] == code
    assert held(room) == before


@pytest.mark.parametrize("meant", [False, True])
def test_removing_asks_where_somebody_is_there(room, monkeypatch, capsys, meant):
    """No keeps it, yes takes it away for good."""
    monkeypatch.setattr(shelf_set, "somebody_is_there", lambda: True)
    monkeypatch.setattr(shelf_set.typer, "confirm", lambda *_, **__: meant)
    status = run(["shelf", "remove", "harbour skirt"])
    assert status == (0 if meant else 2)
    said = "is off the shelf" if meant else "stays on the shelf"
    assert said in "".join(capsys.readouterr())
    assert len(held(room)) == (1 if meant else 2)


def test_found_by_everything_at_once(plaidcut, room):
    """Colour, stripe, words and amount; the answer's row says which bands it is about."""
    words = ["harb", "--colour", "dark purple", "--keeps-whole", "9", "--at-least", "40"]
    document = plaidcut("shelf", "find", *words, "--json").document
    jsonschema.validate(document, schema_of("plaidcut-shelf-found"))
    (found,) = document["cloths"]
    assert (found["name"], found["strips"]) == ("Harbour skirt", 50)
    assert [band["band"] for band in found["bands"] if band["fits"]] == ["U4"]
    told = plaidcut("shelf", "find", *words).out
    assert "at least 50 strips" in told
    assert "(U4)" in told
    assert "No cloth" in plaidcut("shelf", "find", "--colour", "#ff00ff", "--within", "3").out


def test_found_by_a_spot_in_a_photo(plaidcut, room, tmp_path):
    """The colour of what the finger points at."""
    file = tmp_path / "wall.png"
    Image.new("RGB", (200, 100), "#1a3a20").save(file)
    document = plaidcut("shelf", "find", "--spot", file, "50,50", "--json").document
    assert document["cloths"][0]["name"] == "Quarry kilt"


def test_a_name_on_the_shelf_is_a_source_and_a_file_goes_before_it(
    plaidcut, room, tmp_path, monkeypatch
):
    """Wherever SOURCE is taken; a file called the same is taken for the file."""
    monkeypatch.chdir(tmp_path)
    assert plaidcut("plan", "Harbour skirt", "--cut", "8").status == 0
    garment = ["--piece", "2 of 20 x 14 in", "--cloth", "quarry kilt", "--cut", "8"]
    assert plaidcut("garment", *garment).status == 0
    rug = tmp_path / "rug.toml"
    rug.write_text(
        '[[area]]\nshape = "area"\narea = "60 sq in"\ncut = "8"\n'
        '[[supply]]\nname = "kilt"\npieces = ["2 of 20 x 14 in"]\ncloth = "Quarry kilt"\n'
    )
    assert plaidcut("rug", rug).status == 0
    assert plaidcut("yield", "Harbour skirt", "--warp", "up").status == 2
    missing = plaidcut("yield", "Heron skirt", "--json").error
    assert missing["code"] == "not-found"
    assert "on the shelf" in missing["message"]
    shutil.copy(room, tmp_path / "Harbour skirt")
    assert plaidcut("yield", "Harbour skirt", "--json").error["code"] == "unreadable-photo"


def test_a_folder_is_measured_once(plaidcut, shelf, photos):
    """Each photo comes onto the shelf once; what fails is told, and the rest goes on."""
    words = ["shelf", "add", photos, "--place", "attic", "--jobs", "1"]
    document = plaidcut(*words, "--json").document
    jsonschema.validate(document, schema_of("plaidcut-shelf-added"))
    assert sorted(document["added"]) == ["harbour skirt", "quarry kilt"]
    assert [Path(each).name for each in document["there"]] == ["the-same.jpg"]
    assert [(Path(e["file"]).name, e["code"]) for e in document["failed"]] == [
        ("broken.jpg", "unreadable-photo")
    ]
    before = held(shelf)
    assert {entry.about.place for entry, *_ in before} == {"attic"}
    again = plaidcut(*words, "--json").document
    assert again["added"] == []
    assert len(again["there"]) == 3
    assert held(shelf) == before
    told = plaidcut(*words).out
    assert "Not measured: 1 photo" in told
    one = plaidcut("shelf", "add", photos / "the-same.jpg", "--json").error
    assert one["code"] == "exists"
    assert "quarry kilt" in one["message"]


def test_a_photo_on_the_shelf_is_drawn_on(plaidcut, shelf, photos, tmp_path):
    """The copy has the places of the photo's own pixels: bands are marked where they lie."""
    photo = photos / "harbour-skirt.jpg"
    assert plaidcut("shelf", "add", photo, "--name", "Harbour skirt").status == 0
    for number, words in enumerate(
        (["shelf", "show", "Harbour skirt"], ["yield", "Harbour skirt"], ["yield", photo])
    ):
        file = tmp_path / f"{number}.png"
        assert plaidcut(*words, "--picture", file).status == 0
    pictures = [Image.open(tmp_path / f"{number}.png").convert("L") for number in range(3)]
    assert pictures[0].size == pictures[1].size == pictures[2].size
    import numpy as np

    shelved, direct = (np.asarray(each, float) for each in pictures[1:])
    assert np.abs(shelved - direct).mean() < 4
    very = plaidcut("yield", "Harbour skirt", "--photo", photos / "quarry-kilt.jpg", "--json")
    assert very.error["code"] == "usage"
    assert plaidcut("yield", "Harbour skirt", "--photo", photo).status == 0


def test_measured_again_it_keeps_what_was_said(plaidcut, shelf, photos):
    """A new photo of the same cloth, after overdyeing; its notes stay and its colours hold."""
    first = ["shelf", "add", photos / "harbour-skirt.jpg", "--name", "Skirt", "--note", "soft"]
    assert plaidcut(*first).status == 0
    plaidcut("shelf", "set", "Skirt", "--overdyed-on", "2026-06-01")
    assert "colours don't count" in " ".join(plaidcut("shelf", "show", "Skirt").out.split())
    again = ["shelf", "add", photos / "quarry-kilt.jpg", "--name", "Skirt", "--again"]
    assert plaidcut(*again).status == 0
    ((entry, document, *_),) = held(shelf)
    assert (entry.about.note, entry.colours_hold) == ("soft", True)
    assert document["photo"]["name"] == "quarry-kilt.jpg"


def test_exported_and_imported(plaidcut, room, tmp_path):
    """To an archive and back; a copy is a shelf; nothing is written over unasked."""
    archive, copy, other = (tmp_path / name for name in ("room.zip", "copy.db", "other.db"))
    assert "2 cloths" in plaidcut("shelf", "export", archive).out
    assert plaidcut("shelf", "export", archive, "--json").error["code"] == "exists"
    assert plaidcut("shelf", "export", archive, "--force").status == 0
    assert plaidcut("shelf", "export", copy, "--copy").status == 0
    document = plaidcut("shelf", "import", archive, "--shelf", other, "--json").document
    jsonschema.validate(document, schema_of("plaidcut-shelf-added"))
    assert document["added"] == ["Harbour skirt", "Quarry kilt"]
    assert held(other) == held(room) == held(copy)
    bad = tmp_path / "bad.zip"
    bad.write_bytes(archive.read_bytes()[:-100])
    assert plaidcut("shelf", "import", bad, "--shelf", tmp_path / "new.db", "--json").status == 3
    assert not (tmp_path / "new.db").exists()


def test_checked_and_mended(plaidcut, room):
    """What is amiss is told in words and in JSON."""
    assert "All is well" in plaidcut("shelf", "check").out
    with open_shelf(room) as connection:
        connection.execute("DELETE FROM band")
        connection.execute("UPDATE measurement SET document = '{' WHERE cloth_id = 1")
    document = plaidcut("shelf", "check", "--json").document
    jsonschema.validate(document, schema_of("plaidcut-shelf-checked"))
    assert (document["cloths"], len(document["mended"]), len(document["left"])) == (2, 1, 1)
    assert "Not to be mended" in plaidcut("shelf", "check").out


@pytest.mark.skipif(os.name == "nt", reason="interrupted by POSIX's own means")
def test_ctrl_c_keeps_what_is_done_and_the_next_run_goes_on(tmp_path, photos):
    """Interrupted after the first cloth, it stays; run again, the rest comes to it."""
    path = tmp_path / "shelf.db"
    for number in range(30):  # photos that differ, as photos do, enough to be stopped among them
        data = io.BytesIO()
        shade = (8 * number, 90, 120)
        Image.new("RGB", (64, 64), shade).save(data, "PNG")
        (photos / f"z{number:02}.png").write_bytes(data.getvalue())
    command = [sys.executable, "-m", "plaidcut", "shelf", "add", str(photos), "--jobs", "1"]
    command += ["--shelf", str(path)]
    # started in the background, tests may have it ignored, and what they start inherits that
    heeded_before = signal.signal(signal.SIGINT, signal.default_int_handler)
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    signal.signal(signal.SIGINT, heeded_before)
    until = time.monotonic() + 60
    while time.monotonic() < until and running.poll() is None:
        if path.exists() and path.stat().st_size:
            with open_shelf(path) as connection:
                if names(connection):
                    break
        time.sleep(0.05)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert running.returncode == 130
    assert out == ""
    assert "Stopped. 1 of 34 came onto the shelf" in err
    assert "Traceback" not in err
    with open_shelf(path) as connection:
        assert names(connection) == ["harbour skirt"]
    done = subprocess.run([*command, "--json"], capture_output=True, text=True)
    document = json.loads(done.stdout)
    assert document["added"] == ["quarry kilt"]
    assert len(document["failed"]) == 31


def corrections_file(folder, *corrections):
    """A corrections document as she writes it."""
    file = folder / "put right.json"
    whole = {"document": "plaidcut-corrections", "version": 1, "corrections": list(corrections)}
    file.write_text(json.dumps(whole))
    return file


def test_a_cloth_is_put_right_on_the_shelf_and_found_by_it(plaidcut, room, tmp_path):
    """A width by ruler counts for what is found and as SOURCE, until it is taken back."""
    file = corrections_file(tmp_path, {"kind": "width", "band": "U2", "width_mm": 3.8})
    white = ["shelf", "find", "--width", "3.7 mm to 3.9 mm", "--json"]
    assert not json.loads(plaidcut(*white).out)["cloths"]
    assert plaidcut("shelf", "set", "Harbour skirt", "--corrections", str(file)).status == 0
    assert [f["name"] for f in json.loads(plaidcut(*white).out)["cloths"]] == ["Harbour skirt"]
    counted = json.loads(plaidcut("yield", "Harbour skirt", "--json").out)
    assert {b["band"]: b["width_mm"] for b in counted["bands"]}["U2"] == 3.8
    none = corrections_file(tmp_path)
    assert plaidcut("shelf", "set", "Harbour skirt", "--corrections", str(none)).status == 0
    assert not json.loads(plaidcut(*white).out)["cloths"]


def test_corrections_of_another_cloth_are_refused(plaidcut, room, tmp_path):
    """A band that isn't there is told of, and nothing on the shelf changes."""
    before = held(room)
    file = corrections_file(tmp_path, {"kind": "rename", "band": "U9", "name": "rust"})
    refused = plaidcut("shelf", "set", "Quarry kilt", "--corrections", str(file))
    assert refused.status == 3
    assert "put right.json" in refused.err
    assert held(room) == before


def test_a_cloth_corrected_before_it_is_added_is_kept_apart_from_its_corrections(
    plaidcut, shelf, tmp_path
):
    """What was measured lies on the shelf as it was, and the corrections beside it."""
    file = corrections_file(tmp_path, {"kind": "width", "band": "U2", "width_mm": 3.8})
    added = plaidcut("shelf", "add", *SKIRT, "--name", "Harbour skirt", "--corrections", str(file))
    assert added.status == 0
    ((_, measured, corrections, _),) = held(shelf)
    assert measured["up"]["bands"][1]["width_mm"] == 3.0
    assert corrections["corrections"][0]["width_mm"] == 3.8
    several = plaidcut("shelf", "add", "a.jpg", "b.jpg", "--corrections", str(file))
    assert several.status == 2
