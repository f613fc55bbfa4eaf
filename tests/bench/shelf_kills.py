"""Nothing lost: a writer killed at random, ``python -m tests.bench.shelf_kills --kills 250``.

A child writes to the shelf without pause (cloths with photos put on, changed, measured anew, taken
off) and says of each change that it was kept once it was. It is killed with SIGKILL at a random
moment; then the shelf must hold all that was said, and of what was under way all or nothing.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from plaidcut.shelf import store
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelved import About, Pictures, Reserved, Taken
from tests.shelf.wool import held, kept

MOST_CLOTHS = 8
LONGEST_S = 0.06
"""A child lives from its first word on for up to this: a dozen changes or so."""


def materials():
    """Cloths with photos as large as real ones, made once."""
    made = []
    for number in range(2 * MOST_CLOTHS):
        cloth, pictures = kept(f"cloth {number}", f"K{20 + number} R4 G9", photo=True)
        rest = random.Random(number).randbytes(400_000)  # noqa: S311 -- bytes that can be drawn again
        made.append((cloth, replace(pictures, copy=pictures.copy + rest)))
    return made


def change(connection, made, seed):
    """One random change in one transaction; the same for the same seed and shelf."""
    rng = random.Random(seed)  # noqa: S311
    there = store.names(connection)
    cloth, pictures = rng.choice(made)
    name = cloth.entry.name
    with writing(connection):
        if name not in there:
            if len(there) >= MOST_CLOTHS:
                store.remove(connection, rng.choice(there))
            store.add(connection, cloth, pictures)
        elif rng.random() < 0.4:
            (entry,) = store.entries(connection, [store.known_id(connection, name)])
            about = About(
                note=f"note {seed} " * 20,
                taken=(Taken(on="2026-05-03", what="border", how_much=f"{seed} strips"),),
                reserved=(Reserved(rug="runner", strips=seed),),
            )
            store.change(connection, name, replace(entry, about=about))
        elif rng.random() < 0.5:
            other = Pictures(copy=pictures.copy[::-1], thumbnail=pictures.thumbnail)
            store.measured_again(connection, cloth, other)
        else:
            store.remove(connection, name)


def child(path, made, seed, ready):
    """Change without pause, and say so each time it is kept."""
    with open_shelf(path) as connection:
        while True:
            change(connection, made, seed)
            os.write(ready, b".")
            seed += 1


def killed(path, made, seed, rng):
    """Let a child write, kill it at a random moment, and say how many changes it told of."""
    read, write = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            os.close(read)
            child(path, made, seed, write)
        finally:
            os._exit(1)
    os.close(write)
    said = len(os.read(read, 1))  # it has begun
    time.sleep(rng.uniform(0, LONGEST_S))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    while data := os.read(read, 4096):
        said += len(data)
    os.close(read)
    return said


def run(folder, kills, seed=1):
    """Kill that often; says how many changes were told of, and how often one was under way.

    Raises
    ------
    AssertionError
        If the shelf holds anything else than what was told of, or is damaged.
    """
    rng, made = random.Random(seed), materials()  # noqa: S311
    path, mirror = Path(folder) / "shelf.db", Path(folder) / "mirror.db"
    for each in (path, mirror):
        with open_shelf(each, make=True):
            pass
    told, more, number = 0, 0, 0
    for kill in range(kills):
        said = killed(path, made, number, rng)
        with open_shelf(mirror) as connection:
            for _ in range(said):
                change(connection, made, number)
                number += 1
        found = held(path)
        if found != held(mirror):  # one more may have been kept, but not told of yet
            with open_shelf(mirror) as connection:
                change(connection, made, number)
            number += 1
            more += 1
            assert found == held(mirror), f"kill {kill}: something that was kept is lost"
        told += said
        with open_shelf(path) as connection:
            faults = connection.execute("PRAGMA integrity_check").fetchall()
            assert faults == [("ok",)], faults
            assert not connection.execute("PRAGMA foreign_key_check").fetchall()
            assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    return told, more


def main():
    """Kill, compare, and print what was seen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=250)
    parser.add_argument("--seed", type=int, default=1)
    typed = parser.parse_args()
    begin = time.perf_counter()
    with tempfile.TemporaryDirectory() as folder:
        told, more = run(folder, typed.kills, typed.seed)
    took = time.perf_counter() - begin
    print(
        f"{typed.kills} kills, {told} changes told of, none lost; {more} more were kept but not "
        f"told of yet. {took:.0f} s"
    )


if __name__ == "__main__":
    main()
