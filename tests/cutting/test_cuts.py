"""The cut table and how cuts are typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import Numbering, cut_table, parse_cut
from plaidcut.errors import BadLength, UsageError

STEPPED = cut_table(Numbering.STEPPED)


@pytest.mark.parametrize("numbering", Numbering)
def test_every_cut_is_found_by_its_number(numbering):
    """With or without the sign, a number names the cut that the table shows."""
    table = cut_table(numbering)
    for cut in table.cuts:
        assert parse_cut(cut.name, table) == parse_cut(f"#{cut.name}", table) == cut
        assert cut.label == f"#{cut.name}"


@pytest.mark.parametrize("numbering", Numbering)
def test_the_table_is_in_order(numbering):
    """Widths rise with their numbers, so the first that fits is the narrowest."""
    cuts = cut_table(numbering).cuts
    assert [cut.width_mm for cut in cuts] == sorted({cut.width_mm for cut in cuts})
    assert [float(cut.name) for cut in cuts] == sorted(float(cut.name) for cut in cuts)


@given(st.floats(0.8, 50))
def test_any_width_can_be_given_outright(width_mm):
    """A width with its unit is a cut of that width, named as it was typed."""
    text = f"{width_mm:.2f} mm"
    cut = parse_cut(text, STEPPED)
    assert cut.width_mm == float(f"{width_mm:.2f}")
    assert cut.label == text


def test_a_number_of_the_other_system_is_refused():
    """#12 exists in thirty-seconds only; the stepped table says which cuts it has."""
    with pytest.raises(UsageError, match="no cut #12 in the stepped table") as caught:
        parse_cut("12", STEPPED)
    assert "8.5" in caught.value.hint


@pytest.mark.parametrize("text", ["8 in", "0.1 mm", "x", "8 cn", "-8 mm", ""])
def test_what_is_no_strip_is_refused(text):
    """Eight inches is a slip for #8, and must not pass for a strip that fits nowhere."""
    with pytest.raises(BadLength):
        parse_cut(text, STEPPED)


def test_own_widths_take_the_place_of_the_table_s():
    """A cutter that cuts #9 at 9 mm is believed, and the table stays in order."""
    table = cut_table(own_mm={"9": 9.0, "torn": 19.0})
    assert parse_cut("#9", table).width_mm == 9.0
    assert parse_cut("torn", table) == table.cuts[-1]
