"""The threads of a cloth, between its record and its document."""

from __future__ import annotations

from plaidcut.documents.measurement_model import ColumnsPart, PitchPart, WeavePart
from plaidcut.stripes.measurement import ColumnsRecord, ThreadPitch, WeaveRecord


def weave_part(weave: WeaveRecord) -> WeavePart:
    """The threads as documents hold them."""
    columns = weave.columns
    return WeavePart(
        structure=weave.structure,
        twill=weave.twill,
        up=_pitch_part(weave.up),
        across=_pitch_part(weave.across),
        columns=None
        if columns is None
        else ColumnsPart(along=columns.along, width_mm=columns.width_mm, std_mm=columns.std_mm),
        check_threads=weave.check_threads,
    )


def weave_of(part: WeavePart) -> WeaveRecord:
    """The threads that a document tells of."""
    columns = part.columns
    return WeaveRecord(
        structure=part.structure,
        twill=part.twill,
        up=_pitch_of(part.up),
        across=_pitch_of(part.across),
        columns=None
        if columns is None
        else ColumnsRecord(along=columns.along, width_mm=columns.width_mm, std_mm=columns.std_mm),
        check_threads=part.check_threads,
    )


def _pitch_part(pitch: ThreadPitch | None) -> PitchPart | None:
    return None if pitch is None else PitchPart(mm=pitch.mm, std_mm=pitch.std_mm)


def _pitch_of(part: PitchPart | None) -> ThreadPitch | None:
    return None if part is None else ThreadPitch(mm=part.mm, std_mm=part.std_mm)
