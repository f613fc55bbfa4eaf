"""The shelf as an archive, both ways; archives that mean harm."""

import io
import json
import stat
import struct
import zipfile
from dataclasses import replace

import pytest
from PIL import Image

from plaidcut.errors import CannotWrite, FileTrouble, NotFound
from plaidcut.shelf import archive, store
from plaidcut.shelf.archive import look_through, take_in, write_archive, write_copy
from plaidcut.shelf.opening import open_shelf, writing
from tests.shelf.test_store import ABOUT
from tests.shelf.wool import CORRECTIONS, held, kept, shelve

CLOTH = "cloths/00001/cloth.json"
MEASURED = "cloths/00001/measurement.json"
PHOTO = "cloths/00001/photo.jpg"


@pytest.fixture
def path(tmp_path):
    """A shelf with two cloths, one of them with a photo and all that can be said."""
    path = tmp_path / "shelf.db"
    shelve(
        path,
        kept("Harbour skirt", about=ABOUT, photo=True),
        kept("Quarry kilt", "G20 W4"),
    )
    with open_shelf(path) as connection, writing(connection):
        store.correct(connection, "Quarry kilt", CORRECTIONS)
    return path


@pytest.fixture
def file(path, tmp_path):
    """That shelf's archive."""
    file = tmp_path / "room.zip"
    with open_shelf(path) as connection:
        write_archive(connection, file)
    return file


def taken_in(file, path):
    """Import as the command does."""
    look_through(file)
    with open_shelf(path, make=True) as connection, writing(connection):
        return take_in(connection, file)


def test_a_shelf_comes_back_whole(path, file, tmp_path):
    """Exported and imported it holds the same, pictures to the byte."""
    other = tmp_path / "other.db"
    assert taken_in(file, other) == (["Harbour skirt", "Quarry kilt"], [])
    assert held(other) == held(path)


def test_the_same_shelf_gives_the_same_archive(path, file, tmp_path):
    """No clock is in it: two exports are alike to the byte."""
    with open_shelf(path) as connection:
        assert write_archive(connection, tmp_path / "again.zip") == 2
    assert (tmp_path / "again.zip").read_bytes() == file.read_bytes()


def test_what_is_there_stays_and_taken_names_get_a_number(path, file, tmp_path):
    """Importing twice adds nothing; another cloth of the same name comes beside it."""
    before = held(path)
    assert taken_in(file, path) == ([], ["Harbour skirt", "Quarry kilt"])
    assert held(path) == before
    other = tmp_path / "other.db"
    shelve(other, kept("Quarry kilt", "R20 W4"))
    assert taken_in(file, other) == (["Harbour skirt", "Quarry kilt 2"], [])


def test_a_copy_is_a_shelf(path, tmp_path):
    """What SQLite's backup has written opens as a shelf and holds the same."""
    with open_shelf(path) as connection:
        write_copy(connection, tmp_path / "copy.db")
    assert held(tmp_path / "copy.db") == held(path)


@pytest.mark.parametrize("write", [write_archive, write_copy])
def test_nothing_half_written_is_left(path, tmp_path, write):
    """Into a folder that isn't there nothing is written."""
    before = sorted(tmp_path.iterdir())
    with open_shelf(path) as connection, pytest.raises(CannotWrite):
        write(connection, tmp_path / "none" / "room.zip")
    assert sorted(each for each in tmp_path.iterdir() if "shelf.db-" not in each.name) == before


def members(file):
    """The files of an archive."""
    with zipfile.ZipFile(file) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def packed(file, held, *, kind=zipfile.ZIP_DEFLATED):
    """Write an archive of names and contents; a list of pairs may hold a name twice."""
    with zipfile.ZipFile(file, "w", kind) as opened:
        for name, data in held.items() if isinstance(held, dict) else held:
            opened.writestr(name, data)


def changed(file, member, fields):
    """The archive with fields of one of its documents set otherwise."""
    held = members(file)
    packed(file, held | {member: json.dumps(json.loads(held[member]) | fields)})


def refused(file, tmp_path, match):
    """The archive is refused as a bad file, and the shelf isn't touched."""
    other = tmp_path / "other.db"
    shelve(other, kept("Pantry shawl", "N10 W10"))
    before = other.read_bytes()
    with pytest.raises(FileTrouble, match=match) as told:
        look_through(file)
    assert told.value.code == "bad-file"
    with pytest.raises(FileTrouble), open_shelf(other) as connection, writing(connection):
        take_in(connection, file)
    assert other.read_bytes() == before


@pytest.mark.parametrize(
    "name",
    [
        "../../evil.json",
        "/etc/cron.d/evil",
        "cloths/../../evil.json",
        "cloths\\00001\\cloth.json",
        "C:/evil.json",
        "cloths/00001/cloth.json/",
        "cloths/00001/evil.py",
        "cloths/1/cloth.json",
        "cloths/\u0661\u0661\u0661\u0661\u0661/cloth.json",
        "CLOTHS/00001/photo.jpg",
        "shelf.json ",
    ],
)
def test_names_that_lead_elsewhere_are_refused(file, tmp_path, name):
    """Only the names that an archive has; none is ever used as a path anyway."""
    packed(file, [*members(file).items(), (name, b"x")])
    refused(file, tmp_path, "which no archive|twice|cloths are missing")


def test_a_name_that_ends_early_is_refused(file, tmp_path):
    """A nought in a name would hide what comes after it."""
    packed(file, [*members(file).items(), ("cloths/00002/photo.jpg?.txt", b"x")])
    file.write_bytes(file.read_bytes().replace(b".jpg?.txt", b".jpg\0.txt"))
    refused(file, tmp_path, "which no archive|damaged")


def test_a_name_that_is_not_the_utf_8_it_says_is_refused(file, tmp_path):
    """Found by fuzzing: the list of files can't even be read."""
    packed(file, [*members(file).items(), ("cloths/00002/é.jpg", b"x")])
    file.write_bytes(file.read_bytes().replace("é".encode(), b"\xc3("))
    refused(file, tmp_path, "damaged")


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_name_twice_is_refused(file, tmp_path):
    """Readers disagree on which of two counts."""
    held = members(file)
    packed(file, [*held.items(), (CLOTH, held[CLOTH])])
    refused(file, tmp_path, "twice")


def test_a_bomb_is_refused_unopened(file, tmp_path):
    """What would unpack to a thousand times its size isn't unpacked."""
    held = members(file)
    packed(file, {**held, MEASURED: b" " * 30_000_000})
    refused(file, tmp_path / "packed", "too many")
    packed(file, {**held, MEASURED: b" " * 40_000_000}, kind=zipfile.ZIP_STORED)
    refused(file, tmp_path / "large", "too many")


def test_a_size_that_is_a_lie_is_found_out(file, tmp_path):
    """The archive says a file is small, and it isn't."""
    packed(file, members(file) | {MEASURED: b'{"a": 1}' + b" " * 20_000_000})
    data = bytearray(file.read_bytes())
    end = data.rindex(MEASURED.encode())
    head = data.rindex(b"PK\x01\x02", 0, end)
    struct.pack_into("<I", data, head + 24, 100)  # its size unpacked, in the directory
    file.write_bytes(data)
    refused(file, tmp_path, "damaged|JSON|bytes")


def test_links_locks_and_odd_packing_are_refused(file, tmp_path):
    """A symbolic link isn't followed, and nothing is unpacked by a rare method."""
    held = members(file)
    for spoil in ("link", "bzip2"):
        with zipfile.ZipFile(file, "w") as opened:
            for name, data in held.items():
                about = zipfile.ZipInfo(name)
                if name == PHOTO and spoil == "link":
                    about.external_attr = (stat.S_IFLNK | 0o777) << 16
                if name == MEASURED and spoil == "bzip2":
                    about.compress_type = zipfile.ZIP_BZIP2
                opened.writestr(about, data)
        refused(file, tmp_path / spoil, "a link, or packed")


@pytest.mark.parametrize(
    "fields",
    [
        {"name": "<script>alert(1)</script>"},
        {"name": "a\u202eb"},
        {"name": "a\0b"},
        {"name": "../x"},
        {"name": ""},
        {"name": 7},
        {"note": "\x1b[2J"},
        {"note": "n" * 5000},
        {"weave": "felt"},
        {"pieces": [{"count": 1, "width_mm": -1.0, "height_mm": 2.0}]},
        {"pieces": [{"count": 1, "width_mm": 1.0, "height_mm": 2.0}] * 1001},
        {"pieces": "five"},
        {"garments": 10**12},
        {"weight_g": 1e300},
        {"washed_on": "2026-02-31"},
        {"washed_on": "yesterday"},
        {"source": "0" * 64},
        {"source": "x"},
        {"kind": "velvet"},
        {"document": "plaidcut-yield"},
        {"taken": [{"on": "2026-05-01", "what": "a", "how_much": "\x07"}]},
        {"reserved": [{"rug": "a", "strips": -1}]},
    ],
)
def test_fields_that_cannot_be_are_refused(file, tmp_path, fields):
    """Markup, control characters, wrong kinds, days and numbers that there aren't."""
    changed(file, CLOTH, fields)
    refused(file, tmp_path, "cloths/00001")


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"[]",
        b"\xff\xfe",
        b'{"document": "plaidcut-measurement"}',
        b"[" * 100_000,
        b'{"document": "plaidcut-measurement", "version": NaN}',
    ],
)
def test_documents_that_are_none_are_refused(file, tmp_path, data):
    """Empty, of another kind, of no kind, deep enough to exhaust a parser."""
    packed(file, members(file) | {MEASURED: data}, kind=zipfile.ZIP_STORED)
    refused(file, tmp_path, "cloths/00001")


def picture(size, kind="JPEG", **more):
    """The bytes of a picture."""
    file = io.BytesIO()
    Image.new("RGB", size, "grey").save(file, kind, **more)
    return file.getvalue()


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"<svg/>", "no JPEG"),
        (picture((60, 40), "PNG"), "no JPEG"),
        (picture((60, 40))[:-200], "no JPEG"),
        (picture((2500, 40)), "more than"),
        (picture((40, 60)), "same shape"),
        (picture((60, 40), comment=b"hello"), "more than pixels"),
    ],
)
def test_pictures_that_are_none_are_refused(file, tmp_path, data, match):
    """Another kind, cut off, too large, of another photo, or with more than pixels in it."""
    packed(file, members(file) | {PHOTO: data}, kind=zipfile.ZIP_STORED)
    refused(file, tmp_path, match)


def test_what_is_missing_or_too_much_is_refused(file, tmp_path):
    """The list of contents must agree with what is there, and be of a version that is known."""
    held = members(file)
    for number, spoilt in enumerate(
        (
            {name: data for name, data in held.items() if name != MEASURED},
            {name: data for name, data in held.items() if name != "shelf.json"},
            {name: data for name, data in held.items() if "00001" not in name},
            held | {"shelf.json": held["shelf.json"].replace(b'"version": 1', b'"version": 2')},
            held | {"cloths/00003/photo.jpg": held[PHOTO]},
            {name: data for name, data in held.items() if not name.endswith(".jpg")}
            | {each: held[each.replace("00001", "00002")] for each in (CLOTH, MEASURED)},
        )
    ):
        packed(file, spoilt)
        refused(file, tmp_path / str(number), "missing|holds no|is of version|different|twice")


def test_more_files_than_cloths_have_are_refused(file, tmp_path, monkeypatch):
    """An absurd number is refused before any is opened."""
    monkeypatch.setattr(archive, "MOST_CLOTHS", 0)
    refused(file, tmp_path, "more than 0 cloths")


def test_what_is_no_archive_is_said(tmp_path):
    """A text, an archive cut off, nothing at all."""
    text = tmp_path / "text.zip"
    text.write_text("not an archive")
    refused(text, tmp_path, "no archive")
    with pytest.raises(NotFound):
        look_through(tmp_path / "none.zip")
    with pytest.raises(FileTrouble):
        look_through(tmp_path)


def test_all_or_nothing_where_the_shelf_refuses(path, file, tmp_path, monkeypatch):
    """An error in the middle of taking in leaves the shelf as it was."""
    other = tmp_path / "other.db"
    shelve(other, kept("Pantry shawl", "N10 W10"))
    before = held(other)
    real = archive.add

    def second_fails(connection, cloth, pictures):
        if cloth.entry.name == "Quarry kilt":
            raise FileTrouble("as it happens")
        real(connection, cloth, pictures)

    monkeypatch.setattr(archive, "add", second_fails)
    with pytest.raises(FileTrouble, match="as it happens"):
        taken_in(file, other)
    assert held(other) == before


def test_a_cloth_takes_its_kind_from_its_measurement(file, tmp_path):
    """Whatever an archive says, it is found by what was measured."""
    changed(file, CLOTH, {"kind": "tweed"})
    other = tmp_path / "other.db"
    taken_in(file, other)
    cloth, _ = kept("Harbour skirt", about=ABOUT, photo=True)
    assert held(other)[0][0] == replace(cloth.entry, about=ABOUT)
