"""Putting bands right by hand: rename, merge, split, a width, a colour, the repeat's start."""

from __future__ import annotations

from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.errors import UsageError
from plaidcut.page.desk import cloth_of, desk_of, go_to
from plaidcut.page.opened import put_right, take_back
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
from plaidcut.stripes.runs import parse_run
from plaidcut.units import parse_length


async def correct(request: Request) -> Response:
    """Make one correction."""
    found = cloth_of(request)
    form = await request.form(max_files=0, max_fields=20, max_part_size=10_000)
    typed = {name: text for name, text in form.items() if isinstance(text, str)}
    measurement = await run_in_threadpool(desk_of(request).opener.measurement, found)
    await run_in_threadpool(put_right, found, measurement, [correction_of(typed, measurement)])
    return go_to(f"/cloths/{found.id}#bands")


async def undo(request: Request) -> Response:
    """Take the last correction back."""
    found = cloth_of(request)
    measurement = await run_in_threadpool(desk_of(request).opener.measurement, found)
    await run_in_threadpool(take_back, found, measurement)
    return go_to(f"/cloths/{found.id}#bands")


def correction_of(typed: dict[str, str], measurement: Measurement) -> Correction:
    """The correction that a form asks for.

    Raises
    ------
    UsageError, BadLength
        If a field is missing or can't be read.
    """
    bands = parse_run(typed.get("bands", ""), measurement)
    value, alone = typed.get("value", "").strip(), "alone" in typed
    kind = typed.get("kind", "")
    if kind == "merge":
        return Merge(bands=bands, alone=alone)
    if len(bands) > 1:
        msg = "That is done to one band at a time."
        raise UsageError(msg, hint="Choose one band; only merging takes several.")
    if not value and kind != "start":
        msg = "Nothing was typed."
        raise UsageError(msg, hint="Type the new name, width or place, then try again.")
    (band,) = bands
    match kind:
        case "rename":
            return Rename(band=band, name=value, alone=alone)
        case "width":
            return SetWidth(band=band, width_mm=parse_length(value), alone=alone)
        case "split":
            at_mm = tuple(parse_length(each) for each in value.split(",") if each.strip())
            return Split(band=band, at_mm=at_mm, alone=alone)
        case "colour":
            return SetColour(band=band, hex=value, alone=alone)
        case "start":
            return MoveStart(band=band)
    msg = f'There is no correction called "{kind}".'
    raise UsageError(msg, hint="Choose one of those that the page shows.")


ROUTES: Final = [
    Route("/cloths/{cloth}/corrections", correct, methods=["POST"]),
    Route("/cloths/{cloth}/corrections/undo", undo, methods=["POST"]),
]
