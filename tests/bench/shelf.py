"""How quickly cloths are found again: ``python -m tests.bench.shelf --cloths 10000``.

Draws cloths from a seed, puts them on a shelf, and asks each question several times, in a process
that has the libraries loaded, on a connection that is open. Prints the median and the slowest.
"""

from __future__ import annotations

import argparse
import platform
import sqlite3
import statistics
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from plaidcut.cutting.yields import WANDER_TORN_MM
from plaidcut.shelf.colours import colour_asked
from plaidcut.shelf.find import find
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelf.store import add
from plaidcut.shelved import About, Pieces, Wanted
from plaidcut.stripes.colour import colour_of_lab
from tests.shelf.wool import kept

TARGET_MS = 200.0
TIMES = 7
PALETTE = 2000
DRAWN = 250
"""Cloths that are drawn; the others are these with other names, colours and widths."""
PLACES = ("cedar chest", "attic", "blue crate", "under the stairs")
NOTES = ("thrifted, soft", "stiff, full well", "from the Harbour wool room", "")


def drawn(rng, number):
    """A cloth of random bands, mirrored or not, in random colours."""
    setts = []
    for _ in range(2):
        letters = rng.choice(list("KWRBGYNT"), int(rng.integers(3, 9)))
        setts.append(" ".join(f"{each}{rng.uniform(1.5, 30):.2f}" for each in letters))
    about = About(
        note=str(rng.choice(NOTES)),
        place=str(rng.choice(PLACES)),
        pieces=(Pieces(count=int(rng.integers(1, 8)), width_mm=400.0, height_mm=300.0),),
    )
    return kept(f"cloth {number}", *setts, mirrored=bool(rng.random() < 0.5), about=about)


def renamed(cloth, rng, number):
    """The cloth as another: its name, its photo and what is said of it."""
    source = f"{number:064x}"
    about = replace(cloth.entry.about, note=str(rng.choice(NOTES)), place=str(rng.choice(PLACES)))
    entry = replace(cloth.entry, name=f"cloth {number}", source=source, about=about)
    return replace(cloth, entry=entry)


def scattered(connection, rng):
    """Spread the few yarns of the setts over the colours that wool has, and the stripes' widths."""
    factor = "(0.5 + abs(random() % 1000) / 1000.0)"
    connection.execute(f"UPDATE stripe SET width_mm = width_mm * {factor}")  # noqa: S608
    rows = connection.execute("SELECT rowid FROM band").fetchall()
    lab = np.column_stack(
        [rng.uniform(12, 90, PALETTE), rng.normal(4, 18, PALETTE), rng.normal(8, 18, PALETTE)]
    )
    palette = [colour_of_lab(each) for each in lab]
    chosen = rng.integers(PALETTE, size=len(rows)).tolist()
    connection.executemany(
        "UPDATE band SET lightness = ?, a = ?, b = ?, hex = ?, name = ?, value = ? WHERE rowid = ?",
        (
            (*palette[k].lab, palette[k].hex, palette[k].name, palette[k].value, row)
            for k, (row,) in zip(chosen, rows, strict=True)
        ),
    )


def questions():
    """What is asked."""
    usual = {"wander_mm": WANDER_TORN_MM, "cut_mm": 6.35, "most": 20}
    red, red_name = colour_asked("dark red")
    blue, _ = colour_asked("#27407c")
    yield "a colour within 5", Wanted(**usual, lab=blue.lab, within=5.0)
    yield "a colour within 10", Wanted(**usual, lab=blue.lab)
    yield "a colour within 20", Wanted(**usual, lab=blue.lab, within=20.0)
    yield "a colour by name", Wanted(**usual, lab=red.lab, name=red_name)
    yield "a value", Wanted(**usual, value="dark")
    yield "a stripe that #6 keeps whole", Wanted(**usual, keeps_whole_mm=4.7625)
    yield "a stripe by width", Wanted(**usual, width_mm=(4.0, 6.0))
    yield "words", Wanted(**usual, words="harbour ced")
    yield "at least 40 strips", Wanted(**usual, at_least=40)
    yield (
        "colour, stripe and 40 strips",
        Wanted(**usual, lab=red.lab, name=red_name, keeps_whole_mm=9.525, at_least=40),
    )
    yield "everything", Wanted(**usual)


def main():
    """Fill a shelf, ask, and print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cloths", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    typed = parser.parse_args()
    rng = np.random.default_rng(typed.seed)
    print(f"Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}")
    with (
        tempfile.TemporaryDirectory() as folder,
        open_shelf(Path(folder) / "shelf.db", make=True) as connection,
    ):
        begin = time.perf_counter()
        with writing(connection):
            some = [drawn(rng, number)[0] for number in range(min(DRAWN, typed.cloths))]
            for number in range(typed.cloths):
                add(connection, renamed(some[number % len(some)], rng, number), None)
            scattered(connection, rng)
        (bands,) = connection.execute("SELECT COUNT(*) FROM band").fetchone()
        took = time.perf_counter() - begin
        print(f"{typed.cloths} cloths, {bands} bands; filled in {took:.0f} s")
        print(f"{'asked for':<32}{'found':>8}{'median ms':>12}{'slowest ms':>12}")
        for name, wanted in questions():
            times = []
            for _ in range(TIMES):
                begin = time.perf_counter()
                found = find(connection, wanted)
                times.append(1000 * (time.perf_counter() - begin))
            slow = " !" if max(times) > TARGET_MS else ""
            print(
                f"{name:<32}{found.count:>8}{statistics.median(times):>12.1f}{max(times):>12.1f}{slow}"
            )
    print(f"Each must stay under {TARGET_MS:.0f} ms.")


if __name__ == "__main__":
    main()
