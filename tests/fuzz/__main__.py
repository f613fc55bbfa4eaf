"""Throw damaged files at one reader for a while: ``python -m tests.fuzz TARGET --seconds N``.

Guided by coverage where atheris is installed (``pip install atheris``; it has wheels for Linux, up
to some Python versions), else by chance: bytes of good files are changed, cut and doubled. What
breaks is printed and written into ``.cache/fuzz``; keep it as a case of a test. Not run by CI.
"""

import argparse
import random
import sys
import time
import traceback
from contextlib import nullcontext
from pathlib import Path

try:
    import atheris
except ImportError:
    atheris = None

with atheris.instrument_imports(include=["plaidcut"]) if atheris else nullcontext():
    from tests.fuzz.targets import TARGETS, seeds_of

KEPT = Path(".cache/fuzz")
LONGEST_S = 10.0
"""An input that takes longer is a finding."""


def spoilt(data: bytes, chance: random.Random) -> bytes:
    """A good file with a few things wrong."""
    changed = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(changed) + 1)
        match chance.randrange(4):
            case 0:
                changed[at : at + 1] = bytes([chance.randrange(256)])
            case 1:
                del changed[at : at + chance.randrange(1, 40)]
            case 2:
                changed[at:at] = changed[at : at + chance.randrange(1, 40)]
            case _:
                changed[at : at + 4] = chance.choice((b"\xff" * 4, bytes(4), b"1e99", b"[[[["))
    return bytes(changed)


def judged(name: str, data: bytes) -> None:
    """Give an input to the target; raise if it breaks it or takes too long."""
    start = time.monotonic()
    try:
        TARGETS[name].read(data)
        assert time.monotonic() - start < LONGEST_S, "it took too long"
    except Exception:
        KEPT.mkdir(parents=True, exist_ok=True)
        found = KEPT / f"{name}-{abs(hash(data)):x}"
        found.write_bytes(data)
        sys.stderr.write(f"{found}\n")
        raise


def by_chance(name: str, seconds: float, seed: int) -> int:
    """Fuzz without guidance; how many inputs broke it."""
    chance, seeds = random.Random(seed), seeds_of(name)  # noqa: S311 -- not a secret
    until, tried, broke = time.monotonic() + seconds, 0, set()
    while time.monotonic() < until:
        tried += 1
        try:
            judged(name, spoilt(chance.choice(seeds), chance))
        except Exception as error:  # noqa: BLE001 -- that is what is looked for
            last = traceback.extract_tb(error.__traceback__)[-1]
            place = (last.filename, last.lineno)
            if place not in broke:
                broke.add(place)
                traceback.print_exc()
    sys.stderr.write(f"{name}: {tried} inputs by chance, {len(broke)} places broke\n")
    return len(broke)


def guided(name: str, seconds: float, seed: int) -> None:
    """Fuzz guided by coverage, until something breaks or the time is over."""
    corpus = KEPT / "corpus" / name
    corpus.mkdir(parents=True, exist_ok=True)
    for number, data in enumerate(seeds_of(name)):
        (corpus / f"seed-{number}").write_bytes(data)
    limits = [
        f"-max_total_time={seconds:.0f}",
        f"-seed={seed}",
        "-max_len=65536",
        "-timeout=30",
        f"-artifact_prefix={KEPT}/",
    ]
    atheris.Setup([sys.argv[0], *limits, str(corpus)], lambda data: judged(name, data))
    atheris.Fuzz()


def main() -> int:
    """Run one target."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("target", choices=sorted(TARGETS))
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--by-chance", action="store_true", help="Even where atheris is there.")
    asked = parser.parse_args()
    if not asked.by_chance:
        if atheris:
            guided(asked.target, asked.seconds, asked.seed)
            return 0
        sys.stderr.write("atheris isn't installed: fuzzing by chance\n")
    return min(1, by_chance(asked.target, asked.seconds, asked.seed))


if __name__ == "__main__":
    sys.exit(main())
