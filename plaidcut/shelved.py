"""What is known of a cloth on the shelf besides its measurement: the records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from plaidcut.rug.needs import NEAR_COLOUR
from plaidcut.stripes.measurement import Direction


class Weave(StrEnum):
    """How the yarn was spun and the cloth woven, as far as it is known."""

    WOOLLEN = "woollen"
    WORSTED = "worsted"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Pieces of one size, lying as the cloth lay in its photo."""

    count: int
    width_mm: float
    """From side to side."""
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What was cut from a cloth."""

    on: str
    """The day, as YYYY-MM-DD."""
    what: str
    how_much: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserved:
    """What of a cloth is kept for a rug."""

    rug: str
    strips: int | None
    """How many strips; None is all of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What she says of a cloth; None and "" are what isn't known."""

    note: str = ""
    place: str = ""
    """Where it lies."""
    fibre: str = ""
    weave: Weave = Weave.UNKNOWN
    pieces: tuple[Pieces, ...] = ()
    garments: int | None = None
    weight_g: float | None = None
    washed_on: str | None = None
    overdyed_on: str | None = None
    taken: tuple[Taken, ...] = ()
    reserved: tuple[Reserved, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A cloth's line in the list of the shelf."""

    name: str
    source: str
    """SHA-256 of its photo's file; of its measurement where there is no photo."""
    kind: str
    """Kind of cloth, as measured."""
    about: About = About()
    added_on: str
    measured_on: str
    colours_hold: bool = True
    """False since it was overdyed, until it is measured anew."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cloth:
    """A cloth on the shelf; its pictures are kept beside it."""

    entry: Entry
    document: Mapping[str, object]
    """Its ``plaidcut-measurement``, as it was measured."""
    corrections: Mapping[str, object] | None = None
    """Its ``plaidcut-corrections``, kept apart from what was measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """A cloth's photo as the shelf keeps it: JPEG, without anything that the camera added."""

    copy: bytes
    thumbnail: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A file that didn't come onto the shelf, and why."""

    file: str
    code: str
    message: str
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a cloth is looked for by; None asks for nothing. One band or stripe must have it all."""

    lab: tuple[float, float, float] | None = None
    """How its strips read."""
    within: float = NEAR_COLOUR
    """CIEDE2000 by which they may differ."""
    name: tuple[str, str | None] | None = None
    """ISCC-NBS level 2 name, and a value or None; strips that read so fit however far off."""
    value: str | None = None
    """light, medium or dark."""
    width_mm: tuple[float, float] | None = None
    """Least and greatest width of a bold stripe."""
    keeps_whole_mm: float | None = None
    """A bold stripe that a strip of this width keeps whole."""
    wander_mm: float
    """How far an edge may stray from where it was aimed."""
    kind: str | None = None
    words: str | None = None
    """In its name, note or place."""
    at_least: int | None = None
    """Strips of it."""
    cut_mm: float
    """How wide those strips are."""
    most: int
    """How many answers are told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandSeen:
    """A band of a found cloth, as it is shown."""

    id: str
    width_mm: float
    reads: str
    hex: str
    fits: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundCloth:
    """A cloth that fits."""

    entry: Entry
    fit: float = 0.0
    """0 fits best."""
    difference: float | None = None
    """CIEDE2000 of its best band."""
    strips: int | None = None
    """Strips at least, where they were asked for."""
    direction: Direction
    bands: tuple[BandSeen, ...]
    """The row of bands that answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found."""

    count: int
    """How many fit."""
    cloths: tuple[FoundCloth, ...]
    """The best of them, the best first."""
    amount_unknown: int = 0
    """How many fit but for which no pieces are known."""
