"""Published thread counts, written out as bands (facts section 13.4)."""

import re

import pytest

from plaidcut.stripes.sett import unfold


def threads(text):
    """Letters and thread counts: ``R56 G28`` gives (("R", 56), ("G", 28))."""
    return tuple((letter, int(count)) for letter, count in re.findall(r"([A-Za-z]+)(\d+)", text))


@pytest.mark.parametrize(
    ("half", "whole", "total"),
    [
        ("B4 R56 G28 B28 R4", "B4 R56 G28 B28 R4 B28 G28 R56", 232),
        (
            "K12 R4 K56 B56 R4 K4 R4 K4 R8",
            "K12 R4 K56 B56 R4 K4 R4 K4 R8 K4 R4 K4 R4 B56 K56 R4",
            284,
        ),
        ("K4 R24 K24 Y4", "K4 R24 K24 Y4 K24 R24", 104),
        ("W2 G4 R6", "W2 G4 R6 G4", 16),
    ],
    ids=["T01", "T02", "T03", "T07"],
)
def test_a_mirrored_sett_turns_at_its_pivots_without_doubling_them(half, whole, total):
    """T01, T02, T03, T07: the order of the bands and the threads in the whole sett."""
    assert unfold(threads(half)) == threads(whole)
    assert sum(count for _, count in unfold(threads(half))) == total


def test_half_counts_at_pivots_are_the_same_cloth():
    """T04: pivots given as half counts and doubled make T03."""
    (first, few), *middle, (last, count) = threads("K2 R24 K24 Y2")
    assert unfold([(first, 2 * few), *middle, (last, 2 * count)]) == unfold(
        threads("K4 R24 K24 Y4")
    )


@pytest.mark.parametrize("text", ["K12", "K12 R4"])
def test_one_or_two_bands_have_nothing_to_turn(text):
    """A sett of one or two bands is its own mirror image."""
    assert unfold(threads(text)) == threads(text)
