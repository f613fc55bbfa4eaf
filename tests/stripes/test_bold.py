"""What the eye picks out of a cloth."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.stripes.bold import LEAST_BOLD, bold_stripes
from tests.setts import bands_of, sett


def bold(text, *, circular=True, **how):
    """Ids of the bold stripes of a sett, the boldest first."""
    found = bold_stripes(bands_of(sett(text), **how), circular=circular)
    return [stripe.bands for stripe in found]


def test_a_thin_bright_line_on_a_dark_ground_is_bold():
    """A 2 mm yellow line on black is the one bold stripe, and the ground isn't."""
    assert bold("K40 Y2") == [("U2",)]


def test_equal_bands_of_a_check_are_ground():
    """Where two colours share the cloth equally neither stands out."""
    assert bold("B8 W8") == []


def test_plain_cloth_has_no_stripe():
    """One band is no stripe."""
    assert bold("B300") == []


def test_a_stripe_with_its_guards_is_named_as_one():
    """Red between two white guards on green is a group, and the red is named besides."""
    found = bold("G50 W2 R5 W2")
    assert found[0] == ("U2", "U3", "U4")
    assert set(found[1:]) <= {("U2",), ("U3",)}


def test_a_pair_of_lines_is_named_as_one():
    """Two yellow lines close together on blue stand as one stripe."""
    assert bold("B40 Y1 B3 Y1")[0] == ("U2", "U3", "U4")


def test_a_group_goes_round_the_end_of_the_repeat():
    """Where a repeat begins is arbitrary: the group is found across its end too."""
    assert bold("R5 W2 G50 W2")[0] == ("U4", "U1", "U2")


def test_mirrored_twins_are_named_once():
    """The same line on both arms of a mirrored sett is one stripe, the first of the two."""
    found = bold("K30 B12 Y2 B12 R30 B12 Y2 B12")
    assert found.count(("U3",)) == 1
    assert ("U7",) not in found


def test_partial_bands_are_never_named():
    """The band at the picture's edge has no known width: nothing is made of it."""
    found = bold("Y2 K40 R3 K40 W1", circular=False, cut_off=True)
    assert found == [("U3",)]


def test_brighter_and_rarer_is_bolder():
    """White on black beats brown on black, all else equal."""
    assert bold("K30 T3 K30 W3")[0] == ("U4",)


@pytest.mark.parametrize("turn", range(1, 6))
def test_the_start_of_the_repeat_does_not_matter(turn):
    """The same stripes are bold, as strongly, from wherever the repeat is told."""
    items = sett("R30 K4 Y2 K4 G25 W3")
    here = bold_stripes(bands_of(items), circular=True)
    there = bold_stripes(bands_of(items[turn:] + items[:turn]), circular=True)

    def told(stripes, shift):
        """Bands as indices of the first telling, with their boldness."""
        return {
            (tuple((int(i[1:]) - 1 + shift) % len(items) for i in s.bands), s.bold) for s in stripes
        }

    assert told(here, 0) == told(there, turn)


letters = st.sampled_from("KWRBGY")
widths = st.floats(0.6, 45)
setts = st.lists(st.tuples(letters, widths), min_size=2, max_size=12)


@given(setts)
def test_boldness_is_in_order_and_in_range(items):
    """Every stripe is neighbouring bands of the repeat, 0.5..1 bold, the boldest first."""
    stripes = bold_stripes(bands_of(items), circular=True)
    boldness = [stripe.bold for stripe in stripes]
    assert boldness == sorted(boldness, reverse=True)
    assert all(LEAST_BOLD <= value <= 1 for value in boldness)
    for stripe in stripes:
        indices = [int(band_id[1:]) - 1 for band_id in stripe.bands]
        assert all((b - a) % len(items) == 1 for a, b in pairwise(indices))
    assert len({stripe.bands for stripe in stripes}) == len(stripes)


@given(setts)
def test_a_mirror_image_is_as_bold(items):
    """Cloth seen from its back has the same stripes, as bold."""
    ahead = bold_stripes(bands_of(items), circular=True)
    back = bold_stripes(bands_of(items[::-1]), circular=True)
    assert [s.bold for s in ahead] == pytest.approx([s.bold for s in back])
