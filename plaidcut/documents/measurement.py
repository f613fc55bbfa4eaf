"""The ``plaidcut-measurement`` document: a measured cloth without its pixels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from hashlib import sha256
from typing import Final

import numpy as np
from numpy.typing import NDArray

import plaidcut
from plaidcut.documents.corrections import correction_of, correction_part
from plaidcut.documents.measurement_model import (
    BandPart,
    CheckPart,
    ClothPart,
    ColourPart,
    CorrectedPart,
    LeftOutPart,
    LensPart,
    MeasurementDocument,
    PhotoPart,
    ScalePart,
    StripePart,
    SystemPart,
    ValuesPart,
    WarningPart,
)
from plaidcut.documents.parts import MOST, MadeBy, Point, Row
from plaidcut.documents.text import JsonObject, to_text, validated
from plaidcut.documents.weave import weave_of, weave_part
from plaidcut.errors import Caution, FileTrouble
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.colour import Colour
from plaidcut.stripes.measurement import (
    Band,
    ClothRecord,
    Direction,
    LeftOut,
    Measurement,
    PhotoRecord,
    Stripe,
    ThreadSystem,
    ValueShares,
)
from plaidcut.stripes.ruler_check import RulerCheck

NAME: Final = "plaidcut-measurement"
VERSION: Final = 1
_LATER: Final = ("word", "weave", "values", "strips_differ")
"""Versions only add fields; a reader leaves out what it doesn't know."""


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
        scale=scale_part(measurement.scale),
        cloth=_cloth_part(measurement.cloth),
        up=_system_part(measurement.up),
        across=_system_part(measurement.across),
        warp=measurement.warp,
        warnings=_warning_parts(measurement.cautions),
        check=None
        if check is None
        else CheckPart(
            band=check.band.id,
            ruler_mm=check.ruler_mm,
            difference_mm=check.difference_mm,
            std_mm=check.std_mm,
            agrees=check.agrees,
        ),
        corrected=_corrected_part(measurement),
    )
    return model.model_dump(mode="json")


def hash_of(measurement: Measurement) -> str:
    """SHA-256 of a measurement's document, by which others refer to it, in hex.

    Who made it and when a width was checked don't count: ``made_by`` and ``check`` are left out.
    """
    document = to_document(measurement)
    held = {name: part for name, part in document.items() if name not in ("made_by", "check")}
    cloth = document["cloth"]
    if isinstance(cloth, dict):  # what earlier versions don't tell leaves their hash as it was
        held["cloth"] = {k: v for k, v in cloth.items() if k not in _LATER or v is not None}
    return sha256(to_text(held).encode()).hexdigest()


def from_document(document: Mapping[str, object]) -> Measurement:
    """The measurement of a document; what only the measuring needs (anchors, white) is gone.

    Raises
    ------
    FileTrouble
        If it is no such document, or a field is missing or wrong.
    """
    model = validated(MeasurementDocument, NAME, document)
    photo = None if model.photo is None else PhotoRecord(**model.photo.model_dump())
    measurement = Measurement(
        photo=photo,
        scale=None if photo is None else _scale_of(model.scale, photo),
        cloth=_cloth_of(model.cloth),
        up=_system_of(model.up, Direction.UP),
        across=_system_of(model.across, Direction.ACROSS),
        warp=model.warp,
        cautions=_cautions_of(model.warnings),
    )
    return measurement if model.corrected is None else _corrected(measurement, model.corrected)


def _corrected_part(measurement: Measurement) -> CorrectedPart | None:
    """What was put right in a measurement, and what it was before."""
    measured = measurement.measured
    if measured is None:
        return None
    return CorrectedPart(
        corrections=[correction_part(each) for each in measurement.corrections],
        kind=measured.cloth.kind,
        kind_confidence=measured.cloth.kind_confidence,
        up=_system_part(measured.up),
        across=_system_part(measured.across),
        warnings=_warning_parts(measured.cautions),
    )


def _corrected(measurement: Measurement, part: CorrectedPart) -> Measurement:
    """A corrected measurement, with what it was before."""
    measured = replace(
        measurement,
        cloth=replace(measurement.cloth, kind=part.kind, kind_confidence=part.kind_confidence),
        up=_system_of(part.up, Direction.UP),
        across=_system_of(part.across, Direction.ACROSS),
        cautions=_cautions_of(part.warnings),
    )
    corrections = tuple(correction_of(each) for each in part.corrections)
    return replace(measurement, corrections=corrections, measured=measured)


def _warning_parts(cautions: Sequence[Caution]) -> list[WarningPart]:
    return [WarningPart(code=caution.code, message=caution.message) for caution in cautions]


def _cautions_of(parts: Sequence[WarningPart]) -> tuple[Caution, ...]:
    return tuple(Caution(each.code, each.message) for each in parts)


def scale_part(scale: Scale | None) -> ScalePart:
    """How a scale is written; of widths typed by hand the method alone."""
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
    scale = Scale(
        method=part.method,
        size_px=(photo.width_px, photo.height_px),
        plane_to_px=np.array(plane_to_px, float),
        lens=Lens(k1=lens.k1, center_px=lens.center_px, norm_px=lens.norm_px),
        relative_std=relative_std,
        tilt_deg=part.tilt_deg,
        mark_px=None if part.mark_px is None else _array(part.mark_px),
    )
    with np.errstate(all="ignore"):
        is_scale = 0 < scale.px_per_mm < MOST
    if not is_scale:
        msg = f"The {NAME} document is wrong at scale: it has no size at the photo's centre."
        raise FileTrouble(msg)
    return scale


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
        word=cloth.word,
        weave=None if cloth.weave is None else weave_part(cloth.weave),
        values=None
        if cloth.values is None
        else ValuesPart(
            light=cloth.values.light, medium=cloth.values.medium, dark=cloth.values.dark
        ),
        strips_differ=cloth.strips_differ,
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
        word=part.word,
        weave=None if part.weave is None else weave_of(part.weave),
        values=None
        if part.values is None
        else ValueShares(light=part.values.light, medium=part.values.medium, dark=part.values.dark),
        strips_differ=part.strips_differ,
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
                yarn=colour_part(band.yarn),
                reads=colour_part(band.reads),
                by_hand=list(band.by_hand),
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
                by_hand=tuple(band.by_hand),
            )
            for band in part.bands
        ),
        stripes=tuple(Stripe(bands=tuple(each.bands), bold=each.bold) for each in part.stripes),
        edges_px=tuple(_array(edge) for edge in part.edges_px),
        edge_bands=tuple(part.edge_bands),
    )


def colour_part(colour: Colour) -> ColourPart:
    """A colour as documents hold it."""
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
