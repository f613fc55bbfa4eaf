"""What kind of cloth it is."""

import pytest

from plaidcut.cloth.columns import Columns
from plaidcut.cloth.lattice import Structure
from plaidcut.stripes.flecks import Flecks
from plaidcut.stripes.kind import kind_of_cloth
from plaidcut.stripes.measurement import Direction, Kind, WeaveRecord
from plaidcut.stripes.small_check import SmallCheck
from plaidcut.stripes.texture import Texture
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


def texture(*, structure=None, **how):
    """A texture of which nothing is known but this."""
    return Texture(weave=WeaveRecord(structure=structure), **how)


def small(threads, structure=Structure.TWILL, like=0.95):
    """A small check of so many threads both ways."""
    return SmallCheck(
        threads=(threads, threads), structure=structure, slant=1, like=like, beside=0.3
    )


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        (texture(small=small(4)), Kind.HOUNDSTOOTH),
        (texture(small=small(6)), Kind.SHEPHERDS_CHECK),
        (texture(small=small(8)), Kind.SHEPHERDS_CHECK),
        (texture(small=small(10)), Kind.CHECK),
        (texture(small=small(4, Structure.PLAIN)), Kind.CHECK),
        (texture(glen=True), Kind.GLEN_CHECK),
        (None, Kind.UNSURE),
        (texture(small_unclear=True), Kind.UNSURE),
    ],
)
def test_threads_tell_a_small_check(seen, expected):
    """T13: four threads in twill, six or eight, blocks, plain weave; unsure without threads."""
    up, across = system("K2.8 W2.8"), system("K2.8 W2.8", Direction.ACROSS)
    assert kind_of_cloth(up, across, seen)[0] is expected


@pytest.mark.parametrize(
    ("light", "colour", "expected", "sure"),
    [
        (0.3, 0.2, Kind.SOLID, True),
        (0.3, 0.47, Kind.UNSURE, False),
        (0.5, 0.8, Kind.TWEED, True),
        (1.5, 2.5, Kind.TWEED, True),
    ],
)
def test_flecks_tell_a_tweed_from_plain_cloth(light, colour, expected, sure):
    """What varies more than plain cloth and less than a heather is neither for sure."""
    up, across = system("N100"), system("N100", Direction.ACROSS)
    seen = Flecks(light=light, colour=colour)
    told = texture(flecks=seen, structure=Structure.TWILL)
    kind, confidence = kind_of_cloth(up, across, told)
    assert kind is expected
    assert (confidence >= 0.75) == sure


def test_a_tweed_is_not_sure_where_its_threads_are_not_told_apart():
    """A herringbone seen too small is as uneven as a tweed, so the tweed is named with a doubt."""
    up, across = system("N100"), system("N100", Direction.ACROSS)
    seen = texture(flecks=Flecks(light=1.5, colour=2.5))
    kind, confidence = kind_of_cloth(up, across, seen)
    assert kind is Kind.TWEED
    assert confidence < 0.75


def test_columns_make_a_herringbone_of_plain_cloth_only():
    """A plaid woven in herringbone stays a plaid."""
    seen = texture(columns=Columns(width_mm=9.0, width_std_mm=0.1, system=0, swing=0.9))
    plain = kind_of_cloth(system("N100"), system("N100", Direction.ACROSS), seen)
    assert plain[0] is Kind.HERRINGBONE
    sett = "R14 W3 R4 G10"
    plaid = kind_of_cloth(system(sett), system(sett, Direction.ACROSS), seen)
    assert plaid[0] is Kind.PLAID
