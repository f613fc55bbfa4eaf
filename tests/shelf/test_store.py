"""Cloths into the shelf and out again, as they were."""

import json
import sqlite3
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from plaidcut.documents.measurement import from_document
from plaidcut.errors import AlreadyExists, FileTrouble, NotFound, PlaidcutError, UsageError
from plaidcut.shelf import store
from plaidcut.shelf.opening import copy_to, open_shelf, version_of, writing
from plaidcut.shelf.pictures import LONGEST_PX, THUMBNAIL_PX, checked_copy, pictures_of_photo
from plaidcut.shelf.schema import APPLICATION_ID, STEPS
from plaidcut.shelved import About, Pieces, Reserved, Taken, Weave
from plaidcut.shelved_typed import checked_name, key_of, name_of_file, parse_reserved, parse_taken
from tests.shelf.wool import CORRECTIONS, NAMES, held, kept, shelve

ABOUT = About(
    note="thrifted, soft",
    place="cedar chest",
    fibre="wool",
    weave=Weave.WORSTED,
    pieces=(Pieces(count=5, width_mm=508.0, height_mm=355.6),),
    garments=1,
    weight_g=340.0,
    washed_on="2026-04-30",
    taken=(Taken(on="2026-05-01", what="the border", how_much="12 strips"),),
    reserved=(Reserved(rug="the hearth rug", strips=40), Reserved(rug="the runner", strips=None)),
)


@pytest.fixture
def path(tmp_path):
    """Where a shelf will be, in a folder that isn't there yet."""
    return tmp_path / "wool room" / "shelf.db"


def test_a_cloth_comes_back_as_it_was(path):
    """Everything said of it, its measurement and its pictures, whatever capitals are typed."""
    cloth, pictures = kept("Harbour skirt", about=ABOUT, photo=True)
    shelve(path, (cloth, pictures))
    with open_shelf(path) as connection:
        back = store.load(connection, "harbour SKIRT")
        assert store.pictures_of(connection, "harbour skirt") == pictures
    assert back.entry == cloth.entry
    assert back.document == cloth.document
    assert back.corrections is None


def test_the_same_photo_and_the_same_name_are_refused(path):
    """One cloth, one name: the error says under which name it lies there."""
    first, second = kept("Harbour skirt", photo=True), kept("Quarry kilt", photo=True)
    shelve(path, first)
    again = replace(first[0], entry=replace(first[0].entry, name="Another"))
    with pytest.raises(AlreadyExists, match='as "Harbour skirt"'):
        shelve(path, (again, None))
    same_name = replace(second[0], entry=replace(second[0].entry, name="HARBOUR skirt"))
    with pytest.raises(AlreadyExists, match="called"):
        shelve(path, (same_name, None))
    assert len(held(path)) == 1


def test_a_changed_cloth_keeps_its_measurement(path):
    """A new name and other notes; what was measured stays."""
    cloth, pictures = kept("Harbour skirt", photo=True)
    shelve(path, (cloth, pictures))
    entry = replace(cloth.entry, name="Harbour remnants", about=ABOUT)
    with open_shelf(path) as connection, writing(connection):
        store.change(connection, "Harbour skirt", entry)
    assert held(path) == [(entry, cloth.document, None, pictures)]


def test_corrections_lie_beside_what_was_measured(path):
    """They come and go; the measurement stays what it was."""
    cloth, _ = kept("Harbour skirt")
    shelve(path, (cloth, None))
    before = from_document(cloth.document).up.bands[1].width_mm
    for corrections, width_mm in ((CORRECTIONS, 4.5), (None, before)):
        with open_shelf(path) as connection, writing(connection):
            store.correct(connection, "Harbour skirt", corrections)
            searched = "SELECT width_mm FROM band WHERE band = 'U2'"
            assert connection.execute(searched).fetchall() == [(width_mm,)]
        ((_, measured, found, _),) = held(path)
        assert found == corrections
        assert measured == cloth.document


def test_corrections_that_cannot_be_made_change_nothing(path):
    """A band that the cloth doesn't have is refused, and the shelf is as it was."""
    shelve(path, kept("Harbour skirt"))
    before = held(path)
    wrong = CORRECTIONS | {"corrections": [{"kind": "start", "band": "U9"}]}
    with (
        open_shelf(path) as connection,
        pytest.raises(FileTrouble, match="U9"),
        writing(connection),
    ):
        store.correct(connection, "Harbour skirt", wrong)
    assert held(path) == before


def test_what_is_removed_leaves_nothing(path):
    """No table has a row of it."""
    shelve(path, kept("Harbour skirt", about=ABOUT, photo=True))
    with open_shelf(path) as connection:
        with writing(connection):
            store.remove(connection, "Harbour skirt")
        for table in ("cloth", "measurement", "picture", "piece", "taken", "reserved", "band"):
            query = f"SELECT COUNT(*) FROM {table}"  # noqa: S608
            assert connection.execute(query).fetchone() == (0,), table
        assert connection.execute("SELECT COUNT(*) FROM words").fetchone() == (0,)
    with pytest.raises(NotFound, match="no cloth called"), open_shelf(path) as connection:
        store.load(connection, "Harbour skirt")


def test_overdyed_colours_hold_again_once_measured_anew(path):
    """Said to be overdyed they don't; a new measurement makes them hold, and keeps the notes."""
    cloth, _ = kept("Harbour skirt", about=About(note="soft"))
    shelve(path, (cloth, None))
    dyed = store.with_words(cloth.entry, replace(cloth.entry.about, overdyed_on="2026-06-01"))
    assert not dyed.colours_hold
    new, pictures = kept("Harbour skirt", "B30 G10", photo=True)
    with open_shelf(path) as connection, writing(connection):
        store.change(connection, "Harbour skirt", dyed)
        store.measured_again(connection, new, pictures)
    ((entry, document, _, kept_pictures),) = held(path)
    assert entry.colours_hold
    assert entry.about.note == "soft"
    assert document == new.document
    assert kept_pictures == pictures


def as_version(path, version):
    """Write a shelf as a plaidcut of that version did: its steps, and a cloth in its tables."""
    cloth, pictures = kept("Harbour skirt", about=ABOUT, photo=True)
    shelve(path.with_name("now.db"), (cloth, pictures))
    connection = sqlite3.connect(path, isolation_level=None)
    for step in STEPS[:version]:
        for statement in step:
            connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {version}")
    connection.execute("ATTACH ? AS now", (str(path.with_name("now.db")),))
    of_its_own = {"band", "stripe", "words"}  # which the steps and the derivation fill
    tables = connection.execute("SELECT name FROM main.sqlite_master WHERE type = 'table'")
    for (table,) in tables.fetchall():
        if table not in of_its_own and not table.startswith(("words_", "sqlite_")):
            columns = [row[1] for row in connection.execute(f"PRAGMA main.table_info({table})")]
            listed = ", ".join(f"0 AS {each}" if each == "derived" else each for each in columns)
            connection.execute(f"INSERT INTO main.{table} SELECT {listed} FROM now.{table}")  # noqa: S608
    if version >= 3:
        connection.execute(STEPS[2][-1].replace("FROM cloth", "FROM main.cloth"))
    connection.close()
    return held(path.with_name("now.db"))


@pytest.mark.parametrize("version", range(1, len(STEPS) + 1))
def test_a_shelf_of_every_earlier_version_is_brought_up_to_date(tmp_path, version):
    """Nothing is lost, the search works, and a copy of the old file lies beside it."""
    path = tmp_path / "old.db"
    wanted = as_version(path, version)
    assert held(path) == wanted
    with open_shelf(path) as connection:
        assert version_of(connection) == len(STEPS)
        assert connection.execute("SELECT COUNT(*) FROM band").fetchone() == (5,)
        found = connection.execute("SELECT name FROM words WHERE words MATCH 'thrifted'")
        assert found.fetchall() == [("Harbour skirt",)]
    before = tmp_path / f"old-before-version-{len(STEPS)}.db"
    assert before.exists() == (version < len(STEPS))
    if before.exists():
        assert sqlite3.connect(before).execute("PRAGMA user_version").fetchone() == (version,)


def test_a_later_version_is_refused_and_left_alone(path):
    """What a newer plaidcut has written, this one doesn't touch."""
    shelve(path, kept("Harbour skirt"))
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
    connection.commit()
    connection.close()
    before = path.read_bytes()
    with pytest.raises(FileTrouble, match=f"version {len(STEPS) + 1}"), open_shelf(path):
        pass
    assert path.read_bytes() == before


def test_a_database_of_something_else_is_refused(tmp_path):
    """Neither another program's database nor any other file is taken for a shelf."""
    path = tmp_path / "other.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE loom (id)")
    connection.close()
    with pytest.raises(FileTrouble, match="not a shelf"), open_shelf(path, make=True):
        pass
    text = tmp_path / "text.db"
    text.write_text("a plain text that is no database at all, though it is long enough " * 20)
    with pytest.raises(FileTrouble, match="not a shelf"), open_shelf(text):
        pass
    with pytest.raises(NotFound, match="no shelf"), open_shelf(tmp_path / "none.db"):
        pass


def test_the_file_says_what_it_is(path):
    """References are kept, writes go ahead in a log, and the file names its kind."""
    with open_shelf(path, make=True) as connection:
        for pragma, value in (
            ("foreign_keys", 1),
            ("journal_mode", "wal"),
            ("application_id", APPLICATION_ID),
            ("synchronous", 2),
        ):
            assert connection.execute(f"PRAGMA {pragma}").fetchone() == (value,)


def test_a_failed_write_leaves_all_as_it_was(path):
    """A transaction that ends in an error has written nothing."""
    shelve(path, kept("Harbour skirt"))
    before = held(path)
    with open_shelf(path) as connection:
        with pytest.raises(sqlite3.OperationalError), writing(connection):  # noqa: PT012
            store.add(connection, *kept("Quarry kilt", "G20 W4"))
            connection.execute("INSERT INTO loom VALUES (1)")
        assert not connection.in_transaction
    assert held(path) == before


def test_a_copy_made_while_others_write_is_whole(path, tmp_path):
    """SQLite's backup takes what was committed, not what is being written."""
    shelve(path, kept("Harbour skirt", photo=True))
    before = held(path)
    with open_shelf(path) as reader, open_shelf(path) as writer, writing(writer):
        store.add(writer, *kept("Quarry kilt", "G20 W4"))
        copy_to(reader, tmp_path / "copy.db")
    assert held(tmp_path / "copy.db") == before


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "-x",
        "a/b",
        "a\\b",
        "<b>",
        "a\0b",
        "a\nb",
        "a\tb",
        "\u202eabc",
        "...",
        "[red]",
        "n" * 81,
        "a\u200bb",
        "c:",
        "a*",
    ],
)
def test_names_that_could_be_something_else_are_refused(text):
    """Paths, options, markup, and characters that can't be seen."""
    with pytest.raises(UsageError):
        checked_name(text)


@given(st.text(max_size=100))
def test_a_name_that_is_taken_is_taken_again(text):
    """Checking twice changes nothing, and its key is found however it is typed."""
    try:
        name = checked_name(text)
    except PlaidcutError:
        return
    assert checked_name(name) == name
    assert key_of(f"  {name.upper().lower()} ") == key_of(key_of(name.upper().lower()))


@given(st.text(max_size=100))
def test_every_file_has_a_name_for_its_cloth(stem):
    """Whatever a photo is called, a name comes out that the shelf takes."""
    assert checked_name(name_of_file(stem)) == name_of_file(stem)


@pytest.mark.parametrize("text", ["", "=", "rug = many", "rug = -3 strips", " = 4"])
def test_reservations_that_say_nothing_are_refused(text):
    """A rug and a number, or a rug."""
    with pytest.raises(UsageError):
        parse_reserved(text)


@pytest.mark.parametrize("text", ["", "border", "border =", "= 3", "2026-13-40 border = 3"])
def test_cuttings_that_say_nothing_are_refused(text):
    """What, and how much; a day that exists."""
    with pytest.raises(UsageError):
        parse_taken(text, today="2026-05-03")


def test_pictures_are_bounded_and_hold_pixels_alone():
    """A large photo becomes smaller, and nothing of the camera's goes along."""
    import numpy as np

    pixels = np.tile(np.arange(250, dtype=np.uint8), (3000, 4))[..., None].repeat(3, axis=2)
    pictures = pictures_of_photo(pixels)
    for data, longest in ((pictures.copy, LONGEST_PX), (pictures.thumbnail, THUMBNAIL_PX)):
        image = checked_copy(data, longest)
        assert max(image.size) == longest
        assert image.size[0] / image.size[1] == pytest.approx(1 / 3, rel=0.01)
        assert not image.getexif()
    assert b"Exif" not in pictures.copy


def test_a_picture_with_a_place_in_it_is_refused(tmp_path):
    """GPS and other things that cameras add never come onto the shelf."""
    file = tmp_path / "a.jpg"
    image = Image.new("RGB", (30, 20), "grey")
    exif = Image.Exif()
    exif[0x0110] = "phone"
    image.save(file, exif=exif)
    with pytest.raises(FileTrouble, match="more than pixels"):
        checked_copy(file.read_bytes(), LONGEST_PX)


def test_many_names_stay_apart(path):
    """A name that is taken gets a number behind it."""
    shelve(path, *(kept(name, f"K{20 + k} R4") for k, name in enumerate(NAMES)))
    with open_shelf(path) as connection:
        assert store.free_name(connection, "Quarry KILT") == "Quarry KILT 2"
        assert store.free_name(connection, "Ferry coat") == "Ferry coat"
        assert store.names(connection) == sorted(NAMES)
        document = connection.execute("SELECT document FROM measurement LIMIT 1").fetchone()[0]
    assert json.loads(document)["document"] == "plaidcut-measurement"
