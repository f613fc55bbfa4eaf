"""How long a plan takes: pieces to 1.5 m of a cloth of 40 bands, and against every plan on a grid.

``python -m tests.bench.planning`` prints a row for each case, and in the same run how long the
tests' brute force over a grid of tenths of a millimetre takes for a piece of a few centimetres.
"""

from __future__ import annotations

import argparse
import time

import numpy as np

from plaidcut.cutting.aims import ORDER, parse_order
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.plan import PieceOfCloth, Planning
from plaidcut.cutting.planner import plan_of
from plaidcut.cutting.wishes import Rest, wishes_of
from plaidcut.stripes.measurement import Direction
from plaidcut.units import MM_PER_INCH
from tests.bench.speed import say
from tests.cutting.test_search import best_on_grid, solved
from tests.setts import cloth

BANDS = 40
REPEAT_MM = 15 * MM_PER_INCH
AT_ONCE_S = 2.0
"""What a plan of 1.5 m may take."""

CASES = {
    "bold stripes kept": {},
    "three stripes, three bands": {"keep": ["U2", "U6", "U12"], "only": ["U1", "U5", "U9"]},
    "in three cuts": {"keep": ["U2 8", "U6 8.5", "U12 6"], "only": ["U1 8", "U5 6", "U9 6"]},
    "the rest left": {"keep": ["U2", "U6", "U12"], "rest": Rest.LEFT},
}


def cloth_of(seed: int):
    """A cloth of 40 bands, by turns broad and narrow, in a repeat of 15 in."""
    random = np.random.default_rng(seed)
    widths = np.where(
        np.arange(BANDS) % 2, random.uniform(2, 5, BANDS), random.uniform(9, 25, BANDS)
    )
    widths *= REPEAT_MM / widths.sum()
    colours = random.permutation(np.resize(list("KWRBGYNT"), BANDS))
    for k in range(1, BANDS):  # no two neighbours alike
        if colours[k] == colours[k - 1]:
            colours[k] = "KWRBGYNT"[("KWRBGYNT".index(colours[k]) + 1) % 8]
    return cloth(" ".join(f"{c}{w:.3f}" for c, w in zip(colours, widths, strict=True)), "K30")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.planning", description=__doc__)
    parser.add_argument("--seeds", default="1,2,3")
    parser.add_argument("--waste-first", action="store_true", help="also in that order of aims")
    given = parser.parse_args()
    table = cut_table()
    eight = parse_cut("8", table)
    orders = {"": ORDER} | ({", waste first": parse_order("waste")} if given.waste_first else {})
    say(f"{'1.5 m of 40 bands, #8':34}{'seed':>5}{'s':>7}  whole  one  tears  runs")
    for name, wished in CASES.items():
        for seed in map(int, given.seeds.split(",")):
            measured = cloth_of(seed)
            for words, order in orders.items():
                wishes = wishes_of(
                    measured,
                    Direction.UP,
                    cut=eight,
                    table=table,
                    wander_mm=0.79,
                    **wished,
                )
                piece = PieceOfCloth(width_mm=1500.0, length_mm=400.0, phase_mm=0.0)
                begin = time.perf_counter()
                way = plan_of(measured, wishes, piece, Direction.UP, Planning(order=order))
                seconds = time.perf_counter() - begin
                late = "" if seconds <= AT_ONCE_S else f"   NO, over {AT_ONCE_S:g} s"
                say(
                    f"{name + words:34}{seed:5}{seconds:7.2f}{way.score.whole:7}"
                    f"{way.score.one_colour:5}{way.score.tears:7}{len(way.runs):6}{late}"
                )
    _beside_brute_force()


def _beside_brute_force() -> None:
    """The search and the tests' brute force on a small piece, in the same run."""
    windows = [[(a - 4 * k, a + 12 - 8 * k) for a in range(20, 460, 90)] for k in range(2)]
    piece = {"width": 500, "trim": 64, "tear": 127, "true_edge": True, "rest": True}
    heads = [(63, windows, []), (40, [], windows)]
    begin = time.perf_counter()
    *_, score = solved(piece, heads, ORDER)
    middle = time.perf_counter()
    whole, one, *_ = best_on_grid(piece, heads, ORDER)
    end = time.perf_counter()
    say(f"\n50 mm, two cuts: {middle - begin:.3f} s; over a grid of 0.1 mm {end - middle:.3f} s")
    say(f"whole and one colour: {score.whole}, {score.one_colour}; on the grid {whole}, {one}")


if __name__ == "__main__":
    main()
