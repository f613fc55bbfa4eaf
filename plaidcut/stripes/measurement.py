"""What a measurement holds: the records that every later stage reads."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.cloth.lattice import Structure
from plaidcut.errors import Caution
from plaidcut.scale.plane import Scale
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.corrections import ByHand, Correction
from plaidcut.units import MM_PER_INCH


class Direction(StrEnum):
    """The two thread systems, by how they run in the upright photo (45° is up)."""

    UP = "up"
    ACROSS = "across"

    @property
    def letter(self) -> str:
        """First letter of the ids of its bands: U or X."""
        return "U" if self is Direction.UP else "X"

    @property
    def spoken(self) -> str:
        """Which way its threads run, in words."""
        return "up and down" if self is Direction.UP else "from side to side"


class Kind(StrEnum):
    """Kind of cloth."""

    SOLID = "solid"
    STRIPE = "stripe"
    CHECK = "check"
    PLAID = "plaid"
    HOUNDSTOOTH = "houndstooth"
    SHEPHERDS_CHECK = "shepherds-check"
    GLEN_CHECK = "glen-check"
    HERRINGBONE = "herringbone"
    TWEED = "tweed"
    UNSURE = "unsure"


class Washed(StrEnum):
    """Whether the cloth was washed before it was measured."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One band of one repeat, measured square to its threads."""

    id: str
    """``U1``, ``U2`` ... or ``X1`` ...: left to right, top to bottom."""
    start_mm: float
    """Where it begins, from the start of the repeat (or of what is seen)."""
    width_mm: float
    width_edge_std_mm: float
    """Standard uncertainty of the edges alone: noise, scatter, straightening."""
    width_std_mm: float
    """Standard uncertainty with the part shared by the photo (scale, lens) added."""
    partial: bool
    """True when the picture or the cloth ends inside it."""
    yarn: Colour
    """The yarn's own colour."""
    reads: Colour
    """How a strip of it reads, crossed by the other system."""
    by_hand: tuple[ByHand, ...] = ()
    """What of it a correction has set, after it was measured or typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripe:
    """A band, or neighbouring bands, that the eye picks out."""

    bands: tuple[str, ...]
    bold: float
    """How strongly it stands out, 0..1."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThreadSystem:
    """The bands of one thread direction."""

    direction: Direction
    angle_px_deg: float | None
    """Direction in which the threads run near the picture's centre, [0, 180), y down."""
    repeat_mm: float | None
    repeat_std_mm: float | None
    mirrored: bool
    origin_mm: float
    """Where the first repeat starts, across the threads, in plane millimetres from the
    leftmost (topmost) thread seen."""
    bands: tuple[Band, ...]
    stripes: tuple[Stripe, ...] = ()
    edges_px: tuple[NDArray[np.float64], ...] = ()
    """Every band edge seen, a polyline (N, 2) each, left to right (top to bottom)."""
    edge_bands: tuple[tuple[str | None, str | None], ...] = ()
    """For each edge the ids of the bands before and after it."""

    def band(self, band_id: str) -> Band:
        """The band of that id; KeyError when there is none."""
        for band in self.bands:
            if band.id == band_id:
                return band
        raise KeyError(band_id)

    @property
    def striped(self) -> bool:
        """False for a system without stripes: one band and no repeat."""
        return len(self.bands) > 1


class TwillWay(StrEnum):
    """Which way a twill's lines rise, seen with the up threads upright."""

    RIGHT = "right"
    LEFT = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadPitch:
    """How far apart the threads of one system lie."""

    mm: float
    std_mm: float
    """Standard uncertainty, the part shared by the photo added."""

    @property
    def per_inch(self) -> float:
        """Threads to the inch."""
        return MM_PER_INCH / self.mm


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnsRecord:
    """The columns of a herringbone."""

    along: Direction
    """The threads that they run along."""
    width_mm: float
    std_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeaveRecord:
    """What was seen of single threads; None for what the photo does not tell."""

    structure: Structure | None = None
    twill: TwillWay | None = None
    up: ThreadPitch | None = None
    across: ThreadPitch | None = None
    columns: ColumnsRecord | None = None
    check_threads: tuple[int, int] | None = None
    """Threads in one light or dark check of a small check: of up, and of across."""

    def pitch(self, direction: Direction) -> ThreadPitch | None:
        """The pitch of that direction's threads."""
        return self.up if direction is Direction.UP else self.across


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueShares:
    """Shares of the cloth, thread by thread, that are light, medium and dark; they add up to 1."""

    light: float
    medium: float
    dark: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoRecord:
    """Which photo was measured."""

    name: str
    width_px: int
    height_px: int
    sha256: str


ANOTHER_CARD: Final = "another-card"
"""Why a region is left out that a second card hides."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LeftOut:
    """A region of the picture that was not measured, and why."""

    code: str
    """``not-woven``, ``beyond-a-seam``, or :data:`ANOTHER_CARD`, beneath which cloth lies."""
    outline_px: NDArray[np.float64]
    """Polygon (N, 2)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothRecord:
    """The cloth as it lies."""

    kind: Kind
    kind_confidence: float
    outline_px: NDArray[np.float64]
    """Polygon (N, 2) of the cloth that was measured; (0, 2) without a photo."""
    skew_deg: float | None
    """How far from square the two systems cross; positive when across runs downhill."""
    bow: float | None
    """How far the across threads bend, as a share of their length."""
    sharpness_mm: float | None
    """Standard deviation of the blur at an edge, on the cloth."""
    washed: Washed = Washed.UNKNOWN
    left_out: tuple[LeftOut, ...] = ()
    word: str | None = None
    """A finer word for its kind: gingham, windowpane ...; None where none fits."""
    weave: WeaveRecord | None = None
    """None where no thread was told apart, or without a photo."""
    values: ValueShares | None = None
    """None without a photo."""
    strips_differ: tuple[float, float] | None = None
    """Standard deviation of L* between quarter-inch strips, along up and along across; None
    without a photo."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurement:
    """One cloth measured: what the document holds, and what later stages read."""

    photo: PhotoRecord | None
    """None for widths typed by hand."""
    scale: Scale | None
    """None for widths typed by hand."""
    cloth: ClothRecord
    up: ThreadSystem
    across: ThreadSystem
    warp: Direction | None = None
    cautions: tuple[Caution, ...] = ()
    corrections: tuple[Correction, ...] = ()
    """What was put right in it by hand, in order."""
    measured: Measurement | None = None
    """The same before any correction; None where there is none."""

    @property
    def systems(self) -> tuple[ThreadSystem, ThreadSystem]:
        """Up, then across."""
        return (self.up, self.across)

    def system(self, direction: Direction) -> ThreadSystem:
        """The thread system of that direction."""
        return self.up if direction is Direction.UP else self.across

    def system_of(self, band_id: str) -> ThreadSystem:
        """The thread system that a band id belongs to, by its first letter."""
        return self.up if band_id.upper().startswith("U") else self.across
