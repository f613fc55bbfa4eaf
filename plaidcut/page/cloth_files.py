"""A cloth's files to take along: the documents that the commands write, and the marked photo."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Final, cast

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from plaidcut.documents import corrections as corrections_document
from plaidcut.documents import measurement as measurement_document
from plaidcut.documents import yields as yields_document
from plaidcut.documents.text import from_text, to_text
from plaidcut.errors import NeedsPhoto, NotFound
from plaidcut.files import read_text
from plaidcut.page import table
from plaidcut.page.asked import own_settings
from plaidcut.page.desk import cloth_of, desk_of, units_of
from plaidcut.page.downloads import plain_name
from plaidcut.page.opened import Shown, shown
from plaidcut.page.table import Cloth
from plaidcut.photo import Photo, load_photo
from plaidcut.reports.table_csv import csv_text
from plaidcut.settings import Settings
from plaidcut.shelf.pictures import photo_for
from plaidcut.stripes.measurement import Measurement
from plaidcut.units import Units

_ONE_AT_A_TIME: Final = Lock()
"""Photos are large: two of them needn't be in memory for two tabs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a file is made of."""

    cloth: Cloth
    measurement: Measurement
    settings: Settings
    units: Units

    @property
    def unusual(self) -> Mapping[str, object]:
        """What was set otherwise than usual when it was measured."""
        document = from_text(read_text(self.cloth.path(table.MEASURED)))
        made_by = cast(Mapping[str, Mapping[str, object]], document["made_by"])
        return made_by["settings"]

    def shown(self) -> Shown:
        """The strips, counted for what she chose."""
        chosen = self.cloth.read(table.CHOICES)
        return shown(self.measurement, chosen, settings=self.settings, units=self.units)


def _measured(wanted: Wanted) -> str:
    document = measurement_document.to_document(wanted.measurement, settings=wanted.unusual)
    return to_text(document)


def _corrections(wanted: Wanted) -> str:
    made = wanted.measurement.corrections
    return to_text(corrections_document.to_document(made, wanted.measurement))


def _yields(wanted: Wanted) -> str:
    return to_text(yields_document.to_document(wanted.shown().counted, settings=wanted.unusual))


def _table(wanted: Wanted) -> str:
    return csv_text(wanted.shown().content)


def _marked(wanted: Wanted) -> bytes:
    from plaidcut.pictures.annotated import annotated_photo
    from plaidcut.pictures.encode import picture_bytes

    with _ONE_AT_A_TIME:
        picture = annotated_photo(_photo(wanted), wanted.measurement, units=wanted.units)
        return picture_bytes(picture, MARKED)


def _photo(wanted: Wanted) -> Photo:
    """The cloth's photo; as far as the shelf's copy shows it, where it was taken from there."""
    cloth, record = wanted.cloth, wanted.measurement.photo
    if cloth.has(table.PHOTO):
        return load_photo(cloth.path(table.PHOTO), max_megapixels=wanted.settings.max_megapixels)
    if record is None or not cloth.has(table.PREVIEW):
        msg = "There is no photo to mark."
        raise NeedsPhoto(msg, hint="Widths typed by hand have none.")
    return photo_for(record, cloth.path(table.PREVIEW).read_bytes())


MARKED: Final = "marked.jpg"

FILES: Final[dict[str, tuple[str, Callable[[Wanted], str | bytes]]]] = {
    "measurement.json": ("application/json", _measured),
    "corrections.json": ("application/json", _corrections),
    "yield.json": ("application/json", _yields),
    "yield.csv": ("text/csv; charset=utf-8", _table),
    MARKED: ("image/jpeg", _marked),
}
"""Each file's kind, and what makes it."""


async def file(request: Request) -> Response:
    """One of a cloth's files, made of it as it stands."""
    found, name = cloth_of(request), request.path_params["name"]
    if name not in FILES:
        msg = "There is no such file."
        raise NotFound(msg)
    kind, make = FILES[name]
    held = await run_in_threadpool(_made, request, found, make)
    named = f'attachment; filename="{plain_name(found.name)}-{name}"'
    return Response(held, media_type=kind, headers={"content-disposition": named})


def _made(request: Request, found: Cloth, make: Callable[[Wanted], str | bytes]) -> str | bytes:
    settings = own_settings()
    wanted = Wanted(
        cloth=found,
        measurement=desk_of(request).opener.measurement(found),
        settings=settings,
        units=units_of(request, settings),
    )
    return make(wanted)


ROUTES: Final = [Route("/cloths/{cloth}/files/{name}", file)]
