"""``demo``: the whole job, on the photo that comes with the package."""

import json
from hashlib import sha256

import jsonschema
import numpy as np
import pytest
from PIL import Image

from plaidcut.cli.app import run
from plaidcut.cli.demo import NAMES
from plaidcut.documents.schemas import schema_of


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    """A folder that the demo has written to."""
    folder = tmp_path_factory.mktemp("demo") / "shown"
    assert run(["demo", "--out", str(folder)]) == 0
    return folder


def test_the_demo_writes_all_that_it_says(shown):
    """Photo, marked photo, both documents and the table are there, and nothing else."""
    assert {path.name for path in shown.iterdir()} == set(NAMES)


def test_the_demo_s_documents_are_valid_and_belong_together(shown):
    """Both hold to their schemas; the measurement is of the very photo beside it."""
    measurement = json.loads((shown / "measurement.json").read_text(encoding="utf-8"))
    yields = json.loads((shown / "yield.json").read_text(encoding="utf-8"))
    jsonschema.validate(measurement, schema_of("plaidcut-measurement"))
    jsonschema.validate(yields, schema_of("plaidcut-yield"))
    digest = sha256((shown / "demo.jpg").read_bytes()).hexdigest()
    assert measurement["photo"]["sha256"] == digest
    bands = measurement["up"]["bands"] + measurement["across"]["bands"]
    assert [each["band"] for each in yields["bands"]] == [band["id"] for band in bands]


def test_the_marked_picture_is_the_photo_and_more(shown):
    """It opens, is in colour, and has room for the ids beside the photo."""
    with Image.open(shown / "marked.jpg") as marked:
        assert marked.mode == "RGB"
        assert marked.height > marked.width * 3 / 4
        assert np.asarray(marked).std(axis=(0, 1)).min() > 10


def test_the_demo_never_writes_over_a_file(shown, plaidcut):
    """A second run is refused before it measures, and all files stay as they were."""
    before = {path.name: path.read_bytes() for path in shown.iterdir()}
    answer = plaidcut("demo", "--out", shown, "--json")
    assert answer.status == 2
    assert answer.error["code"] == "exists"
    assert {path.name: path.read_bytes() for path in shown.iterdir()} == before


def test_a_document_with_its_photo_can_be_marked_again(shown, plaidcut, tmp_path):
    """The photo that a document was measured from serves --picture; another one is refused."""
    marked = tmp_path / "marked.png"
    document = shown / "measurement.json"
    answer = plaidcut("yield", document, "--photo", shown / "demo.jpg", "--picture", marked)
    assert answer.status == 0
    assert marked.read_bytes().startswith(b"\x89PNG")
    answer = plaidcut("yield", document, "--photo", shown / "marked.jpg")
    assert answer.status == 2
    assert "was not measured from marked.jpg" in answer.err
