"""The ``plaidcut-corrections`` document: what somebody puts right in a measurement."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, assert_never

import plaidcut
from plaidcut.documents.corrections_model import (
    ColourPart,
    CorrectionPart,
    CorrectionsDocument,
    MergePart,
    RenamePart,
    SplitPart,
    StartPart,
    WidthPart,
)
from plaidcut.documents.parts import MadeBy
from plaidcut.documents.text import JsonObject, place_in, validated
from plaidcut.errors import FileTrouble, UsageError
from plaidcut.stripes.correct import as_measured, corrected
from plaidcut.stripes.corrections import (
    Correction,
    Merge,
    MoveStart,
    Rename,
    SetColour,
    SetWidth,
    Split,
)
from plaidcut.stripes.measurement import Measurement

NAME: Final = "plaidcut-corrections"
VERSION: Final = 1

_HINT: Final = "docs/reference/corrections.md says what a correction may hold."


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrections:
    """Corrections, and what they are for."""

    corrections: tuple[Correction, ...]
    photo_sha256: str | None = None
    """The photo whose measurement they put right; None for any measurement."""

    def made_in(self, measurement: Measurement) -> Measurement:
        """What was measured with these corrections, and without those it had before.

        Raises
        ------
        FileTrouble
            If they are of another photo, or one of them can't be made.
        """
        photo = measurement.photo
        if self.photo_sha256 is not None and (photo is None or photo.sha256 != self.photo_sha256):
            what = "widths typed by hand" if photo is None else photo.name
            raise FileTrouble(
                f"These corrections are not of {what}: their photo_sha256 is another photo's.",
                hint="Give the photo that they were made for, or its measurement.",
            )
        try:
            return corrected(as_measured(measurement), self.corrections)
        except UsageError as error:
            raise FileTrouble(error.message, hint=error.hint) from error


def to_document(corrections: Sequence[Correction], measurement: Measurement) -> JsonObject:
    """The document of corrections, bound to the photo of the measurement that they are for."""
    photo = measurement.photo
    model = CorrectionsDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__),
        photo_sha256=None if photo is None else photo.sha256,
        corrections=[correction_part(each) for each in corrections],
    )
    return model.model_dump(mode="json")


def from_document(document: Mapping[str, object]) -> Corrections:
    """The corrections of a document.

    Raises
    ------
    FileTrouble
        If it is no such document, or a correction is wrong: its number is told, from 1.
    """
    try:
        model = validated(CorrectionsDocument, NAME, document, place=_place)
    except FileTrouble as error:
        raise FileTrouble(error.message, hint=_HINT) from error
    return Corrections(
        corrections=tuple(correction_of(part) for part in model.corrections),
        photo_sha256=model.photo_sha256,
    )


def correction_part(correction: Correction) -> CorrectionPart:
    """A correction as documents hold it."""
    match correction:
        case Rename(band=band, name=name, alone=alone):
            return RenamePart(kind="rename", band=band, name=name, alone=alone)
        case Merge(bands=bands, alone=alone):
            return MergePart(kind="merge", bands=list(bands), alone=alone)
        case Split(band=band, at_mm=at_mm, hexes=hexes, alone=alone):
            return SplitPart(
                kind="split", band=band, at_mm=list(at_mm), hex=list(hexes), alone=alone
            )
        case SetWidth(band=band, width_mm=width_mm, alone=alone):
            return WidthPart(kind="width", band=band, width_mm=width_mm, alone=alone)
        case SetColour(band=band, hex=text, reads_hex=reads_hex, alone=alone):
            return ColourPart(kind="colour", band=band, hex=text, reads_hex=reads_hex, alone=alone)
        case MoveStart(band=band):
            return StartPart(kind="start", band=band)
        case _:
            assert_never(correction)


def correction_of(part: CorrectionPart) -> Correction:
    """The correction that a document's part holds."""
    match part:
        case RenamePart():
            return Rename(band=part.band, name=part.name, alone=part.alone)
        case MergePart():
            return Merge(bands=tuple(part.bands), alone=part.alone)
        case SplitPart():
            return Split(
                band=part.band, at_mm=tuple(part.at_mm), hexes=tuple(part.hex), alone=part.alone
            )
        case WidthPart():
            return SetWidth(band=part.band, width_mm=part.width_mm, alone=part.alone)
        case ColourPart():
            return SetColour(
                band=part.band, hex=part.hex, reads_hex=part.reads_hex, alone=part.alone
            )
        case StartPart():
            return MoveStart(band=part.band)
        case _:
            assert_never(part)


def _place(where: Sequence[int | str]) -> str:
    """Where something is wrong; corrections are counted from 1, as people do."""
    if len(where) > 1 and where[0] == "corrections" and isinstance(where[1], int):
        number, kind = where[1] + 1, " ".join(str(part) for part in where[2:3])
        inside = f", {place_in(where[3:])}" if where[3:] else ""
        return f"correction {number}{f' ({kind})' if kind else ''}{inside}"
    return place_in(where)
