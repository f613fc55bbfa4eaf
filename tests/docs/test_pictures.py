"""The pictures of the documentation are what the script draws from the demo."""

import runpy
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

DOCS = Path(__file__).parents[2] / "docs"
DRAWN = runpy.run_path(str(DOCS / "pictures.py"))

ALIKE = 3.0
"""Mean difference of values of 0 to 255: what JPEG leaves is about 2, another drawing is over 5."""


@pytest.mark.parametrize("name", sorted(DRAWN["PICTURES"]))
def test_a_picture_is_what_the_script_draws(name):
    """After a change to drawing or to the demo, ``python docs/pictures.py`` was run."""
    drawn = DRAWN["PICTURES"][name]().convert("RGB")
    with Image.open(DOCS / "pictures" / name) as file:
        kept = file.convert("RGB")
    assert drawn.size == kept.size
    difference = np.asarray(drawn, np.float32) - np.asarray(kept, np.float32)
    assert np.abs(difference).mean() < ALIKE


def test_every_picture_is_drawn_by_the_script():
    """No picture lies there that nothing draws, and every one that a page shows is there."""
    assert {path.name for path in (DOCS / "pictures").iterdir()} == set(DRAWN["PICTURES"])


def test_the_tutorial_asks_for_the_plan_that_is_shown():
    """The command above the picture is the one that drew it."""
    words = " ".join(f'"{word}"' if " " in word else word for word in DRAWN["TUTORIAL_PLAN"])
    assert f"plaidcut plan skirt.json {words} --picture" in (DOCS / "tutorial.md").read_text(
        "utf-8"
    )
