"""What is searched: a row for every band and every bold stripe, drawn from the measurement."""

from __future__ import annotations

import json
from collections.abc import Iterator
from sqlite3 import Connection

from plaidcut.cutting.yields import run_width
from plaidcut.documents.corrections import from_document as corrections_of
from plaidcut.documents.measurement import from_document
from plaidcut.shelf.schema import DERIVED
from plaidcut.shelved import Cloth
from plaidcut.stripes.measurement import Measurement

Row = tuple[object, ...]

BAND_COLUMNS = (
    "cloth_id, band, direction, number, lightness, a, b, hex, name, value, "
    "width_mm, width_std_mm, repeat_mm, striped, partial"
)
STRIPE_COLUMNS = "cloth_id, number, direction, bands, width_mm, width_std_mm, repeat_mm"


def measurement_of(cloth: Cloth) -> Measurement:
    """The measurement that counts: what was measured, with the corrections made.

    Raises
    ------
    FileTrouble
        If its document is damaged, or the corrections can't be made in it.
    """
    measured = from_document(cloth.document)
    if cloth.corrections is None:
        return measured
    return corrections_of(cloth.corrections).made_in(measured)


def derive(connection: Connection, cloth_id: int, measurement: Measurement) -> None:
    """Write a cloth's bands and stripes anew."""
    for table in ("band", "stripe"):
        connection.execute(f"DELETE FROM {table} WHERE cloth_id = ?", (cloth_id,))  # noqa: S608
    connection.executemany(
        f"INSERT INTO band ({BAND_COLUMNS}) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",  # noqa: S608
        band_rows(cloth_id, measurement),
    )
    connection.executemany(
        f"INSERT INTO stripe ({STRIPE_COLUMNS}) VALUES (?,?,?,?,?,?,?)",  # noqa: S608
        stripe_rows(cloth_id, measurement),
    )
    connection.execute("UPDATE cloth SET derived = ? WHERE id = ?", (DERIVED, cloth_id))


def band_rows(cloth_id: int, measurement: Measurement) -> Iterator[Row]:
    """A row for every band: how strips of it read, and its width."""
    for system in measurement.systems:
        for number, band in enumerate(system.bands):
            reads = band.reads
            yield (
                *(cloth_id, band.id, system.direction.value, number, *reads.lab),
                *(reads.hex, reads.name, reads.value, band.width_mm, band.width_std_mm),
                *(system.repeat_mm, int(system.striped), int(band.partial)),
            )


def stripe_rows(cloth_id: int, measurement: Measurement) -> Iterator[Row]:
    """A row for every bold stripe that the photo shows whole."""
    number = 0
    for system in measurement.systems:
        for stripe in system.stripes:
            bands = [system.band(band_id) for band_id in stripe.bands]
            if system.striped and not any(band.partial for band in bands):
                width_mm, std_mm = run_width(bands)
                ids = json.dumps(stripe.bands)
                yield (
                    *(cloth_id, number, system.direction.value, ids),
                    *(width_mm, std_mm, system.repeat_mm),
                )
                number += 1
