"""Finer words for checks, where measured sizes meet published ones (facts section 10)."""

import pytest

from plaidcut.stripes.finer import finer_word, word_for_tweed
from plaidcut.stripes.flecks import Flecks
from plaidcut.stripes.measurement import Direction, Kind
from tests.setts import system


def word(up, across=None, kind=Kind.CHECK):
    """The finer word for two setts, the same both ways unless told."""
    return finer_word(kind, system(up), system(across or up, Direction.ACROSS))


@pytest.mark.parametrize(
    ("up", "expected"),
    [
        ("R6.35 W6.35", "gingham"),
        ("B25.4 W25.4", "gingham"),
        ("R40 W40", None),  # larger than any gingham is sold
        ("R40 K40", "buffalo check"),
        ("R20 K20", None),  # smaller than a buffalo check
        ("R90 K90", None),
        ("R6.35 K9", None),  # bands that differ
        ("T40 W2", "windowpane"),
        ("T30 W2", None),  # panes under an inch and a half
        ("T6.3 W1.2", "graph check"),
        ("W12 R1.5 W12 B1.5", "tattersall"),
        ("K12 R1.5 K12 Y1.5", None),  # a dark ground
        ("W12 R1.5 W12 R1.6", None),  # lines of one colour
    ],
)
def test_a_check_gets_the_word_that_its_sizes_have(up, expected):
    """Gingham, buffalo check, windowpane, graph check and tattersall keep to their sizes."""
    assert word(up) == expected


def test_a_plaid_gets_no_word():
    """Words for checks are not given to other kinds."""
    assert word("W12 R1.5 W12 B1.5", kind=Kind.PLAID) is None
    assert word("K20 W1.2", "K100", kind=Kind.STRIPE) == "pin stripe"
    assert word("K20 W3", "K100", kind=Kind.STRIPE) is None


def test_lines_of_two_colours_one_way_are_enough_for_a_tattersall():
    """Where two line colours are told apart one way only, it is a tattersall all the same."""
    assert word("W12 R1.5 W12 B1.5", "W12 R1.5") == "tattersall"


def test_a_tweed_without_specks_is_a_heather():
    """Mixed fibres alone make a heather; bits of other colours don't."""
    assert word_for_tweed(Flecks(light=0.5, colour=0.8)) == "heather"
    assert word_for_tweed(Flecks(light=1.5, colour=0.8)) is None
    assert word_for_tweed(None) is None
