"""Lengths in and out."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.errors import BadLength
from plaidcut.units import (
    MOST_MM,
    Units,
    format_length,
    format_measured,
    parse_length,
    parse_size,
    ruler_inches,
    told,
    unit_of,
)

UNITS_MM = {"in": 25.4, "inches": 25.4, '"': 25.4, "″": 25.4, "mm": 1.0, "cm": 10.0, "ft": 304.8}


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("1/4 in", 6.35),
        ("3 1/2in", 88.9),
        ('3-1/2"', 88.9),
        ("3½″", 88.9),
        ("½ in", 12.7),
        ("3 1⁄2 in", 88.9),
        ('7/32"', 5.55625),
        ("6.35 mm", 6.35),
        ("6,35 mm", 6.35),
        (" 1.2 cm ", 12.0),
        (".5 in.", 12.7),
        ("5 Inches", 127.0),
        ("2'", 609.6),
        ("1 yd", 914.4),
        ("1.5 m", 1500.0),
    ],
)
def test_lengths_are_read_as_people_write_them(text, length_mm):
    """Inches as a ruler shows them, decimals, marks and commas all give exact millimetres."""
    assert parse_length(text) == length_mm


@pytest.mark.parametrize("number", ["5", "1/4", "3 1/2", "0.25", "½"])
def test_a_bare_number_is_refused_with_the_fix(number):
    """Nobody can know what 5 means, so the error shows it with each unit."""
    with pytest.raises(BadLength, match="no unit") as caught:
        parse_length(number)
    assert f'"{number} in"' in caught.value.hint
    assert f'"{number} mm"' in caught.value.hint


@pytest.mark.parametrize(
    "text",
    ["", "in", "nan mm", "inf mm", "1e3 mm", "5 cn", "1/0 in", "3 9/8 in", "12 34 mm", ". mm"],
)
def test_what_is_no_length_is_refused(text):
    """A text that isn't one number and one unit is never half read."""
    with pytest.raises(BadLength):
        parse_length(text)


@pytest.mark.parametrize("text", ["0 mm", "0/4 in", "-3 in", "−3 in", "-1/4 in"])
def test_nothing_and_less_are_refused(text):
    """A width of nothing or less cuts no strip."""
    with pytest.raises(BadLength, match="not more than nothing"):
        parse_length(text)


def test_nothing_is_read_where_it_is_sensible():
    """An edge may wander by nothing at all, but never by less."""
    assert parse_length("0 mm", zero=True) == 0
    with pytest.raises(BadLength):
        parse_length("-1 mm", zero=True)


def test_the_longest_length_is_still_read():
    """100 m is taken, one millimetre more is a slip of the finger."""
    assert parse_length("100 m") == MOST_MM
    with pytest.raises(BadLength, match="longer than 100 m"):
        parse_length("100001 mm")


def test_a_comma_before_three_digits_is_refused():
    """1,000 mm may be one metre or one millimetre, so it is not guessed."""
    with pytest.raises(BadLength, match="comma"):
        parse_length("1,000 mm")


@given(st.integers(0, 99), st.integers(1, 63), st.sampled_from(sorted(UNITS_MM)))
def test_mixed_numbers_mean_what_they_say(whole, over, unit):
    """Whole, fraction and unit add up exactly, however the three are joined."""
    expected_mm = float((whole + Fraction(over, 64)) * Fraction(str(UNITS_MM[unit])))
    for text in (f"{whole} {over}/64 {unit}", f"{whole}-{over}/64{unit}"):
        assert parse_length(text) == pytest.approx(expected_mm, rel=1e-12)


@given(st.floats(0.02, MOST_MM))
def test_millimetres_come_back(length_mm):
    """What is written in millimetres reads back within the half of its last digit."""
    assert parse_length(format_length(length_mm, Units.MM)) == pytest.approx(length_mm, abs=0.0051)


@given(st.floats(0.02, MOST_MM - 1))
def test_inches_come_back(length_mm):
    """What is written in inches reads back within half a thousandth of an inch."""
    assert parse_length(format_length(length_mm, Units.IN)) == pytest.approx(length_mm, abs=0.0128)


@given(st.integers(1, 3200))
def test_thirty_seconds_are_written_as_a_ruler_shows_them(count):
    """A whole number of 32nds is never shown as a decimal, and comes back exactly."""
    text = format_length(count * 25.4 / 32, Units.IN)
    assert "." not in text
    assert parse_length(text) == pytest.approx(count * 25.4 / 32, rel=1e-12)


@given(st.floats(0.1, 1000))
def test_the_nearest_graduation_is_within_half_of_one(length_mm):
    """The ruler's reading is never further off than half a 32nd."""
    text = ruler_inches(length_mm)
    reading_mm = parse_length(f"{text} in", zero=True)
    assert abs(reading_mm - length_mm) <= 25.4 / 64 + 1e-9


@pytest.mark.parametrize(
    ("std_mm", "text"),
    [
        (0.1, "12.70 ± 0.10 mm"),
        (0.0354, "12.700 ± 0.035 mm"),
        (0.0356, "12.70 ± 0.04 mm"),
        (0.0949, "12.70 ± 0.09 mm"),
        (0.0951, "12.70 ± 0.10 mm"),
        (1.34, "12.7 ± 1.3 mm"),
        (None, "12.7 mm"),
    ],
)
def test_digits_follow_the_uncertainty(std_mm, text):
    """The Particle Data Group's 354 / 949 rule sets the digits of both numbers."""
    assert format_measured(12.7, std_mm, Units.MM) == text


@given(st.floats(0.5, 500), st.floats(0.001, 5), st.sampled_from(Units))
def test_rounding_hides_no_more_than_the_uncertainty_allows(length_mm, std_mm, units):
    """Rounding moves a measured value by less than a fifth of its uncertainty."""
    value, std, unit = format_measured(length_mm, std_mm, units).replace(" ± ", " ").split()
    per_unit = {"in": 25.4, "mm": 1.0}[unit]
    assert abs(float(value) * per_unit - length_mm) < 0.2 * std_mm
    assert float(std) * per_unit == pytest.approx(std_mm, rel=0.15)


@pytest.mark.parametrize(
    ("text", "size_mm"),
    [
        ("6 in x 4 in", (152.4, 101.6)),
        ("20 x 14 in", (508.0, 355.6)),
        ('3½ x 5½"', (88.9, 139.7)),
        ("85.60 × 53.98 mm", (85.6, 53.98)),
        ("3 by 5 in", (76.2, 127.0)),
        ("6X4in", (152.4, 101.6)),
        ("10 cm * 2 in", (100.0, 50.8)),
    ],
)
def test_sizes_are_read_in_the_order_typed(text, size_mm):
    """One unit at the end serves both sides; two units are both heeded."""
    assert parse_size(text) == size_mm


@pytest.mark.parametrize("text", ["6", "6 in", "x 4 in", "6 in x 4", "6 x 4", "1 x 2 x 3 in"])
def test_what_is_no_size_is_refused(text):
    """A size needs two sides and a unit that belongs to both."""
    with pytest.raises(BadLength):
        parse_size(text)


@pytest.mark.parametrize(("text", "unit"), [("97 mm", "mm"), ('3 15/16"', "in"), ("9.7cm", "cm")])
def test_the_unit_that_was_typed_is_known(text, unit):
    """Which check bar was measured follows from the unit, however it is spelt."""
    assert unit_of(text) == unit


def test_a_length_is_told_in_both_units():
    """Who types inches and who types millimetres both read how long it is."""
    assert told(6.3) == "1/4 in (6.3 mm)"
    assert told(7.5) == "9/32 in (7.5 mm)"


@given(st.floats(0.1, 2000))
def test_what_must_be_at_least_so_long_is_never_told_shorter(length_mm):
    """Rounding goes up in both units where less would not do."""
    inches, mm = told(length_mm, at_least=True).removesuffix(" mm)").split(" in (")
    assert float(mm) >= length_mm - 1e-6
    assert parse_length(f"{inches} in") >= length_mm - 1e-4
