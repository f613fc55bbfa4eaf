"""Which wool goes where: against closed forms and brute force on small cases, and conservation."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.strip import Holds
from plaidcut.rug.areas import Extent
from plaidcut.rug.coverage import Multiplier, multiplier_of
from plaidcut.rug.match import match
from plaidcut.rug.needs import Need, Strips, Supply, Tightness, Wants, Way, suits
from plaidcut.stripes.colour import colour_of_words

TABLE = cut_table()
EIGHT, SIX = (parse_cut(name, TABLE) for name in ("8", "6"))
FIVE = Multiplier(low=4.0, typical=5.0, high=6.0)


def need(length_mm, *, wants=None, cut=EIGHT, name="area"):
    """An area that takes a length of strip with typical hooking."""
    area_mm2 = length_mm * cut.width_mm / FIVE.typical
    return Need(
        name=name,
        extent=Extent(area_mm2=area_mm2),
        cut=cut,
        wants=wants or Wants(),
        multiplier=FIVE,
    )


def strips(length_mm, *, label="plain", value=None, holds=Holds.PLAIN, bands=()):
    """Strips that are there however they are counted."""
    reads = None if value is None else colour_of_words(value)
    return Strips(
        label=label,
        length_mm=dict.fromkeys(Tightness, length_mm),
        reads=reads,
        holds=holds,
        bands=bands,
    )


def supply(name, *kinds, cut=EIGHT):
    """A supply that is cut in one way."""
    return Supply(name=name, ways=(Way(cut=cut, strips=kinds),))


def matched(needs, supplies, reserve=0.0):
    """Typical hooking, no range of strips."""
    return match(
        needs,
        supplies,
        hooked=Tightness.TYPICAL,
        strips=Tightness.TYPICAL,
        reserve=[reserve] * len(supplies),
    )


amounts = st.floats(500, 50_000)


@settings(deadline=None, max_examples=80)
@given(
    st.tuples(amounts, amounts), st.tuples(amounts, amounts), st.tuples(*[st.integers(0, 2)] * 2)
)
def test_two_areas_and_two_wools(takes, there, asked):
    """The first area gets all it can, the second all that leaves: by the marriage theorem.

    With two areas and two wools, what the second can have is what its own wools hold, and what
    both areas' wools hold together less what the first has taken.
    """
    names = ("a", "b")
    wants = [Wants(supply=None if who == 2 else names[who]) for who in asked]
    needs = [need(length, wants=each) for length, each in zip(takes, wants, strict=True)]
    supplies = [supply(name, strips(length)) for name, length in zip(names, there, strict=True)]
    found = matched(needs, supplies)
    reach = [{0, 1} if who == 2 else {who} for who in asked]
    held = [sum(there[k] for k in each) for each in reach]
    both = sum(there[k] for k in reach[0] | reach[1])
    first = min(1.0, held[0] / takes[0])
    second = min(1.0, held[1] / takes[1], (both - first * takes[0]) / takes[1])
    assert found.covered == pytest.approx((first, second), abs=1e-3)
    fewest = min(
        (
            len(pairs)
            for pairs in _choices(reach)
            if _feasible(pairs, [first * takes[0], second * takes[1]], there)
        ),
    )
    used = {
        (taken.need, taken.supply)
        for taken in found.taken
        if taken.length_mm > 1e-3 * takes[taken.need]
    }
    assert len(used) <= fewest


def _choices(reach):
    """Every set of (area, wool) that may be used."""
    pairs = [(n, s) for n, each in enumerate(reach) for s in each]
    for used in product((False, True), repeat=len(pairs)):
        yield [pair for pair, is_used in zip(pairs, used, strict=True) if is_used]


def _feasible(pairs, takes, there):
    """Whether those wools alone give the areas so much: Hall's condition for two of each."""
    for areas in ((0,), (1,), (0, 1)):
        wools = {s for n, s in pairs if n in areas}
        if sum(takes[n] for n in areas) > sum(there[s] for s in wools) * (1 + 1e-3) + 1:
            return False
    return True


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(amounts, st.sampled_from([None, "red", "navy"])), min_size=1, max_size=4),
    st.lists(st.tuples(amounts, st.sampled_from(["red", "navy"]), amounts), min_size=1, max_size=3),
    st.floats(0, 0.3),
)
def test_nothing_is_used_twice(areas, wools, reserve):
    """Shares of a supply and its reserve make at most one; strips taken are there; sums add up."""
    needs = [
        need(
            length,
            wants=Wants(colour=None if colour is None else colour_of_words(colour)),
            cut=EIGHT if k % 2 == 0 else SIX,
        )
        for k, (length, colour) in enumerate(areas)
    ]
    supplies = [
        Supply(
            name=f"wool {k}",
            ways=tuple(
                Way(
                    cut=cut,
                    strips=(strips(length, label=colour, value=colour), strips(rest, label="rest")),
                )
                for cut in (EIGHT, SIX)
            ),
        )
        for k, (length, colour, rest) in enumerate(wools)
    ]
    found = matched(needs, supplies, reserve)
    for s, shares in enumerate(found.shares):
        assert sum(share for _, share in shares) <= 1 - reserve + 1e-6
        for way, share in shares:
            for each in way.strips:
                taken_mm = sum(
                    taken.length_mm
                    for taken in found.taken
                    if taken.supply == s and taken.way is way and taken.strips is each
                )
                assert taken_mm <= share * each.length_mm[Tightness.TYPICAL] + 0.1
    for n, each in enumerate(needs):
        got_mm = sum(taken.length_mm for taken in found.taken if taken.need == n)
        takes_mm = each.length_mm(Tightness.TYPICAL)
        assert got_mm >= (found.covered[n] - 2e-4) * takes_mm
        for taken in found.taken:
            if taken.need == n:
                assert taken.way.cut == each.cut
                assert suits(supplies[taken.supply], taken.strips, each.wants)


def test_a_cloth_is_cut_in_two_ways_by_shares():
    """Half of a cloth in #8 and half in #6: each area gets what its half holds."""
    cloth = Supply(
        name="cloth",
        ways=(Way(cut=EIGHT, strips=(strips(8000),)), Way(cut=SIX, strips=(strips(10_000),))),
    )
    found = matched([need(4000), need(8000, cut=SIX)], [cloth])
    assert found.covered == pytest.approx((1.0, 5000 / 8000), abs=1e-4)


def test_one_cloth_for_each_area_where_that_can_be():
    """Two areas could each take from both; each takes from one."""
    found = matched(
        [need(4000), need(5000)], [supply("a", strips(5000)), supply("b", strips(4000))]
    )
    assert found.enough
    assert sorted((taken.need, taken.supply) for taken in found.taken) == [(0, 1), (1, 0)]


@pytest.mark.parametrize(
    ("wants", "suitable"),
    [
        (Wants(), True),
        (Wants(supply="a"), True),
        (Wants(supply="b"), False),
        (Wants(stripe=("U4",)), True),
        (Wants(stripe=("U3", "U4")), False),
        (Wants(band="U4"), False),
        (Wants(value="dark"), True),
        (Wants(value="light"), False),
        (Wants(colour=colour_of_words("navy")), True),
        (Wants(colour=colour_of_words("yellow")), False),
    ],
)
def test_what_suits(wants, suitable):
    """All that is wanted must hold: cloth, stripe, band, value, colour."""
    whole = strips(10, value="navy", holds=Holds.WHOLE, bands=("U4",))
    assert suits(supply("a", whole), whole, wants) is suitable


def test_wool_of_no_known_colour_suits_no_colour():
    """What isn't known is no match."""
    unknown = strips(10)
    assert not suits(supply("a", unknown), unknown, Wants(value="dark"))
    assert not suits(supply("a", unknown), unknown, Wants(colour=colour_of_words("navy")))


def test_multipliers_are_as_published():
    """A need takes area times multiplier over width."""
    found = Need(
        name="n",
        extent=Extent(area_mm2=100.0),
        cut=EIGHT,
        wants=Wants(),
        multiplier=multiplier_of(EIGHT),
    )
    assert found.length_mm(Tightness.HIGH) == pytest.approx(100 * 8 / 6.35)
