"""A cloth of the table as it stands: measured, put right, and with what she chose."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from plaidcut import tasks
from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.garment import Garment, GarmentStrips, WhatToCut
from plaidcut.cutting.yields import Yields
from plaidcut.documents import corrections as corrections_document
from plaidcut.documents.measurement import from_document
from plaidcut.documents.text import from_text, to_text
from plaidcut.errors import NotFound, UsageError
from plaidcut.files import read_text
from plaidcut.page import table
from plaidcut.page.asked import cut_of
from plaidcut.page.table import Cloth
from plaidcut.reports.content import ReportContent, report_content
from plaidcut.reports.wish_words import Wish, wish_words
from plaidcut.settings import Settings
from plaidcut.stripes.correct import undone
from plaidcut.stripes.corrections import Correction
from plaidcut.stripes.measurement import Measurement
from plaidcut.stripes.runs import parse_run
from plaidcut.units import Units

MOST_OPEN: Final = 12
"""Measurements kept in memory; each holds no pixels, about a megabyte."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the page answers to a choice of cut and stripe."""

    cut: Cut
    wish: Wish
    bands: tuple[str, ...]
    words: tuple[str, ...]
    content: ReportContent
    counted: Yields


@dataclass(slots=True)
class Opener:
    """Opens measured cloths, and keeps the last ones opened."""

    _open: OrderedDict[tuple[str, float, float], Measurement] = field(default_factory=OrderedDict)
    _counted: tuple[Measurement, Garment, WhatToCut, GarmentStrips] | None = None

    def measurement(self, cloth: Cloth) -> Measurement:
        """A cloth's measurement, put right as she said.

        Raises
        ------
        NotFound
            If it wasn't measured.
        """
        if not cloth.has(table.MEASURED):
            msg = f"{cloth.name} isn't measured yet."
            raise NotFound(msg, hint="Wait for it, or mark the scale by hand.")
        key = (cloth.id, _changed(cloth, table.MEASURED), _changed(cloth, table.CORRECTIONS))
        if key not in self._open:
            measured = from_document(from_text(read_text(cloth.path(table.MEASURED))))
            if cloth.has(table.CORRECTIONS):
                text = read_text(cloth.path(table.CORRECTIONS))
                made = corrections_document.from_document(from_text(text))
                measured = made.made_in(measured)
            self._open[key] = measured
            if len(self._open) > MOST_OPEN:
                self._open.popitem(last=False)
        return self._open[key]

    def strips(self, measurement: Measurement, garment: Garment, what: WhatToCut) -> GarmentStrips:
        """The strips of a garment, counted once for a page and the files taken away from it.

        Raises
        ------
        PlaidcutError
            As by `plaidcut.tasks.garment`.
        """
        last = self._counted
        if last is None or last[0] is not measurement or last[1:3] != (garment, what):
            last = (measurement, garment, what, tasks.garment(measurement, garment, what))
            self._counted = last
        return last[3]


def _changed(cloth: Cloth, name: str) -> float:
    return cloth.path(name).stat().st_mtime_ns if cloth.has(name) else 0.0


def put_right(cloth: Cloth, measurement: Measurement, more: Sequence[Correction]) -> None:
    """Keep corrections, those that were made before and more; nothing where one can't be made."""
    corrected = tasks.correct(measurement, more)
    _keep(cloth, corrected)


def take_back(cloth: Cloth, measurement: Measurement) -> None:
    """Take the last correction back."""
    if not measurement.corrections:
        msg = "There is nothing to take back."
        raise UsageError(msg, hint="Everything is as it was measured.")
    _keep(cloth, undone(measurement))


def _keep(cloth: Cloth, corrected: Measurement) -> None:
    document = corrections_document.to_document(corrected.corrections, corrected)
    cloth.keep(table.CORRECTIONS, to_text(document))


def shown(
    measurement: Measurement, choices: dict[str, str], *, settings: Settings, units: Units
) -> Shown:
    """The answer to what she chose.

    Parameters
    ----------
    measurement
        The cloth.
    choices
        ``wish`` (whole, colour or mix), ``bands`` (``U4``, ``U3-U5``) and ``cut``, as typed;
        whatever is missing is chosen for her.
    settings, units
        Hers.

    Raises
    ------
    UsageError, BadLength
        If one of them can't be read.
    """
    cut = cut_of(choices.get("cut", ""), settings)
    wish = wish_of(choices.get("wish", "") or Wish.WHOLE)
    bands = _bands_of(choices, wish, measurement)
    keep = ["-".join([bands[0], bands[-1]])] if wish is Wish.WHOLE and bands else []
    cuts = tuple(dict.fromkeys((*settings.cuts.cuts, cut)))
    counted = tasks.yields(measurement, cuts=cuts, keep=keep, wander_mm=settings.wander_mm)
    return Shown(
        cut=cut,
        wish=wish,
        bands=bands,
        words=wish_words(measurement, counted, wish=wish, bands=bands, cut=cut, units=units),
        content=report_content(measurement, counted, units=units, own=[cut]),
        counted=counted,
    )


def _bands_of(choices: dict[str, str], wish: Wish, measurement: Measurement) -> tuple[str, ...]:
    """The bands that she chose; the boldest stripe where she chose none."""
    if wish is Wish.MIX:
        return ()
    if choices.get("bands"):
        return parse_run(choices["bands"], measurement)
    stripes = [stripe for system in measurement.systems for stripe in system.stripes]
    boldest = max(stripes, key=lambda stripe: stripe.bold, default=None)
    return () if boldest is None else boldest.bands


def wish_of(typed: str) -> Wish:
    """Read a wish; UsageError where it is none."""
    try:
        return Wish(typed)
    except ValueError as error:
        msg = f'"{typed}" is none of the choices.'
        raise UsageError(msg, hint="Choose a stripe whole, a colour alone, or a mix.") from error
