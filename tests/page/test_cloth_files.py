"""A cloth's files to take along are those that the commands write."""

import csv
import io

import pytest
from PIL import Image
from starlette.testclient import TestClient

from plaidcut import tasks
from plaidcut.cli.app import run
from plaidcut.page import table as names
from plaidcut.page import worker
from plaidcut.page.app import make_app
from plaidcut.page.cloth_files import plain_name
from plaidcut.page.table import Table
from tests.page.opening import DOOR, HOST

CORRECTION = {"bands": "U1", "kind": "width", "value": "24 mm"}
CHOICE = {"wish": "whole", "bands": "U5-U7", "cut": "6"}


@pytest.fixture(scope="module")
def skirt(tmp_path_factory):
    """The demo's photo in a folder, and measured on the table; one measurement for this file."""
    folder = tmp_path_factory.mktemp("skirt")
    (folder / "skirt.jpg").write_bytes(tasks.demo_photo_bytes())
    table = Table.at(folder / "table")
    cloth = table.new({"name": "skirt.jpg", "way": "card", "washed": "yes"})
    cloth.keep(names.PHOTO, tasks.demo_photo_bytes())
    assert worker.main("measure", str(cloth.folder)) == 0
    with TestClient(make_app(table, DOOR), base_url=f"http://{HOST}") as page:
        page.cookies.set(DOOR.cookie, f'"{DOOR.key}"')
        page.headers["origin"] = f"http://{HOST}"
        address = f"/cloths/{cloth.id}"
        assert page.post(f"{address}/corrections", data=CORRECTION).status_code == 200
        assert page.get(f"{address}/cut", params=CHOICE).status_code == 200
        held = {
            name: page.get(f"{address}/files/{name}")
            for name in ("measurement.json", "corrections.json", "yield.json", "yield.csv")
        }
        held["marked.jpg"] = page.get(f"{address}/files/marked.jpg")
    (folder / "corrections.json").write_text(held["corrections.json"].text)
    return folder, held


@pytest.fixture(scope="module")
def commanded(skirt):
    """The same by command: the photo measured once, for all of its files."""
    folder, _ = skirt
    how = ["--washed", "yes", "--corrections", str(folder / "corrections.json")]
    files = ["--out", str(folder / "m.json"), "--picture", str(folder / "m.jpg")]
    assert run(["measure", str(folder / "skirt.jpg"), *how, *files]) == 0
    files = ["--out", str(folder / "y.json"), "--csv", str(folder / "y.csv")]
    assert run(["yield", str(folder / "m.json"), "--cut", "6", "--keep", "U5-U7", *files]) == 0
    return folder


def test_the_measurement_is_that_of_the_command(skirt, commanded):
    """What was put right on the page and with --corrections is one document, to the letter."""
    assert skirt[1]["measurement.json"].text == (commanded / "m.json").read_text()


def test_the_strips_are_those_of_the_command(skirt, commanded):
    """The cut and the stripe that she chose give the document and the table of the command."""
    held = skirt[1]
    assert held["yield.json"].text == (commanded / "y.json").read_text()
    assert held["yield.csv"].content == (commanded / "y.csv").read_bytes()


def test_the_table_opens_in_a_spreadsheet(skirt):
    """It is CSV by RFC 4180: every line has as many fields as the first."""
    lines = list(csv.reader(io.StringIO(skirt[1]["yield.csv"].text), strict=True))
    assert len(lines) > 20
    assert {len(line) for line in lines} == {len(lines[0])}


def test_the_marked_photo_is_that_of_the_command(skirt, commanded):
    """Both draw the same picture of the photo itself."""
    assert skirt[1]["marked.jpg"].content == (commanded / "m.jpg").read_bytes()
    assert Image.open(io.BytesIO(skirt[1]["marked.jpg"].content)).format == "JPEG"


def test_files_are_saved_under_a_plain_name(skirt):
    """They go into her folder of downloads, not into the tab, named after the cloth."""
    answer = skirt[1]["yield.csv"]
    assert answer.headers["content-disposition"] == 'attachment; filename="skirt-yield.csv"'


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Harbour skirt.jpg", "harbour-skirt"),
        ('a"; filename="evil.exe', "a-filename-evil"),
        ("../../etc", "etc"),
        ("裙子", "cloth"),
        ("x" * 300, "x" * 40),
    ],
)
def test_no_name_breaks_out_of_the_header(name, plain):
    """Whatever a photo is called, the file's name holds letters, digits and dashes."""
    assert plain_name(name) == plain


def test_widths_that_were_typed_have_no_photo_to_mark(page, by_hand):
    """They have their documents and tables, and it is said that there is no photo."""
    assert page.get(f"{by_hand}/files/yield.csv").status_code == 200
    answer = page.get(f"{by_hand}/files/marked.jpg")
    assert answer.status_code == 400
    assert "no photo to mark" in answer.text


def test_no_other_file_of_a_cloth_is_given(page, by_hand):
    """Names that aren't offered are none, whatever lies in the folder."""
    for name in ("state.json", "asked.json", "photo", "%2e%2e%2fasked.json"):
        assert page.get(f"{by_hand}/files/{name}").status_code == 404
