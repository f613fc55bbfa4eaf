"""The pages on corrections: what they show is what happens."""

import json
import re
import shlex
from pathlib import Path

import pytest
from PIL import Image

from plaidcut.cli.app import run
from plaidcut.documents.corrections import from_document
from plaidcut.documents.corrections_model import CorrectionsDocument
from plaidcut.documents.measurement import from_document as measurement_of
from plaidcut.documents.text import from_text

DOCS = Path(__file__).parents[2] / "docs"


def json_in(text):
    """The JSON examples of a page."""
    return re.findall(r"```json\n(.*?)```", text, flags=re.DOTALL)


def test_a_wrong_band_is_corrected_as_the_how_to_says(tmp_path, monkeypatch, capsys):
    """Each command of the page works on the demo photo, and corrects what the page says."""
    section = (DOCS / "how-to" / "correct-a-band.md").read_text(encoding="utf-8")
    commands = re.findall(r"^    plaidcut (.*)$", section, flags=re.MULTILINE)
    (example,) = json_in(section)
    monkeypatch.chdir(tmp_path)
    Path("corrections.json").write_text(example, encoding="utf-8")
    assert len(commands) == 4
    for command in commands:
        assert run(shlex.split(command)) == 0, capsys.readouterr().err
        said = " ".join(capsys.readouterr().out.split())
        assert ("Put right by hand" in said) is not command.startswith("demo")
    assert "rust (U6)" in said
    before, after = (
        measurement_of(from_text(Path(name).read_text(encoding="utf-8")))
        for name in ("demo/measurement.json", "corrected.json")
    )
    assert after.up.band("U6").yarn.name == "rust"
    assert after.up.band("U3").width_mm == after.up.band("U9").width_mm == 10
    assert len(after.across.bands) == len(before.across.bands) - 2
    assert after.across.mirrored
    with Image.open("corrected.jpg") as picture:
        assert picture.format == "JPEG"


def test_the_reference_shows_every_kind_and_key(tmp_path, capsys):
    """Its example is read as it stands, holds all that the schema has, and can be made."""
    page = (DOCS / "reference" / "corrections.md").read_text(encoding="utf-8")
    (example,) = json_in(page)
    document = json.loads(example)
    assert from_document(document).photo_sha256 is None
    schema = CorrectionsDocument.model_json_schema()
    keys = {key for part in document["corrections"] for key in part}
    known = {
        key
        for name, part in schema["$defs"].items()
        if name != "MadeBy"
        for key in part["properties"]
    }
    assert keys == known
    kinds = set(schema["properties"]["corrections"]["items"]["discriminator"]["mapping"])
    assert {part["kind"] for part in document["corrections"]} == kinds
    file = tmp_path / "all.json"
    file.write_text(example, encoding="utf-8")
    bands = "navy 25 mm, white 2 mm, blue 10 mm, navy 4 mm, white 2 mm, red 6 mm"
    typed = ["--by-hand", bands, "--across", bands, "--mirrored", "--corrections", str(file)]
    assert run(["measure", *typed]) == 0, capsys.readouterr().err


@pytest.mark.parametrize("kind", ["rename", "width", "colour", "split", "merge", "start"])
def test_the_reference_describes_every_kind(kind):
    """Each has its row in the table."""
    page = (DOCS / "reference" / "corrections.md").read_text(encoding="utf-8")
    assert f"| `{kind}` |" in page
