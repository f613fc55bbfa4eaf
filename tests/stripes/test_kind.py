"""What kind of cloth it is."""

import pytest

from plaidcut.stripes.kind import kind_of_cloth
from plaidcut.stripes.measurement import Direction, Kind
from tests.setts import system


def kind(up, across, **how):
    """The kind of cloth of two setts."""
    return kind_of_cloth(system(up, **how), system(across, Direction.ACROSS, **how))


@pytest.mark.parametrize(
    ("up", "across", "expected"),
    [
        ("B300", "B300", Kind.SOLID),
        ("G18 T4 R9 T4", "T300", Kind.STRIPE),
        ("T300", "G18 T4 R9 T4", Kind.STRIPE),
        ("B8 W8", "B8.2 W8.2", Kind.CHECK),
        ("T60 W1.5", "T60 W1.5", Kind.CHECK),
        ("R14 W3 R4 G10", "R14 W3 R4 G10", Kind.PLAID),
        ("R14 W3 R4 G10", "R14 W3", Kind.PLAID),
    ],
)
def test_the_kind_follows_from_the_stripes(up, across, expected):
    """Solid, stripe, check and plaid are told by how many ways and how many bands."""
    found, confidence = kind(up, across)
    assert found is expected
    assert confidence >= 0.9


def test_a_tiny_check_may_be_a_houndstooth():
    """4 + 4 threads at 36 an inch (T13): bands alone can't tell it from a houndstooth."""
    found, confidence = kind("K2.8 W2.8", "K2.8 W2.8")
    assert found is Kind.UNSURE
    assert confidence < 0.5


def test_faint_stripes_without_a_repeat_are_no_plaid():
    """Unevenness of a tweed, seen as faint bands that never repeat, is called unsure."""
    found, confidence = kind("N9 N8 N11 N7", "N9 N8 N11 N7", repeats=False)
    assert found is Kind.UNSURE
    assert confidence < 0.5


def test_a_clear_plaid_of_less_than_a_repeat_is_less_sure():
    """Without a repeat one way the kind still shows, with less confidence."""
    up = system("R14 W3 R4 G10", repeats=False)
    found, confidence = kind_of_cloth(up, system("R14 W3 R4 G10", Direction.ACROSS))
    assert found is Kind.PLAID
    assert 0.5 <= confidence < 0.9
