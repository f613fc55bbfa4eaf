"""Starting quickly, and saying what is missing where the system lacks a library."""

import json
import os
import subprocess
import sys

import pytest
from PIL import Image

HEAVY = ("cv2", "scipy", "skimage", "PIL", "reportlab", "pillow_heif", "jsonschema")
"""Libraries that are slow to load; each belongs where it is used."""


@pytest.mark.parametrize(
    ("arguments", "heavy"),
    [
        (["--help"], (*HEAVY, "numpy", "rich", "pydantic")),
        (["--version"], (*HEAVY, "numpy", "rich", "pydantic")),
        (["measure", "--help"], HEAVY),
    ],
)
def test_help_loads_nothing_heavy(arguments, heavy):
    """Help and version come without any library that only measuring or drawing needs."""
    script = (
        "import sys\n"
        "from plaidcut.cli.app import run\n"
        f"status = run({arguments!r})\n"
        f"print([name for name in {heavy!r} if name in sys.modules], file=sys.stderr)\n"
        "sys.exit(status)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stderr.strip() == "[]"


@pytest.fixture
def without_libgl(tmp_path):
    """The environment of a machine where OpenCV can't load the system's libGL."""
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "cv2.py").write_text(
        'raise ImportError("libGL.so.1: cannot open shared object file: No such file")\n'
    )
    return os.environ | {"PYTHONPATH": str(folder)}


@pytest.mark.parametrize("as_json", [False, True])
def test_a_missing_system_library_is_one_sentence_and_one_line(without_libgl, tmp_path, as_json):
    """Instead of a traceback she reads which library is missing and what installs it."""
    photo = tmp_path / "photo.png"
    Image.new("RGB", (64, 64), "grey").save(photo)
    command = [sys.executable, "-m", "plaidcut", "measure", str(photo)]
    done = subprocess.run(
        [*command, *(["--json"] if as_json else [])],
        env=without_libgl,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 3
    if as_json:
        error = json.loads(done.stdout)["error"]
        assert error["code"] == "missing-library"
        told = f"{error['message']}\n{error['hint']}\n"
        assert done.stderr == ""
    else:
        told = done.stderr
        assert done.stdout == ""
    sentence, way_on = told.splitlines()
    assert "libGL.so.1" in sentence
    assert "apt-get install -y libgl1 libglib2.0-0" in way_on
