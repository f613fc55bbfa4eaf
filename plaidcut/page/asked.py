"""From what she typed or marked on the page to what the tasks take."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Final, TypeVar

from plaidcut.cutting.cuts import Cut, parse_cut
from plaidcut.errors import NotFound, UsageError
from plaidcut.scale.printing import printed_ratio
from plaidcut.scale.ways import ByCard, ByPoints, ByRectangle, ByRuler, Given, ScaleWay
from plaidcut.settings import Settings
from plaidcut.settings_file import open_settings, own_settings_path
from plaidcut.stripes.measurement import Direction, Washed
from plaidcut.tasks import HowToMeasure
from plaidcut.typed_px import parse_numbers_px, parse_points_px
from plaidcut.units import parse_length, parse_size, unit_of

Choice = TypeVar("Choice", bound=StrEnum)

Asked = Mapping[str, str]
"""What she said of a photo: each field of its form, as typed."""


def own_settings() -> Settings:
    """Her settings; the usual ones where she has none."""
    try:
        return open_settings(own_settings_path())
    except NotFound:
        return Settings()


def cut_of(typed: str, settings: Settings) -> Cut:
    """Her cut: as typed, or that of her settings, or the most used."""
    return parse_cut(typed, settings.cuts) if typed.strip() else settings.own_cut


def how_to_measure(asked: Asked, settings: Settings) -> HowToMeasure:
    """What the form says, and her settings where it says nothing.

    Raises
    ------
    UsageError, BadLength
        If something can't be read.
    """
    narrowest = asked.get("narrowest", "")
    return HowToMeasure(
        scale=scale_way(asked),
        narrowest_mm=parse_length(narrowest) if narrowest else settings.narrowest_mm,
        warp=warp_of(asked),
        washed=washed_of(asked),
        max_megapixels=settings.max_megapixels,
        outline_xy_px=_outline(asked),
    )


def washed_of(asked: Asked) -> Washed:
    """Whether the cloth was washed."""
    return one_of(Washed, asked.get("washed", "") or Washed.UNKNOWN)


def warp_of(asked: Asked) -> Direction | None:
    """Which threads are the warp, where she knows."""
    warp = asked.get("warp", "")
    return one_of(Direction, warp) if warp else None


def scale_way(asked: Asked) -> ScaleWay:
    """Where the scale is to be taken from.

    Raises
    ------
    UsageError, BadLength
        If a field of that way is missing or can't be read.
    """
    way = asked.get("way", "card")
    if way not in _WAYS:
        msg = f'There is no way to take the scale called "{way}".'
        raise UsageError(msg, hint="Choose one of those that the page shows.")
    return _WAYS[way](asked)


def _rectangle(asked: Asked) -> ByRectangle:
    return ByRectangle(size_mm=parse_size(_field(asked, "size")), corners_xy_px=_corners(asked))


def _points(asked: Asked) -> ByPoints:
    x1, y1, x2, y2 = parse_numbers_px(_field(asked, "points"), 4, example="120,340,980,355")
    apart_mm = parse_length(_field(asked, "apart"))
    return ByPoints(points_xy_px=((x1, y1), (x2, y2)), apart_mm=apart_mm)


def _scan(asked: Asked) -> Given:
    (per_mm,) = parse_numbers_px(_field(asked, "px_per_mm"), 1, example="11.81")
    return Given(px_per_mm=per_mm)


_WAYS: Final[dict[str, Callable[[Asked], ScaleWay]]] = {
    "card": lambda asked: ByCard(printed=printed_of(asked)),
    "rectangle": _rectangle,
    "id1": lambda asked: ByRectangle.id1(_corners(asked)),
    "ruler-in": lambda _: ByRuler(unit="in"),
    "ruler-mm": lambda _: ByRuler(unit="mm"),
    "ruler-both": lambda _: ByRuler(unit="both"),
    "points": _points,
    "scan": _scan,
}


def _outline(asked: Asked) -> tuple[tuple[float, float], ...] | None:
    """What is cloth, drawn round on the photo; None where it is to be found by itself."""
    typed = asked.get("outline", "").strip()
    return parse_points_px(typed, least=3, example="90,80 2900,70 2950,2100") if typed else None


def _corners(asked: Asked) -> tuple[tuple[float, float], ...] | None:
    """Four corners marked on the photo; None where it is to be found by itself."""
    typed = asked.get("corners", "").strip()
    if not typed:
        return None
    return parse_points_px(typed, least=4, example="120,340 980,355 970,900 115,880")


def printed_of(asked: Asked) -> tuple[float, float]:
    """How large the printer drew the card's page, across and down."""
    across, down = asked.get("printed_width", ""), asked.get("printed_height", "")
    if not across and not down:
        return (1.0, 1.0)
    if not across or not down:
        msg = "Printers can shrink a page more one way than the other."
        raise UsageError(msg, hint="Measure both bars, the one across and the one down.")
    wide, high = (
        printed_ratio(parse_length(text), inch_bar=unit_of(text) == "in") for text in (across, down)
    )
    return (wide, high)


def _field(asked: Asked, name: str) -> str:
    """A field that must not be empty."""
    typed = asked.get(name, "").strip()
    if not typed:
        raise UsageError(f"{NAMES[name]} is missing.", hint="Fill it in, then try again.")
    return typed


NAMES: Final = {
    "size": "The size of the rectangle",
    "points": "Where the two marks lie",
    "apart": "How far the two marks are apart",
    "px_per_mm": "How many pixels of the scan make a millimetre",
}
"""What the page calls the fields."""


def one_of(kind: type[Choice], typed: str) -> Choice:
    """One of the choices that the page shows; UsageError if it is none of them."""
    try:
        return kind(typed)
    except ValueError as error:
        msg = f'"{typed[:40]}" is none of the choices.'
        raise UsageError(msg, hint="Choose one of those that the page shows.") from error
