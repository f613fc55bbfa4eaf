"""The shape of the ``plaidcut-measurement`` document, field by field."""

from __future__ import annotations

from typing import Annotated, Final, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from plaidcut.cloth.lattice import Structure
from plaidcut.documents.corrections_model import CorrectionPart
from plaidcut.documents.parts import (
    BandId,
    Hex,
    Length,
    MadeBy,
    Number,
    Part,
    Point,
    Row,
    Sha256,
    Share,
    Spread,
    Words,
)
from plaidcut.scale.plane import Method
from plaidcut.stripes.corrections import ByHand
from plaidcut.stripes.measurement import Direction, Kind, TwillWay, Washed

Count = Annotated[int, Field(gt=0)]

REPEAT_TOLERANCE: Final = 0.005
"""Share by which the widths of a repeat may differ from it, for documents edited by hand."""


MOST_PX: Final = 1_000_000
"""Pixels along a side of a photo; no format of a photo has more (chosen here)."""


class PhotoPart(Part):
    """Which photo was measured."""

    name: Words = Field(description="File name, without the folder.")
    width_px: Annotated[int, Field(gt=0, le=MOST_PX)] = Field(
        description="Width of the upright photo."
    )
    height_px: Annotated[int, Field(gt=0, le=MOST_PX)] = Field(
        description="Height of the upright photo."
    )
    sha256: Sha256 = Field(description="Of the file's bytes.")


class LensPart(Part):
    """Radial distortion: ``distorted = c + norm·d·(1 + k1·|d|²)``, ``d = (ideal - c)/norm``."""

    k1: Number = Field(description="Radial coefficient; negative is barrel.")
    center_px: Point = Field(description="Centre c of the distortion.")
    norm_px: Length = Field(description="Radius at which |d| is 1.")


class ScalePart(Part):
    """Pixels and millimetres on the cloth's plane; only the method for widths typed by hand."""

    method: Method = Field(description="What the scale was taken from.")
    px_per_mm: Length | None = Field(
        description="Square root of the local area scale at the picture's centre."
    )
    relative_std: Spread | None = Field(
        description="Relative standard uncertainty that all lengths share."
    )
    tilt_deg: Number | None = Field(
        description="Angle between the camera's axis and the plane's normal; null if unknown."
    )
    plane_to_px: tuple[Row, Row, Row] | None = Field(
        description="Homography, plane millimetres to pixels without lens distortion."
    )
    lens: LensPart | None
    mark_px: list[Point] | None = Field(
        default=None, description="Outline of the card, rectangle or ruler in the picture."
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        rest = (self.px_per_mm, self.relative_std, self.plane_to_px, self.lens)
        missing = [part is None for part in rest]
        if any(missing) and not (all(missing) and self.method is Method.HAND):
            msg = 'px_per_mm, relative_std, plane_to_px and lens may be null only by "hand"'
            raise ValueError(msg)
        if self.plane_to_px is not None and abs(np.linalg.det(self.plane_to_px)) < 1e-12:
            msg = "plane_to_px can't be turned round: it maps the plane to a line"
            raise ValueError(msg)
        return self


class LeftOutPart(Part):
    """A region that was not measured."""

    code: Words = Field(description="Why: not-woven, beyond-a-seam, another-card.")
    outline_px: list[Point]


class PitchPart(Part):
    """How far apart the threads of one system lie."""

    mm: Length
    std_mm: Spread = Field(
        description="Standard uncertainty, the part shared by the photo included."
    )


class ColumnsPart(Part):
    """The columns of a herringbone."""

    along: Direction = Field(description="The threads that they run along.")
    width_mm: Length
    std_mm: Spread = Field(description="Standard uncertainty.")


class WeavePart(Part):
    """What was seen of single threads; null for what the photo does not tell."""

    structure: Structure | None = Field(description="How the threads cross; twills are 2/2.")
    twill: TwillWay | None = Field(
        description="Which way its lines rise, seen with the up threads upright."
    )
    up: PitchPart | None
    across: PitchPart | None
    columns: ColumnsPart | None
    check_threads: tuple[Count, Count] | None = Field(
        description="Threads in one light or dark check of a small check: of up, of across."
    )


class ValuesPart(Part):
    """Shares of the cloth by value, thread by thread; they add up to 1."""

    light: Share
    medium: Share
    dark: Share


class ClothPart(Part):
    """The cloth as it lies."""

    kind: Kind
    kind_confidence: Share
    outline_px: list[Point] = Field(description="Polygon round the cloth that was measured.")
    skew_deg: Number | None = Field(
        description="How far from square the threads cross; positive: across runs downhill."
    )
    bow: Number | None = Field(
        description="How far the across threads bend, as a share of their length."
    )
    sharpness_mm: Number | None = Field(
        description="Standard deviation of the blur at an edge, on the cloth."
    )
    washed: Washed = Field(description="Whether it was washed before it was measured.")
    left_out: list[LeftOutPart] = Field(default=[], description="Regions not measured.")
    word: str | None = Field(
        default=None,
        description="A finer word for its kind: gingham, windowpane, heather ...; null if none.",
    )
    weave: WeavePart | None = Field(
        default=None, description="Its threads; null where the photo does not show them."
    )
    values: ValuesPart | None = Field(default=None, description="Null without a photo.")
    strips_differ: tuple[Spread, Spread] | None = Field(
        default=None,
        description="Standard deviation of L* between quarter-inch strips, along up and across.",
    )


class ColourPart(Part):
    """One colour."""

    hex: Hex = Field(description="sRGB for show.")
    lab: Row = Field(description="CIE L*a*b*, D65, 2 degree observer.")
    name: Words = Field(description="Everyday name, ISCC-NBS level 2.")
    value: Literal["light", "medium", "dark"] = Field(description="The craft's value.")


class BandPart(Part):
    """One band, measured square to its threads."""

    id: BandId
    start_mm: Number = Field(description="From the start of the repeat, or of what is seen.")
    width_mm: Length
    width_std_mm: Spread = Field(
        description="Standard uncertainty, the part shared by the photo included."
    )
    width_edge_std_mm: Spread = Field(description="Standard uncertainty of the edges alone.")
    partial: bool = Field(description="Whether the picture or the cloth ends inside it.")
    yarn: ColourPart = Field(description="The yarn's own colour.")
    reads: ColourPart = Field(description="How a strip reads, crossed by the other system.")
    by_hand: list[ByHand] = Field(
        default=[], description="What of it a correction has set, after it was measured or typed."
    )


class StripePart(Part):
    """A band, or neighbours, that the eye picks out."""

    bands: Annotated[list[BandId], Field(min_length=1)]
    bold: Share = Field(description="How strongly it stands out.")


class SystemPart(Part):
    """The bands of one thread direction."""

    angle_px_deg: Annotated[float, Field(ge=0, lt=180)] | None = Field(
        description="Direction of the threads near the picture's centre, y down."
    )
    repeat_mm: Length | None = Field(description="Null where no repeat was seen.")
    repeat_std_mm: Spread | None
    mirrored: bool = Field(description="Whether the repeat is its own mirror image.")
    origin_mm: Number = Field(
        description="Where the first repeat starts, from the leftmost (topmost) thread seen."
    )
    bands: Annotated[list[BandPart], Field(min_length=1)] = Field(
        description="One repeat in order, or all that is seen."
    )
    stripes: list[StripePart] = Field(description="The bold stripes, the boldest first.")
    edges_px: list[list[Point]] = Field(description="Every band edge seen, a polyline each.")
    edge_bands: list[tuple[BandId | None, BandId | None]] = Field(
        default=[], description="For each edge the bands before and after it."
    )

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        ids = [band.id for band in self.bands]
        if len(set(ids)) < len(ids):
            msg = f"bands: two of them have the same id ({', '.join(ids)})"
            raise ValueError(msg)
        named = {band_id for stripe in self.stripes for band_id in stripe.bands} | {
            band_id for pair in self.edge_bands for band_id in pair if band_id is not None
        }
        if strangers := sorted(named - set(ids)):
            msg = f"stripes or edge_bands: there is no band {strangers[0]}"
            raise ValueError(msg)
        if self.edge_bands and len(self.edge_bands) != len(self.edges_px):
            msg = f"edge_bands: {len(self.edge_bands)} of them for {len(self.edges_px)} edges"
            raise ValueError(msg)
        total_mm = sum(band.width_mm for band in self.bands)
        if (
            self.repeat_mm is not None
            and abs(total_mm - self.repeat_mm) > REPEAT_TOLERANCE * self.repeat_mm
        ):
            msg = f"bands: their widths add up to {total_mm:.2f} mm, not to the repeat's"
            raise ValueError(f"{msg} {self.repeat_mm:.2f} mm")
        return self


class WarningPart(Part):
    """Something doubtful about the result."""

    code: Words
    message: Words


class CorrectedPart(Part):
    """What was put right by hand, and what it was before."""

    corrections: Annotated[list[CorrectionPart], Field(min_length=1)] = Field(
        description="In order; as in plaidcut-corrections."
    )
    kind: Kind = Field(description="The kind of cloth as it was measured, and so on.")
    kind_confidence: Share
    up: SystemPart
    across: SystemPart
    warnings: list[WarningPart]


class CheckPart(Part):
    """One width taken by ruler, held against the measured one."""

    band: BandId
    ruler_mm: Length
    difference_mm: Number = Field(description="How much wider it was measured.")
    std_mm: Spread = Field(description="Standard uncertainty of the difference.")
    agrees: bool = Field(description="Whether chance explains the difference.")


class MeasurementDocument(Part):
    """A measured cloth. Lengths in mm, pixels of the upright photo, centres whole numbers."""

    document: Literal["plaidcut-measurement"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    photo: PhotoPart | None = Field(description="Null for widths typed by hand.")
    scale: ScalePart
    cloth: ClothPart
    up: SystemPart = Field(description="Threads nearer to vertical; bands U1, U2 ...")
    across: SystemPart = Field(description="The other threads; bands X1, X2 ...")
    warp: Direction | None = Field(description="Which system is the warp, if it is known.")
    warnings: list[WarningPart]
    check: CheckPart | None = Field(default=None, description="Where one was asked for.")
    corrected: CorrectedPart | None = Field(
        default=None,
        description="Where bands were corrected by hand; all else holds the corrected ones.",
    )

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        if (self.photo is None) != (self.scale.plane_to_px is None):
            msg = "photo: a scale in pixels and a photo go together"
            raise ValueError(msg)
        parts = [(Direction.UP, self.up), (Direction.ACROSS, self.across)]
        if self.corrected is not None:
            parts += [(Direction.UP, self.corrected.up), (Direction.ACROSS, self.corrected.across)]
        for direction, part in parts:
            if any(band.id[0] != direction.letter for band in part.bands):
                msg = f"{direction.value}.bands: their ids start with {direction.letter}"
                raise ValueError(msg)
        return self
