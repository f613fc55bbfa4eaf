"""The documents of the shelf: a cloth, the list of cloths, what was added, found and mended."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final, Literal

from pydantic import Field, StringConstraints

import plaidcut
from plaidcut.documents.parts import BandId, MadeBy, NotNegative, Part, Positive
from plaidcut.documents.text import JsonObject, validated
from plaidcut.errors import FileTrouble, UsageError
from plaidcut.shelved import About, Cloth, Entry, Failed, Found, Pieces, Reserved, Taken, Weave
from plaidcut.shelved_typed import (
    LONGEST_NAME,
    LONGEST_NOTE,
    MOST_LISTED,
    checked_day,
    checked_name,
    checked_words,
)
from plaidcut.stripes.measurement import Kind

CLOTH: Final = "plaidcut-cloth"
SHELF: Final = "plaidcut-shelf"
ADDED: Final = "plaidcut-shelf-added"
FOUND: Final = "plaidcut-shelf-found"
CHECKED: Final = "plaidcut-shelf-checked"
VERSION: Final = 1

Name = Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_NAME)]
Words = Annotated[str, StringConstraints(max_length=LONGEST_NOTE)]
Day = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\d$")]
Count = Annotated[int, Field(ge=0, le=MOST_LISTED * 1000)]
Length = Annotated[float, Field(gt=0, le=1e6)]


class PiecesPart(Part):
    """Pieces of one size, lying as the cloth lay in its photo."""

    count: Annotated[int, Field(gt=0, le=MOST_LISTED)]
    width_mm: Length = Field(description="From side to side.")
    height_mm: Length


class TakenPart(Part):
    """What was cut from it."""

    on: Day
    what: Words
    how_much: Words


class ReservedPart(Part):
    """What of it is kept for a rug."""

    rug: Words
    strips: Count | None = Field(description="How many strips; null is all of it.")


class EntryPart(Part):
    """A cloth without its measurement."""

    name: Name
    source: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")] = Field(
        description="SHA-256 of its photo's file; of its measurement where there is no photo."
    )
    kind: Kind
    note: Words = ""
    place: Words = Field(default="", description="Where it lies.")
    fibre: Words = ""
    weave: Weave = Weave.UNKNOWN
    pieces: list[PiecesPart] = Field(default=[], max_length=MOST_LISTED)
    garments: Count | None = None
    weight_g: Annotated[float, Field(gt=0, le=1e7)] | None = None
    washed_on: Day | None = None
    overdyed_on: Day | None = None
    colours_hold: bool = Field(
        default=True, description="False since it was overdyed, until it is measured anew."
    )
    taken: list[TakenPart] = Field(default=[], max_length=MOST_LISTED)
    reserved: list[ReservedPart] = Field(default=[], max_length=MOST_LISTED)
    added_on: Day
    measured_on: Day


class ClothDocument(EntryPart):
    """One cloth of the shelf."""

    document: Literal["plaidcut-cloth"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    measurement: dict[str, object] | None = Field(
        default=None, description="Its plaidcut-measurement; in an archive a file of its own."
    )
    corrections: dict[str, object] | None = Field(
        default=None, description="Its plaidcut-corrections; in an archive a file of its own."
    )


class ShelfDocument(Part):
    """Cloths of the shelf, by name."""

    document: Literal["plaidcut-shelf"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    cloths: list[EntryPart]


class FailedPart(Part):
    """A photo that was not measured, as an error is told."""

    file: str
    code: str
    message: str
    hint: str


class AddedDocument(Part):
    """What came onto the shelf."""

    document: Literal["plaidcut-shelf-added"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    added: list[str] = Field(description="Names of the cloths.")
    there: list[str] = Field(description="Files or cloths that were on the shelf before.")
    failed: list[FailedPart]


class FoundBand(Part):
    """One band of the row that answers."""

    band: BandId
    width_mm: Positive
    reads: str = Field(description="How a strip reads, in words.")
    hex: Annotated[str, StringConstraints(pattern=r"^#[0-9a-f]{6}$")]
    fits: bool = Field(description="Whether it is what was asked for.")


class FoundPart(Part):
    """One answer."""

    name: str
    kind: str
    place: str
    fit: NotNegative = Field(description="0 fits best; 1 is a whole tolerance off.")
    difference: NotNegative | None = Field(description="CIEDE2000 of the best band.")
    strips: Count | None = Field(description="Strips at least, where they were asked for.")
    reserved: list[str] = Field(description="Rugs that something of it is kept for.")
    colours_hold: bool
    direction: Literal["up", "across"]
    bands: list[FoundBand]


class FoundDocument(Part):
    """Cloths that were asked for, the best first."""

    document: Literal["plaidcut-shelf-found"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    count: Count = Field(description="How many fit; the best of them are told.")
    amount_unknown: Count = Field(
        description="Cloths that fit but for which no pieces are known, so no strips counted."
    )
    cloths: list[FoundPart]


class CheckedDocument(Part):
    """What was looked at, mended, and left."""

    document: Literal["plaidcut-shelf-checked"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    cloths: Count
    mended: list[str]
    left: list[str] = Field(description="What could not be mended, and what to do.")


def cloth_document(cloth: Cloth, *, whole: bool) -> JsonObject:
    """The document of a cloth, with its measurement and corrections in it if it is whole."""
    model = ClothDocument(
        document="plaidcut-cloth",
        **_head(),
        **_entry_fields(cloth.entry),
        measurement=dict(cloth.document) if whole else None,
        corrections=dict(cloth.corrections) if whole and cloth.corrections else None,
    )
    return model.model_dump(mode="json")


def entry_of_document(document: Mapping[str, object]) -> Entry:
    """The line of a cloth's document.

    Raises
    ------
    FileTrouble
        If it is none, or a field is missing or wrong.
    """
    model = validated(ClothDocument, CLOTH, document)
    try:
        return Entry(
            name=checked_name(model.name),
            source=model.source,
            kind=model.kind.value,
            about=About(
                note=checked_words(model.note, what="note"),
                place=checked_words(model.place, what="place"),
                fibre=checked_words(model.fibre, what="fibre"),
                weave=model.weave,
                pieces=tuple(Pieces(**each.model_dump()) for each in model.pieces),
                garments=model.garments,
                weight_g=model.weight_g,
                washed_on=model.washed_on and checked_day(model.washed_on),
                overdyed_on=model.overdyed_on and checked_day(model.overdyed_on),
                taken=tuple(
                    Taken(
                        on=checked_day(each.on),
                        what=checked_words(each.what, what="list of what was cut"),
                        how_much=checked_words(each.how_much, what="list of what was cut"),
                    )
                    for each in model.taken
                ),
                reserved=tuple(
                    Reserved(rug=checked_words(each.rug, what="rug's name"), strips=each.strips)
                    for each in model.reserved
                ),
            ),
            added_on=checked_day(model.added_on),
            measured_on=checked_day(model.measured_on),
            colours_hold=model.colours_hold,
        )
    except UsageError as error:
        raise FileTrouble(error.message) from error


def shelf_document(entries: Sequence[Entry]) -> JsonObject:
    """The document of some cloths."""
    model = ShelfDocument(
        document="plaidcut-shelf",
        **_head(),
        cloths=[EntryPart(**_entry_fields(entry)) for entry in entries],
    )
    return model.model_dump(mode="json")


def added_document(
    added: Sequence[str], there: Sequence[str], failed: Sequence[Failed]
) -> JsonObject:
    """The document of what came onto the shelf, and what didn't."""
    model = AddedDocument(
        document="plaidcut-shelf-added",
        **_head(),
        added=list(added),
        there=list(there),
        failed=[
            FailedPart(file=each.file, code=each.code, message=each.message, hint=each.hint)
            for each in failed
        ],
    )
    return model.model_dump(mode="json")


def found_document(found: Found) -> JsonObject:
    """The document of an answer."""
    model = FoundDocument(
        document="plaidcut-shelf-found",
        **_head(),
        count=found.count,
        amount_unknown=found.amount_unknown,
        cloths=[
            FoundPart(
                name=each.entry.name,
                kind=each.entry.kind,
                place=each.entry.about.place,
                fit=each.fit,
                difference=each.difference,
                strips=each.strips,
                reserved=[kept.rug for kept in each.entry.about.reserved],
                colours_hold=each.entry.colours_hold,
                direction=each.direction.value,
                bands=[
                    FoundBand(
                        band=band.id,
                        width_mm=band.width_mm,
                        reads=band.reads,
                        hex=band.hex,
                        fits=band.fits,
                    )
                    for band in each.bands
                ],
            )
            for each in found.cloths
        ],
    )
    return model.model_dump(mode="json")


def checked_document(cloths: int, mended: Sequence[str], left: Sequence[str]) -> JsonObject:
    """The document of a check."""
    model = CheckedDocument(
        document="plaidcut-shelf-checked",
        **_head(),
        cloths=cloths,
        mended=list(mended),
        left=list(left),
    )
    return model.model_dump(mode="json")


def _head() -> dict[str, Any]:
    return {"version": VERSION, "made_by": MadeBy(version=plaidcut.__version__, settings={})}


def _entry_fields(entry: Entry) -> dict[str, Any]:
    about = entry.about
    return {
        "name": entry.name,
        "source": entry.source,
        "kind": Kind(entry.kind),
        "note": about.note,
        "place": about.place,
        "fibre": about.fibre,
        "weave": about.weave,
        "pieces": [
            PiecesPart(count=each.count, width_mm=each.width_mm, height_mm=each.height_mm)
            for each in about.pieces
        ],
        "garments": about.garments,
        "weight_g": about.weight_g,
        "washed_on": about.washed_on,
        "overdyed_on": about.overdyed_on,
        "colours_hold": entry.colours_hold,
        "taken": [
            TakenPart(on=each.on, what=each.what, how_much=each.how_much) for each in about.taken
        ],
        "reserved": [ReservedPart(rug=each.rug, strips=each.strips) for each in about.reserved],
        "added_on": entry.added_on,
        "measured_on": entry.measured_on,
    }
