"""How the shelf's file is laid out, and how an older one becomes a newer one.

A file's ``user_version`` says how many of the steps it has taken. Steps are only added.
"""

from __future__ import annotations

from typing import Final

APPLICATION_ID: Final = 0x706C6431
"""Marks an SQLite file as a shelf: "pld1"."""

_CLOTHS: Final = (
    """CREATE TABLE cloth (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL,
        key TEXT NOT NULL UNIQUE,
        source TEXT NOT NULL UNIQUE,
        kind TEXT NOT NULL,
        note TEXT NOT NULL,
        place TEXT NOT NULL,
        fibre TEXT NOT NULL,
        weave TEXT NOT NULL CHECK (weave IN ('woollen', 'worsted', 'unknown')),
        garments INTEGER CHECK (garments >= 0),
        weight_g REAL CHECK (weight_g > 0),
        washed_on TEXT,
        overdyed_on TEXT,
        colours_hold INTEGER NOT NULL CHECK (colours_hold IN (0, 1)),
        added_on TEXT NOT NULL,
        measured_on TEXT NOT NULL
    )""",
    """CREATE TABLE measurement (
        cloth_id INTEGER PRIMARY KEY REFERENCES cloth ON DELETE CASCADE,
        document TEXT NOT NULL,
        corrections TEXT
    )""",
    """CREATE TABLE picture (
        cloth_id INTEGER PRIMARY KEY REFERENCES cloth ON DELETE CASCADE,
        copy BLOB NOT NULL,
        thumbnail BLOB
    )""",
    """CREATE TABLE piece (
        cloth_id INTEGER NOT NULL REFERENCES cloth ON DELETE CASCADE,
        number INTEGER NOT NULL,
        count INTEGER NOT NULL CHECK (count > 0),
        width_mm REAL NOT NULL CHECK (width_mm > 0),
        height_mm REAL NOT NULL CHECK (height_mm > 0),
        PRIMARY KEY (cloth_id, number)
    ) WITHOUT ROWID""",
    """CREATE TABLE taken (
        cloth_id INTEGER NOT NULL REFERENCES cloth ON DELETE CASCADE,
        number INTEGER NOT NULL,
        taken_on TEXT NOT NULL,
        what TEXT NOT NULL,
        how_much TEXT NOT NULL,
        PRIMARY KEY (cloth_id, number)
    ) WITHOUT ROWID""",
    """CREATE TABLE reserved (
        cloth_id INTEGER NOT NULL REFERENCES cloth ON DELETE CASCADE,
        number INTEGER NOT NULL,
        rug TEXT NOT NULL,
        strips INTEGER CHECK (strips >= 0),
        PRIMARY KEY (cloth_id, number)
    ) WITHOUT ROWID""",
    f"PRAGMA application_id = {APPLICATION_ID}",
)

_SEARCH: Final = (
    "ALTER TABLE cloth ADD COLUMN derived INTEGER NOT NULL DEFAULT 0",
    """CREATE TABLE band (
        cloth_id INTEGER NOT NULL REFERENCES cloth ON DELETE CASCADE,
        band TEXT NOT NULL,
        direction TEXT NOT NULL,
        number INTEGER NOT NULL,
        lightness REAL NOT NULL,
        a REAL NOT NULL,
        b REAL NOT NULL,
        hex TEXT NOT NULL,
        name TEXT NOT NULL,
        value TEXT NOT NULL,
        width_mm REAL NOT NULL,
        width_std_mm REAL NOT NULL,
        repeat_mm REAL,
        striped INTEGER NOT NULL,
        partial INTEGER NOT NULL,
        UNIQUE (cloth_id, band)
    )""",
    "CREATE INDEX band_colour ON band (lightness, a, b, cloth_id, name, value)",
    "CREATE INDEX band_name ON band (name, value, cloth_id, lightness, a, b)",
    "CREATE INDEX band_value ON band (value, cloth_id)",
    """CREATE TABLE stripe (
        cloth_id INTEGER NOT NULL REFERENCES cloth ON DELETE CASCADE,
        number INTEGER NOT NULL,
        direction TEXT NOT NULL,
        bands TEXT NOT NULL,
        width_mm REAL NOT NULL,
        width_std_mm REAL NOT NULL,
        repeat_mm REAL,
        UNIQUE (cloth_id, number)
    )""",
    "CREATE INDEX stripe_width ON stripe (width_mm)",
)

WORDS: Final = (
    """CREATE VIRTUAL TABLE words USING fts5(
        name, note, place, tokenize = 'unicode61 remove_diacritics 2'
    )""",
    "INSERT INTO words (rowid, name, note, place) SELECT id, name, note, place FROM cloth",
)

STEPS: Final = (_CLOTHS, _SEARCH, WORDS)
"""From each version to the next: the cloths; a table of bands to search; full text."""

DERIVED: Final = 1
"""Which way bands and stripes were drawn from the measurement; rows of another are made anew."""
