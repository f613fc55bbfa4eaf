"""The pictures of the documentation are what the script draws from the demo."""

import runpy
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

DOCS = Path(__file__).parents[2] / "docs"
DRAWN = runpy.run_path(str(DOCS / "pictures.py"))

ALIKE = 1.0
"""Mean difference of values of 0 to 255: room for a processor or library that rounds otherwise."""


@pytest.mark.parametrize("name", sorted(DRAWN["PICTURES"]))
def test_a_picture_is_what_the_script_draws(name):
    """After a change to drawing or to the demo, ``python docs/pictures.py`` was run."""
    drawn, kept = (pixels_of(file) for file in (drawn_file(name), kept_file(name)))
    assert drawn.shape == kept.shape
    assert np.abs(drawn - kept).mean() < ALIKE


def test_another_drawing_is_noticed(monkeypatch):
    """Swatches of another cut differ by more than rounding would."""
    other = DRAWN["hooked"].__globals__
    monkeypatch.setitem(other, "_cut", lambda _text, real=other["_cut"]: real("6"))
    drawn, kept = (pixels_of(file("hooked.jpg")) for file in (drawn_file, kept_file))
    assert drawn.shape != kept.shape or np.abs(drawn - kept).mean() > 2 * ALIKE


def drawn_file(name):
    """The picture as the script would write it."""
    return BytesIO(DRAWN["file_of"](name))


def kept_file(name):
    """The picture that lies there."""
    return DOCS / "pictures" / name


def pixels_of(file):
    """Its values, 0 to 255."""
    with Image.open(file) as image:
        return np.asarray(image.convert("RGB"), np.float32)


def test_every_picture_is_drawn_by_the_script():
    """No picture lies there that nothing draws, and every one that a page shows is there."""
    assert {path.name for path in (DOCS / "pictures").iterdir()} == set(DRAWN["PICTURES"])


def test_the_tutorial_asks_for_the_plan_that_is_shown():
    """The command above the picture is the one that drew it."""
    words = " ".join(f'"{word}"' if " " in word else word for word in DRAWN["TUTORIAL_PLAN"])
    assert f"plaidcut plan skirt.json {words} --picture" in (DOCS / "tutorial.md").read_text(
        "utf-8"
    )
