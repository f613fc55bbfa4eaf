"""From options on cuts, plans and garments, as they were typed, to what the tasks take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from plaidcut.cli.asked import scale_way
from plaidcut.cli.busy import busy
from plaidcut.cli.options import PrintedOptions, ScaleOptions
from plaidcut.cli.plan_options import (
    HandlingOptions,
    OneCutOptions,
    PieceOptions,
    WishOptions,
)
from plaidcut.cutting.both_ways import AS_SEEN, Plan, WhatToPlan
from plaidcut.cutting.cuts import Cut, Numbering, cut_table, parse_cut
from plaidcut.cutting.garment import Garment
from plaidcut.cutting.garment_file import parse_garment, parse_piece
from plaidcut.cutting.measured_cut import MeasuredCut
from plaidcut.cutting.own_cuts import parse_photo
from plaidcut.cutting.plan import Planning
from plaidcut.cutting.shapes import piece_of_photo
from plaidcut.documents.text import from_text
from plaidcut.errors import UsageError
from plaidcut.files import read_text
from plaidcut.photo import load_photo
from plaidcut.settings import Settings
from plaidcut.stripes.measurement import Measurement
from plaidcut.tasks import measure_cut
from plaidcut.units import parse_length, parse_size


def cuts_of(
    typed: Sequence[str] | None, settings: Settings
) -> tuple[tuple[Cut, ...], tuple[Cut, ...]]:
    """Her own cuts, and all that the answer is given for: those of the table and her own."""
    own = tuple(parse_cut(text, settings.cuts) for text in typed or ())
    if not own and settings.cut is not None:
        own = (settings.cut,)
    own = tuple(dict.fromkeys(own))
    return own, tuple(dict.fromkeys((*settings.cuts.cuts, *own)))


def cut_of(typed: str | None, settings: Settings) -> Cut:
    """Her one cut: as typed, or that of her settings, or the most used."""
    return settings.own_cut if typed is None else parse_cut(typed, settings.cuts)


def measured_cuts(
    typed: Sequence[str],
    numbering: Numbering | None,
    settings: Settings,
    scale: ScaleOptions,
    printed: PrintedOptions,
) -> list[MeasuredCut]:
    """What her cutter cuts, by photos of its strips: ``8 = strips.jpg``.

    Raises
    ------
    PlaidcutError
        If one can't be read or measured, or a scale is given without a photo.
    """
    if not typed:
        if (scale, printed) != (ScaleOptions(), PrintedOptions()):
            msg = "The scale belongs to a photo of strips, and none is given."
            raise UsageError(msg, hint='Say which: --photo "8 = strips.jpg".')
        return []
    way, table = scale_way(scale, printed), cut_table(numbering or settings.cuts.numbering)
    found = []
    for name, file in (parse_photo(text) for text in typed):
        with busy(f"Measuring {file} ..."):
            photo = load_photo(file, max_megapixels=settings.max_megapixels)
            found.append(measure_cut(photo, name, table, scale=way))
    return found


def what_to_plan(
    own: OneCutOptions,
    piece: PieceOptions,
    wishes: WishOptions,
    handling: HandlingOptions,
    settings: Settings,
) -> WhatToPlan:
    """The piece, and what is wanted of it."""
    return WhatToPlan(
        cut=cut_of(own.cut, settings),
        table=settings.cuts,
        keep=tuple(wishes.keep or ()),
        only=tuple(wishes.only or ()),
        rest=wishes.rest,
        piece_mm=None if piece.piece is None else parse_size(piece.piece),
        at=tuple(piece.at or ()),
        planning=planning_of(wishes, handling, settings),
    )


def plan_again(path: Path | None, measurement: Measurement, settings: Settings) -> Plan:
    """The plan of a document, for the cloth that it is of.

    Raises
    ------
    UsageError
        If no document is named, or it is of another cloth.
    FileTrouble
        If it is no plan's document.
    """
    from plaidcut.documents import plan

    if path is None:
        msg = "--cloth belongs to a plan's document, and none is named."
        raise UsageError(msg, hint="Name it: plaidcut report plan.json --cloth skirt.json.")
    return plan.plan_again(from_text(read_text(path)), measurement, settings.cuts)


def cuts_beside(typed: Sequence[str] | None, settings: Settings) -> tuple[Cut, ...]:
    """The cuts that were typed; or her own, and those next to it in the table."""
    if typed:
        return tuple(dict.fromkeys(parse_cut(text, settings.cuts) for text in typed))
    return settings.cuts_beside(settings.own_cut)


def planning_of(wishes: WishOptions, handling: HandlingOptions, settings: Settings) -> Planning:
    """How plans are looked for."""
    return settings.planning(
        by_eye=handling.by_eye,
        wander=handling.wander,
        least_trim=handling.least_trim,
        least_tear=handling.least_tear,
        order=wishes.order,
    )


def section_of(first: str | None, last: str | None) -> str | None:
    """The part of the cloth to count in.

    Raises
    ------
    UsageError
        If one of its ends is missing.
    """
    if (first is None) != (last is None):
        msg = "A part of the cloth has two ends."
        raise UsageError(msg, hint="Give both: --from U3 --to U7.")
    return None if first is None else f"{first}-{last}"


def garment_of(
    path: Path | None,
    pieces: Sequence[str],
    measurement: Measurement,
    *,
    shortest: str | None,
    length: str | None,
) -> Garment:
    """The garment of a file, or of pieces that were typed; lengths that are typed go before.

    Raises
    ------
    UsageError
        If there is neither, or both.
    FileTrouble
        If the file is wrong.
    """
    if (path is None) == (not pieces):
        msg = "A garment is a file, or pieces that are typed."
        raise UsageError(msg, hint='Name one: skirt.toml, or --piece "5 of 20 x 14 in".')
    if path is not None:
        found = parse_garment(read_text(path), file_name=path.name)
    else:
        typed = [
            piece_of_photo(measurement) if text.strip().lower() == AS_SEEN else parse_piece(text)
            for text in pieces
        ]
        found = Garment(name="the pieces that were typed", pieces=tuple(typed))
    return replace(
        found,
        shortest_mm=found.shortest_mm if shortest is None else parse_length(shortest),
        liked_mm=found.liked_mm if length is None else parse_length(length),
    )
