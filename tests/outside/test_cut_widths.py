"""Cut widths against what trade pages print (A01-A06, O05)."""

from fractions import Fraction

import pytest

from plaidcut.cutting.cuts import Numbering, cut_table, parse_cut

STEPPED = cut_table(Numbering.STEPPED)
THIRTY_SECONDS = cut_table(Numbering.THIRTY_SECONDS)


@pytest.mark.parametrize("table", [STEPPED, THIRTY_SECONDS])
@pytest.mark.parametrize("number", range(2, 9))
def test_up_to_8_a_cut_is_its_number_of_32nds(table, number):
    """A01: #n is n/32 in for n from 2 to 8, whatever the system."""
    assert parse_cut(str(number), table).width_mm == float(Fraction(number, 32) * Fraction("25.4"))


@pytest.mark.parametrize(
    ("table", "name", "width_mm"),
    [
        pytest.param(STEPPED, "8.5", 7.9375, id="A02"),
        pytest.param(THIRTY_SECONDS, "9", 25.4 * 9 / 32, id="A03, thirty-seconds"),
        pytest.param(STEPPED, "9", 25.4 * 3 / 8, id="A03, stepped"),
        pytest.param(THIRTY_SECONDS, "10", 25.4 * 5 / 16, id="A04, thirty-seconds"),
        pytest.param(STEPPED, "10", 25.4 / 2, id="A04, stepped"),
        pytest.param(THIRTY_SECONDS, "12", 9.525, id="A05"),
    ],
)
def test_above_8_each_system_has_its_own_widths(table, name, width_mm):
    """A02-A05: above #8 the same number means another width in the other system."""
    assert parse_cut(name, table).width_mm == pytest.approx(width_mm, rel=1e-12)


def test_8_and_8_5_differ_by_a_sixteenth():
    """O05: they look alike, and are 1/16 in apart."""
    difference_mm = parse_cut("8.5", STEPPED).width_mm - parse_cut("8", STEPPED).width_mm
    assert difference_mm == pytest.approx(25.4 / 16, rel=1e-12)


def test_heads_slit_as_many_strips_as_one_machine_s_do():
    """A06: strips a pass where nothing else is said; what she says of her own cutter wins."""
    known = {"3": 6, "4": 4, "5": 4, "6": 4, "7": 4, "8": 3, "8.5": 2}
    assert {name: parse_cut(name, STEPPED).strips_per_pass for name in known} == known
    own = cut_table(per_pass={"8": 2})
    assert parse_cut("8", own).strips_per_pass == 2
    assert parse_cut("1 in", own).strips_per_pass == 1
