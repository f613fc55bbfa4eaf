"""What strips of a cut look like hooked, drawn once for each cloth and cut and then kept."""

from __future__ import annotations

import json
from base64 import b64encode
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.cuts import Cut
from plaidcut.page import table
from plaidcut.page.table import Cloth
from plaidcut.stripes.measurement import Direction

if TYPE_CHECKING:
    from plaidcut.pictures.laid_straight import Straight

SWATCH_PX: Final = 300
"""Side of a swatch of 3 in: as large as a phone shows two of beside each other."""

ORDERS: Final = ("mixed", "sorted")
"""As the strips come, and sorted from light to dark."""


def key_of(cut: Cut) -> str:
    """What the files of a cut are called by."""
    return f"{cut.width_mm:.4f}"


def picture_name(key: str, direction: Direction, order: str) -> str:
    """The file of a swatch."""
    return f"look-{key}-{direction.value}-{order}.jpg"


def words_name(key: str) -> str:
    """The file of what is said of a cut."""
    return f"look-{key}.json"


def draw_look(cloth: Cloth, straight: Straight, cut: Cut) -> None:
    """Draw the swatches of a cut in both directions, and say whether its strips can be sorted."""
    from plaidcut.pictures.encode import picture_bytes
    from plaidcut.pictures.hooked import swatch
    from plaidcut.pictures.sorting import sortable
    from plaidcut.pictures.strip_cuts import cut_strips

    key, words = key_of(cut), {}
    laid = {Direction.UP: straight, Direction.ACROSS: straight.turned()}
    for direction, each in laid.items():
        strips = cut_strips(each, cut.width_mm)
        for order, hooked in zip(ORDERS, (strips, strips.by_value()), strict=True):
            name = picture_name(key, direction, order)
            cloth.keep(name, picture_bytes(swatch(hooked, px=SWATCH_PX), name))
        found = sortable(strips)
        words[direction.value] = "too few strips to say" if found is None else found.spoken
    cloth.keep(words_name(key), json.dumps(words))


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What strips of a cut and direction look like hooked."""

    direction: Direction
    words: str
    """Whether they can be sorted by colour."""
    swatches: tuple[str, ...]
    """As they come, and sorted: addresses that hold the pictures themselves, so that a change of
    cut is one request and not five."""


def looks_of(cloth: Cloth, cut: Cut) -> tuple[Look, ...]:
    """How a cut looks in both directions, drawn unless it was; none where there are no pixels."""
    key = key_of(cut)
    if not cloth.has(words_name(key)) and cloth.has(table.STRAIGHT):
        from plaidcut.pictures.laid_straight import straight_of

        draw_look(cloth, straight_of(cloth.path(table.STRAIGHT).read_bytes()), cut)
    words = cloth.read(words_name(key))
    return tuple(
        Look(
            direction=direction,
            words=words[direction.value],
            swatches=tuple(
                _address_of(cloth.path(picture_name(key, direction, order))) for order in ORDERS
            ),
        )
        for direction in Direction
        if direction.value in words
    )


def _address_of(picture: Path) -> str:
    return f"data:image/jpeg;base64,{b64encode(picture.read_bytes()).decode('ascii')}"
