"""The ``plaidcut-measurement`` document: a measured cloth without its pixels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

import plaidcut
from plaidcut.documents.text import JsonObject, validated
from plaidcut.errors import Caution
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.measurement import (
    Band,
    ClothRecord,
    Direction,
    Kind,
    LeftOut,
    Measurement,
    PhotoRecord,
    Stripe,
    ThreadSystem,
    Washed,
)
from plaidcut.stripes.ruler_check import RulerCheck

NAME: Final = "plaidcut-measurement"
VERSION: Final = 1
"""Versions only add fields; a reader leaves out what it doesn't know."""

REPEAT_TOLERANCE: Final = 0.005
"""Share by which the widths of a repeat may differ from it, for documents edited by hand."""

Point = tuple[float, float]
Row = tuple[float, float, float]
Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Share = Annotated[float, Field(ge=0, le=1)]
BandId = Annotated[str, StringConstraints(pattern=r"^[UX][1-9]\d*$")]


class Part(BaseModel):
    """What all parts of documents have in common."""

    model_config = ConfigDict(frozen=True, allow_inf_nan=False, strict=True, extra="ignore")


class MadeBy(Part):
    """What made the document."""

    version: str = Field(description="Version of plaidcut.")
    settings: dict[str, object] = Field(default={}, description="Settings other than usual.")


class PhotoPart(Part):
    """Which photo was measured."""

    name: str = Field(description="File name, without the folder.")
    width_px: Annotated[int, Field(gt=0)] = Field(description="Width of the upright photo.")
    height_px: Annotated[int, Field(gt=0)] = Field(description="Height of the upright photo.")
    sha256: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")] = Field(
        description="Of the file's bytes."
    )


class LensPart(Part):
    """Radial distortion: ``distorted = c + norm·d·(1 + k1·|d|²)``, ``d = (ideal - c)/norm``."""

    k1: float = Field(description="Radial coefficient; negative is barrel.")
    center_px: Point = Field(description="Centre c of the distortion.")
    norm_px: Positive = Field(description="Radius at which |d| is 1.")


class ScalePart(Part):
    """Pixels and millimetres on the cloth's plane; only the method for widths typed by hand."""

    method: Method = Field(description="What the scale was taken from.")
    px_per_mm: Positive | None = Field(
        description="Square root of the local area scale at the picture's centre."
    )
    relative_std: NotNegative | None = Field(
        description="Relative standard uncertainty that all lengths share."
    )
    tilt_deg: float | None = Field(
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

    code: str = Field(description="Why: card, not-cloth, hole, glare, blurred ...")
    outline_px: list[Point]


class ClothPart(Part):
    """The cloth as it lies."""

    kind: Kind
    kind_confidence: Share
    outline_px: list[Point] = Field(description="Polygon round the cloth that was measured.")
    skew_deg: float | None = Field(
        description="How far from square the threads cross; positive: across runs downhill."
    )
    bow: float | None = Field(
        description="How far the across threads bend, as a share of their length."
    )
    sharpness_mm: float | None = Field(
        description="Standard deviation of the blur at an edge, on the cloth."
    )
    washed: Washed = Field(description="Whether it was washed before it was measured.")
    left_out: list[LeftOutPart] = Field(default=[], description="Regions not measured.")


class ColourPart(Part):
    """One colour."""

    hex: Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")] = Field(
        description="sRGB for show."
    )
    lab: Row = Field(description="CIE L*a*b*, D65, 2 degree observer.")
    name: str = Field(description="Everyday name, ISCC-NBS level 2.")
    value: Literal["light", "medium", "dark"] = Field(description="The craft's value.")


class BandPart(Part):
    """One band, measured square to its threads."""

    id: BandId
    start_mm: float = Field(description="From the start of the repeat, or of what is seen.")
    width_mm: Positive
    width_std_mm: NotNegative = Field(
        description="Standard uncertainty, the part shared by the photo included."
    )
    width_edge_std_mm: NotNegative = Field(description="Standard uncertainty of the edges alone.")
    partial: bool = Field(description="Whether the picture or the cloth ends inside it.")
    yarn: ColourPart = Field(description="The yarn's own colour.")
    reads: ColourPart = Field(description="How a strip reads, crossed by the other system.")


class StripePart(Part):
    """A band, or neighbours, that the eye picks out."""

    bands: Annotated[list[BandId], Field(min_length=1)]
    bold: Share = Field(description="How strongly it stands out.")


class SystemPart(Part):
    """The bands of one thread direction."""

    angle_px_deg: Annotated[float, Field(ge=0, lt=180)] | None = Field(
        description="Direction of the threads near the picture's centre, y down."
    )
    repeat_mm: Positive | None = Field(description="Null where no repeat was seen.")
    repeat_std_mm: NotNegative | None
    mirrored: bool = Field(description="Whether the repeat is its own mirror image.")
    origin_mm: float = Field(
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

    code: str
    message: str


class CheckPart(Part):
    """One width taken by ruler, held against the measured one."""

    band: BandId
    ruler_mm: Positive
    difference_mm: float = Field(description="How much wider it was measured.")
    std_mm: NotNegative = Field(description="Standard uncertainty of the difference.")
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

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        if (self.photo is None) != (self.scale.plane_to_px is None):
            msg = "photo: a scale in pixels and a photo go together"
            raise ValueError(msg)
        for direction, part in ((Direction.UP, self.up), (Direction.ACROSS, self.across)):
            if any(band.id[0] != direction.letter for band in part.bands):
                msg = f"{direction.value}.bands: their ids start with {direction.letter}"
                raise ValueError(msg)
        return self


def to_document(
    measurement: Measurement,
    *,
    settings: Mapping[str, object] | None = None,
    check: RulerCheck | None = None,
) -> JsonObject:
    """The document of a measurement.

    Parameters
    ----------
    measurement
        The cloth.
    settings
        What was set otherwise than usual when it was made.
    check
        A width taken by ruler, where one was held against it.
    """
    photo = measurement.photo
    model = MeasurementDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        photo=None
        if photo is None
        else PhotoPart(
            name=photo.name,
            width_px=photo.width_px,
            height_px=photo.height_px,
            sha256=photo.sha256,
        ),
        scale=_scale_part(measurement.scale),
        cloth=_cloth_part(measurement.cloth),
        up=_system_part(measurement.up),
        across=_system_part(measurement.across),
        warp=measurement.warp,
        warnings=[
            WarningPart(code=caution.code, message=caution.message)
            for caution in measurement.cautions
        ],
        check=None
        if check is None
        else CheckPart(
            band=check.band.id,
            ruler_mm=check.ruler_mm,
            difference_mm=check.difference_mm,
            std_mm=check.std_mm,
            agrees=check.agrees,
        ),
    )
    return model.model_dump(mode="json")


def from_document(document: Mapping[str, object]) -> Measurement:
    """The measurement of a document; what only the measuring needs (anchors, white) is gone.

    Raises
    ------
    FileTrouble
        If it is no such document, or a field is missing or wrong.
    """
    model = validated(MeasurementDocument, NAME, document)
    photo = None if model.photo is None else PhotoRecord(**model.photo.model_dump())
    return Measurement(
        photo=photo,
        scale=None if photo is None else _scale_of(model.scale, photo),
        cloth=_cloth_of(model.cloth),
        up=_system_of(model.up, Direction.UP),
        across=_system_of(model.across, Direction.ACROSS),
        warp=model.warp,
        cautions=tuple(Caution(each.code, each.message) for each in model.warnings),
    )


def _scale_part(scale: Scale | None) -> ScalePart:
    if scale is None:
        return ScalePart(
            method=Method.HAND,
            px_per_mm=None,
            relative_std=None,
            tilt_deg=None,
            plane_to_px=None,
            lens=None,
        )
    first, second, third = (_row(row) for row in scale.plane_to_px)
    return ScalePart(
        method=scale.method,
        px_per_mm=scale.px_per_mm,
        relative_std=scale.relative_std,
        tilt_deg=scale.tilt_deg,
        plane_to_px=(first, second, third),
        lens=LensPart(k1=scale.lens.k1, center_px=scale.lens.center_px, norm_px=scale.lens.norm_px),
        mark_px=None if scale.mark_px is None else _points(scale.mark_px),
    )


def _scale_of(part: ScalePart, photo: PhotoRecord) -> Scale:
    lens, plane_to_px, relative_std = part.lens, part.plane_to_px, part.relative_std
    if lens is None or plane_to_px is None or relative_std is None:
        raise AssertionError  # the model has refused it before
    return Scale(
        method=part.method,
        size_px=(photo.width_px, photo.height_px),
        plane_to_px=np.array(plane_to_px, float),
        lens=Lens(k1=lens.k1, center_px=lens.center_px, norm_px=lens.norm_px),
        relative_std=relative_std,
        tilt_deg=part.tilt_deg,
        mark_px=None if part.mark_px is None else _array(part.mark_px),
    )


def _cloth_part(cloth: ClothRecord) -> ClothPart:
    return ClothPart(
        kind=cloth.kind,
        kind_confidence=cloth.kind_confidence,
        outline_px=_points(cloth.outline_px),
        skew_deg=cloth.skew_deg,
        bow=cloth.bow,
        sharpness_mm=cloth.sharpness_mm,
        washed=cloth.washed,
        left_out=[
            LeftOutPart(code=each.code, outline_px=_points(each.outline_px))
            for each in cloth.left_out
        ],
    )


def _cloth_of(part: ClothPart) -> ClothRecord:
    return ClothRecord(
        kind=part.kind,
        kind_confidence=part.kind_confidence,
        outline_px=_array(part.outline_px),
        skew_deg=part.skew_deg,
        bow=part.bow,
        sharpness_mm=part.sharpness_mm,
        washed=part.washed,
        left_out=tuple(
            LeftOut(code=each.code, outline_px=_array(each.outline_px)) for each in part.left_out
        ),
    )


def _system_part(system: ThreadSystem) -> SystemPart:
    return SystemPart(
        angle_px_deg=system.angle_px_deg,
        repeat_mm=system.repeat_mm,
        repeat_std_mm=system.repeat_std_mm,
        mirrored=system.mirrored,
        origin_mm=system.origin_mm,
        bands=[
            BandPart(
                id=band.id,
                start_mm=band.start_mm,
                width_mm=band.width_mm,
                width_std_mm=band.width_std_mm,
                width_edge_std_mm=band.width_edge_std_mm,
                partial=band.partial,
                yarn=_colour_part(band.yarn),
                reads=_colour_part(band.reads),
            )
            for band in system.bands
        ],
        stripes=[StripePart(bands=list(each.bands), bold=each.bold) for each in system.stripes],
        edges_px=[_points(edge) for edge in system.edges_px],
        edge_bands=list(system.edge_bands),
    )


def _system_of(part: SystemPart, direction: Direction) -> ThreadSystem:
    return ThreadSystem(
        direction=direction,
        angle_px_deg=part.angle_px_deg,
        repeat_mm=part.repeat_mm,
        repeat_std_mm=part.repeat_std_mm,
        mirrored=part.mirrored,
        origin_mm=part.origin_mm,
        bands=tuple(
            Band(
                id=band.id,
                start_mm=band.start_mm,
                width_mm=band.width_mm,
                width_edge_std_mm=band.width_edge_std_mm,
                width_std_mm=band.width_std_mm,
                partial=band.partial,
                yarn=_colour_of(band.yarn),
                reads=_colour_of(band.reads),
            )
            for band in part.bands
        ),
        stripes=tuple(Stripe(bands=tuple(each.bands), bold=each.bold) for each in part.stripes),
        edges_px=tuple(_array(edge) for edge in part.edges_px),
        edge_bands=tuple(part.edge_bands),
    )


def _colour_part(colour: Colour) -> ColourPart:
    return ColourPart.model_validate(
        {"hex": colour.hex, "lab": colour.lab, "name": colour.name, "value": colour.value}
    )


def _colour_of(part: ColourPart) -> Colour:
    return Colour(lab=part.lab, hex=part.hex, name=part.name, value=part.value)


def _row(row: NDArray[np.float64]) -> Row:
    first, second, third = row.tolist()
    return (first, second, third)


def _points(points: NDArray[np.float64]) -> list[Point]:
    return [(x, y) for x, y in points.tolist()]


def _array(points: list[Point]) -> NDArray[np.float64]:
    """Points (N, 2), read-only."""
    array = np.array(points, float).reshape(-1, 2)
    array.flags.writeable = False
    return array
