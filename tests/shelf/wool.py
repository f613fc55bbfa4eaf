"""Cloths of the invented wool room, made without measuring, for tests of the shelf."""

from dataclasses import replace
from hashlib import sha256

import numpy as np

from plaidcut.documents.measurement import hash_of, to_document
from plaidcut.scale.ways import Given, take_scale
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelf.pictures import pictures_of_photo
from plaidcut.shelf.store import add, entries, load, pictures_of
from plaidcut.shelved import About, Cloth, Entry
from plaidcut.stripes.measurement import PhotoRecord
from tests.setts import cloth

SIZE_PX = (60, 40)
NAMES = ("Harbour skirt", "Lantern scarf", "Quarry kilt", "Heron skirt", "Pantry shawl")


CORRECTIONS = {
    "document": "plaidcut-corrections",
    "version": 1,
    "made_by": {"version": "0.1.0", "settings": {}},
    "photo_sha256": None,
    "corrections": [{"kind": "width", "band": "U2", "width_mm": 4.5, "alone": False}],
}
"""Makes the second band of any cloth 4.5 mm wide."""


def kept(name, up="K30 R2 K30 Y2", across="K100", *, about=None, photo=False, **how):
    """A cloth of two setts for the shelf, and its pictures if it has a photo."""
    measured = cloth(up, across, **how)
    pictures = None
    if photo:
        pixels = np.full((SIZE_PX[1], SIZE_PX[0], 3), len(name) * 7 % 255, np.uint8)
        source = sha256(name.encode()).hexdigest()
        record = PhotoRecord(
            name=f"{name}.jpg", width_px=SIZE_PX[0], height_px=SIZE_PX[1], sha256=source
        )
        scale = take_scale(pixels, Given(px_per_mm=8.0))
        measured = replace(measured, photo=record, scale=scale)
        pictures = pictures_of_photo(pixels)
    else:
        source = hash_of(measured)
    entry = Entry(
        name=name,
        source=source,
        kind=measured.cloth.kind.value,
        about=about or About(),
        added_on="2026-05-03",
        measured_on="2026-05-03",
    )
    return Cloth(entry=entry, document=to_document(measured)), pictures


def shelve(path, *some):
    """Put cloths with their pictures on the shelf of that file, each in a transaction."""
    with open_shelf(path, make=True) as connection:
        for each, pictures in some:
            with writing(connection):
                add(connection, each, pictures)


def held(path):
    """All that a shelf holds, to be compared."""
    with open_shelf(path) as connection:
        return [
            (
                entry,
                load(connection, entry.name).document,
                load(connection, entry.name).corrections,
                pictures_of(connection, entry.name),
            )
            for entry in list(entries(connection))
        ]
