"""Naming a width: the nearest cut where that is sure, and both neighbours where it isn't."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import Numbering, cut_table
from plaidcut.cutting.which_cut import SURE, cut_words, which_cut

TABLES = [cut_table(numbering) for numbering in Numbering]
table_and_cut = st.sampled_from([(table, cut) for table in TABLES for cut in table.cuts])


@given(table_and_cut, st.floats(-0.15, 0.15), st.floats(0.01, 0.12))
def test_a_width_near_a_cut_is_that_cut(which, off_mm, std_mm):
    """Within 0.15 mm of a cut, and known to 0.12 mm, a strip is named after it."""
    table, cut = which
    named = which_cut(cut.width_mm + off_mm, std_mm, table)
    assert named.cut is cut
    assert named.off_mm == pytest.approx(off_mm, abs=1e-9)


@given(st.sampled_from(TABLES), st.floats(0.0, 30.0), st.floats(0.01, 1.0))
def test_a_name_is_never_farther_than_the_nearest(table, width_mm, std_mm):
    """Whatever the width: the nearest cut or none, and a certainty that is a share."""
    named = which_cut(width_mm, std_mm, table)
    assert 0 <= named.certainty <= 1
    assert named.nearest == min(table.cuts, key=lambda cut: abs(cut.width_mm - width_mm))
    assert (named.cut is None) == (named.certainty < SURE)
    assert named.other is not named.nearest


@given(st.sampled_from([pair for table in TABLES for pair in pairwise(table.cuts)]), st.data())
def test_half_way_between_two_cuts_nothing_is_sure(pair, data):
    """Between #7 and #8 it says so, whichever table it is."""
    low, high = pair
    table = next(table for table in TABLES if low in table.cuts and high in table.cuts)
    std_mm = data.draw(st.floats(0.1, 0.15))
    named = which_cut((low.width_mm + high.width_mm) / 2, std_mm, table)
    assert named.cut is None
    if named.other is not None:
        assert cut_words(named) == f"between {low.label} and {high.label}"
    else:
        assert cut_words(named).startswith("none of your cuts")


def test_7_and_8_are_told_apart_at_an_ordinary_width():
    """A 32nd of an inch lies between them: 0.3 mm off either still names it."""
    table = cut_table()
    assert which_cut(5.556 + 0.25, 0.08, table).cut.name == "7"
    assert which_cut(6.35 - 0.25, 0.08, table).cut.name == "8"


def test_her_own_width_goes_before_the_tables():
    """A cutter whose #8 cuts 6.0 mm: strips of 5.95 mm are #8."""
    own = cut_table(own_mm={"8": 6.0})
    assert which_cut(5.95, 0.08, own).cut.name == "8"
    assert which_cut(5.95, 0.08, cut_table()).cut is None


def test_a_torn_strip_is_none_of_the_cuts():
    """20 mm is no cut of the table, however well it is measured."""
    named = which_cut(20.0, 0.05, cut_table())
    assert named.cut is None
    assert cut_words(named) == "none of your cuts, nearest #10"
