"""The published schemas."""

import json
from pathlib import Path

import jsonschema
import pytest

from plaidcut.documents.schemas import MODELS, schema_of, write_schemas

PUBLISHED = Path(__file__).parents[2] / "docs" / "reference" / "schemas"


@pytest.mark.parametrize("name", MODELS)
def test_the_published_schema_is_current(name):
    """What the manual shows is what the code makes; else run plaidcut.documents.schemas."""
    published = json.loads((PUBLISHED / f"{name}.json").read_text("utf-8"))
    assert published == schema_of(name)
    jsonschema.Draft202012Validator.check_schema(published)


def test_every_schema_is_written(tmp_path):
    """The folder holds one file for each kind of document, and no other."""
    write_schemas(tmp_path)
    assert {path.stem for path in tmp_path.iterdir()} == set(MODELS)
    assert {path.stem for path in PUBLISHED.iterdir()} == set(MODELS)
