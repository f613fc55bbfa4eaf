"""A width by ruler against the measured one."""

import pytest

from plaidcut.errors import BadLength, UsageError
from plaidcut.stripes.by_hand import HAND_STD_MM, measurement_by_hand, parse_bands
from plaidcut.stripes.ruler_check import check_by_ruler

CLOTH = measurement_by_hand(parse_bands("red 12.7 mm, navy 25.4 mm"))


@pytest.mark.parametrize(
    ("text", "difference_mm", "agrees"),
    [
        ("U1 = 1/2 in", 0.0, True),
        ("u2 = 25 mm", 0.4, True),
        ("U2=1 1/8 in", -3.175, False),
        ("U1 = 11 mm", 1.7, False),
    ],
)
def test_the_difference_is_judged_by_what_both_may_be_off(text, difference_mm, agrees):
    """Within twice the combined uncertainty (here 0.92 mm) they agree, beyond it not."""
    check = check_by_ruler(CLOTH, text)
    assert check.difference_mm == pytest.approx(difference_mm, abs=1e-9)
    assert check.std_mm == pytest.approx(2**0.5 * HAND_STD_MM)
    assert check.agrees is agrees


@pytest.mark.parametrize("text", ["U1", "U9 = 1 in", "= 1 in", "U1-U2 = 1 in", "Z1 = 1 in"])
def test_what_names_no_single_band_is_refused(text):
    """One band and one width, or nothing is compared."""
    with pytest.raises(UsageError):
        check_by_ruler(CLOTH, text)


def test_a_bare_number_is_refused():
    """The ruler's width needs its unit."""
    with pytest.raises(BadLength):
        check_by_ruler(CLOTH, "U1 = 12")
