"""What the page's own process does with a photo of loose strips."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from plaidcut import tasks
from plaidcut.cutting.cuts import cut_table
from plaidcut.errors import PlaidcutError
from plaidcut.page import table
from plaidcut.page.asked import own_settings, scale_way
from plaidcut.page.table import Cloth, Phase, State
from plaidcut.units import Units

if TYPE_CHECKING:
    from plaidcut.cutting.which_cut import NamedStrips
    from plaidcut.photo import Photo


def name_strips(cloth: Cloth, photo: Photo) -> None:
    """Measure the strips of a photo, and keep which cut each is, in words, files and a picture."""
    from plaidcut.documents.loose import to_document
    from plaidcut.documents.text import to_text
    from plaidcut.pictures.encode import picture_bytes
    from plaidcut.pictures.loose_picture import loose_picture
    from plaidcut.reports.loose_csv import loose_csv
    from plaidcut.reports.loose_words import loose_content

    settings = own_settings()
    named = tasks.which_cut(photo, settings.cuts, scale=scale_way(cloth.read(table.ASKED)))
    marked = loose_picture(photo, named, units=settings.units)
    cloth.keep(table.LOOSE, to_text(to_document(named)))
    cloth.keep(table.LOOSE_TABLE, loose_csv(named))
    cloth.keep(table.NAMED, picture_bytes(marked, table.NAMED))
    cloth.keep(
        table.LOOSE_WORDS,
        {
            "units": {each.value: asdict(loose_content(named, units=each)) for each in Units},
            "own_cuts": _own_cuts(named),
        },
    )
    cloth.set_state(State(phase=Phase.DONE))


def _own_cuts(named: NamedStrips) -> dict[str, dict[str, str]]:
    """What her cutter cuts by these strips: the cuts that they can be of, each with its width."""
    from plaidcut.cutting.measured_cut import measured_cut
    from plaidcut.reports.cuts_terminal import measured_words

    settings, found = own_settings(), {}
    by_the_book = cut_table(settings.cuts.numbering)
    for cut in by_the_book.cuts:
        try:
            measured = measured_cut(cut.name, named.loose, by_the_book)
        except PlaidcutError:  # they are not all of this cut
            continue
        words = measured_words(measured, settings.units)
        found[cut.name] = {"width": f"{measured.width_mm:.3f} mm", "words": words}
    return found
