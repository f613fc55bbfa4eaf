"""A process of its own: ``python -m plaidcut.page.worker TASK FOLDER``.

It reads what was asked from a cloth's folder on the table, writes what comes of it there, and
says on its standard output, a line each, what it is doing.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from plaidcut.errors import PlaidcutError
from plaidcut.files import read_text
from plaidcut.page import table
from plaidcut.page.asked import how_to_measure, own_settings
from plaidcut.page.jobs import DRAW, MEASURE, REPORT, STATES, STRIPS
from plaidcut.page.table import Cloth, Phase, State

if TYPE_CHECKING:
    from plaidcut.photo import Photo
    from plaidcut.stripes.measurement import Measurement

FAULT: Final = "plaidcut ran into a fault of its own"


def measure(cloth: Cloth) -> None:
    """Measure a cloth's photo; then draw what the page shows of it."""
    from plaidcut import tasks
    from plaidcut.documents.measurement import to_document
    from plaidcut.documents.text import to_text

    how = how_to_measure(cloth.read(table.ASKED), own_settings())
    photo = read_photo(cloth)
    say("Measuring the stripes")
    measured = tasks.measure(photo, how)
    cloth.keep(table.MEASURED, to_text(to_document(measured, settings=how.unusual)))
    cloth.set_state(State(phase=Phase.DONE))
    say("Drawing what the strips look like")
    draw(cloth, photo, measured)


def read_photo(cloth: Cloth) -> Photo:
    """A photo that was sent, after its preview was made."""
    from plaidcut.photo import load_photo
    from plaidcut.preload import preload
    from plaidcut.shelf.pictures import pictures_of_photo

    preload()
    say("Reading the photo")
    most = own_settings().max_megapixels
    photo = load_photo(cloth.path(table.PHOTO), max_megapixels=most, name=cloth.name)
    if not cloth.has(table.PREVIEW):
        wide, high = photo.size_px
        pictures = pictures_of_photo(photo.pixels)
        cloth.keep(table.PREVIEW, pictures.copy)
        cloth.keep(table.THUMBNAIL, pictures.thumbnail)
        cloth.keep(table.SIZE, {"width": str(wide), "height": str(high)})
    return photo


def strips(cloth: Cloth) -> None:
    """Measure the loose strips of a photo, and name their cuts."""
    from plaidcut.page.loose_work import name_strips

    photo = read_photo(cloth)
    say("Measuring the strips")
    name_strips(cloth, photo)


def draw(cloth: Cloth, photo: Photo, measured: Measurement) -> None:
    """Lay the cloth straight and draw its strips hooked, in every cut of the table."""
    from plaidcut.page.looks import draw_look
    from plaidcut.pictures.laid_straight import laid_straight, straight_bytes

    straight = laid_straight(photo, measured)
    cloth.keep(table.STRAIGHT, straight_bytes(straight))
    for cut in own_settings().cuts.cuts:
        draw_look(cloth, straight, cut)


def report(cloth: Cloth) -> None:
    """Make the report of a cloth as it stands, with the plan that she chose."""
    from plaidcut import tasks
    from plaidcut.page.asked import printed_of
    from plaidcut.page.chosen import what_to_plan
    from plaidcut.page.opened import Opener
    from plaidcut.page.reporting import MADE, asked_settings, paper_of
    from plaidcut.report_files import report_files

    say("Planning the piece")
    asked = cloth.read(table.REPORT_ASKED)
    settings = asked_settings(asked)
    measurement = Opener().measurement(cloth)
    planned = tasks.plan(
        measurement, what_to_plan(measurement, cloth.read(table.CHOICES), settings)
    )
    photo = photo_of(cloth, measurement)
    say("Drawing the pictures, laying out the pages")
    files = report_files(
        measurement,
        planned,
        photo=photo,
        settings=settings,
        paper=paper_of(asked),
        printed=printed_of(cloth.read(table.ASKED)),
        made=asked.get(MADE, ""),
    )
    for old in cloth.folder.glob(f"{table.REPORT}*"):
        old.unlink(missing_ok=True)
    for name, held in files.items():
        cloth.keep(f"{table.REPORT}{name}", held)
    cloth.set_state(State(phase=Phase.DONE), table.REPORT_STATE)


def photo_of(cloth: Cloth, measurement: Measurement) -> Photo | None:
    """The photo that a cloth was measured from, or the copy that is kept of it."""
    from plaidcut.shelf.pictures import photo_for

    if cloth.has(table.PHOTO):
        return read_photo(cloth)
    if cloth.has(table.PREVIEW) and measurement.photo is not None:
        return photo_for(measurement.photo, cloth.path(table.PREVIEW).read_bytes())
    return None


def draw_from_copy(cloth: Cloth) -> None:
    """Draw what the page shows of a cloth of the shelf, as far as its copy shows it."""
    from plaidcut.documents.measurement import from_document
    from plaidcut.documents.text import from_text
    from plaidcut.shelf.pictures import photo_for

    cloth.set_state(State(phase=Phase.DONE))
    measured = from_document(from_text(read_text(cloth.path(table.MEASURED))))
    if measured.photo is not None:
        photo = photo_for(measured.photo, cloth.path(table.PREVIEW).read_bytes())
        draw(cloth, photo, measured)


TASKS: Final[dict[str, Callable[[Cloth], None]]] = {
    MEASURE: measure,
    DRAW: draw_from_copy,
    STRIPS: strips,
    REPORT: report,
}


def say(step: str) -> None:
    """Tell the page what is being done; end if it is gone, as it begins anew when it comes back."""
    try:
        print(step, flush=True)  # noqa: T201 -- the page reads it
    except BrokenPipeError:
        sys.exit(1)


def main(task: str, folder: str) -> int:
    """Do one task, and leave in the folder how it ended."""
    cloth = Cloth(Path(folder))
    try:
        TASKS[task](cloth)
    except PlaidcutError as error:
        refused = State(
            phase=Phase.REFUSED, code=error.code, message=error.message, hint=error.hint
        )
    except MemoryError:
        refused = State(
            phase=Phase.REFUSED,
            code="bug",
            message="There was not enough memory for this photo.",
            hint="Close other programs, or make the photo smaller.",
        )
    except Exception as error:  # noqa: BLE001 -- no traceback reaches a user
        refused = State(
            phase=Phase.REFUSED,
            code="bug",
            message=f"{FAULT}: {type(error).__name__}: {error}",
            hint=PlaidcutError.way_on,
        )
    else:
        return 0
    if cloth.state_in(STATES[task]).phase is not Phase.DONE:
        cloth.set_state(refused, STATES[task])  # what was measured stays, though a picture failed
    return 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
