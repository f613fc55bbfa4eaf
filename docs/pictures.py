"""Draw the pictures of the documentation from the demo: ``python docs/pictures.py``.

A test says when they are no longer what the commands draw.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import replace
from functools import cache
from io import BytesIO, StringIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from plaidcut import tasks
from plaidcut.cli.app import run
from plaidcut.cutting.both_ways import Plan, WhatToPlan
from plaidcut.cutting.cuts import Cut, cut_table, parse_cut
from plaidcut.documents.measurement import to_document
from plaidcut.documents.text import to_text
from plaidcut.photo import Photo
from plaidcut.pictures.annotated import annotated_photo
from plaidcut.pictures.card_picture import card_picture
from plaidcut.pictures.laid_straight import laid_straight
from plaidcut.pictures.plan_picture import plan_picture
from plaidcut.pictures.swatches import swatch_sheet
from plaidcut.scale.card_layout import CardSize
from plaidcut.stripes.measurement import Measurement, Washed
from plaidcut.units import parse_size

FOLDER: Final = Path(__file__).parent / "pictures"
LARGEST_PX: Final = (1000, 1400)
"""Enough for a page."""
BETWEEN_PX: Final = 60
"""More paper than within one drawing of a plan."""
TUTORIAL_PLAN: Final = ("--cut", "8", "--keep", "U5", "--piece", "4 in x 16 in")
"""What ``docs/tutorial.md`` asks for."""


def card() -> Image.Image:
    """The printed card."""
    return Image.fromarray(card_picture(CardSize.SHEET, dpi=100)).convert("L")


def marked() -> Image.Image:
    """The demo's photo with its bands marked."""
    return _small(annotated_photo(*_demo()))


def tutorial_plan() -> Image.Image:
    """The plan of the tutorial, as its command draws it: strips running up and down."""
    _, cloth = _demo()
    with TemporaryDirectory() as folder:
        kept, drawn, settings = (Path(folder) / name for name in ("s.json", "p.png", "s.toml"))
        kept.write_text(to_text(to_document(cloth)), encoding="utf-8")
        settings.touch()
        words = ["--settings", settings, "--picture", drawn, "--json"]
        with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
            status = run(["plan", str(kept), *TUTORIAL_PLAN, *map(str, words)])
        if status:
            raise SystemExit(status)
        with Image.open(drawn) as image:
            return _small(_upper(np.asarray(image.convert("RGB"))))


def example_plan() -> Image.Image:
    """The plan that ``docs/explanation/plans.md`` checks by hand."""
    cloth = tasks.measure_by_hand("black 1 7/8 in, yellow 1/8 in")
    what = WhatToPlan(cut=_cut("8"), piece_mm=parse_size("4 1/2 in x 16 in"), at=("U1",))
    return Image.fromarray(plan_picture(_one_way(tasks.plan(cloth, what))))


def hooked() -> Image.Image:
    """What #8 strips of the demo look like hooked, roughly."""
    return _small(swatch_sheet(laid_straight(*_demo()), [_cut("8")]))


PICTURES: Final[dict[str, Callable[[], Image.Image]]] = {
    "card.png": card,
    "marked.jpg": marked,
    "plan.png": example_plan,
    "tutorial-plan.png": tutorial_plan,
    "hooked.jpg": hooked,
}


@cache
def _demo() -> tuple[Photo, Measurement]:
    """The demo's photo and its cloth."""
    photo = tasks.demo_photo()
    return photo, tasks.measure(photo, tasks.HowToMeasure(washed=Washed.YES))


def _cut(text: str) -> Cut:
    return parse_cut(text, cut_table())


def _one_way(plan: Plan) -> Plan:
    return replace(plan, ways=plan.ways[:1])


def _upper(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The first of the drawings that stand one above the other, with as much paper around."""
    inked = np.flatnonzero((picture != picture[0, 0]).any(axis=(1, 2)))
    gaps = np.diff(inked)
    first, last = inked[0], inked[np.argmax(gaps > BETWEEN_PX)]
    columns = np.flatnonzero((picture[:last] != picture[0, 0]).any(axis=(0, 2)))
    return picture[: last + first, : columns[-1] + first]


def _small(picture: NDArray[np.uint8]) -> Image.Image:
    """The picture, no larger than a page wants it."""
    image = Image.fromarray(picture)
    image.thumbnail(LARGEST_PX)
    return image


def file_of(name: str) -> bytes:
    """Draw a picture, as the bytes of its file."""
    kind = "JPEG" if name.endswith(".jpg") else "PNG"
    file = BytesIO()
    PICTURES[name]().save(file, kind, quality=80, optimize=True)
    return file.getvalue()


def main() -> None:
    """Draw them all."""
    FOLDER.mkdir(exist_ok=True)
    for name in PICTURES:
        (FOLDER / name).write_bytes(file_of(name))


if __name__ == "__main__":
    main()
