"""Strips per band and the stripe table."""

from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from plaidcut.cutting.cuts import Cut, cut_table
from plaidcut.cutting.strips import overhang_mm, strip_count
from plaidcut.cutting.yields import WANDER_TORN_MM, State, run_width, yields_of
from plaidcut.errors import UsageError
from plaidcut.stripes.runs import parse_run
from tests.setts import bands_of, cloth, sett, system

CUTS = cut_table().cuts
EIGHT = next(cut for cut in CUTS if cut.name == "8")
INCH = 25.4


def stripe_in(found, cut_name, nth=0):
    """What a cut makes of the nth stripe."""
    return next(each for each in found.stripes[nth].cuts if each.cut.name == cut_name)


width = st.floats(0.5, 80)
uncertainty = st.floats(0, 0.5)
cut_width = st.floats(1, 30)


@given(width, uncertainty, cut_width)
def test_counts_are_the_largest_that_fit(width_mm, std_mm, cut_mm):
    """No count can be one more and still meet its inequality, none fails it."""
    cut = Cut(name="x", width_mm=cut_mm)
    found = strip_count(cut, width_mm, std_mm, WANDER_TORN_MM)
    reach = overhang_mm(cut_mm)
    for n, room in [
        (found.count, width_mm + reach),
        (found.low, width_mm - 2 * std_mm + reach),
        (found.high, width_mm + 2 * std_mm + reach),
        (found.sure, width_mm - 2 * std_mm - 2 * WANDER_TORN_MM),
    ]:
        assert n == 0 or n * cut_mm <= room + 2e-6
        assert (n + 1) * cut_mm > room
    assert found.sure <= found.low <= found.count <= found.high
    assert found.spare_mm == pytest.approx(width_mm - found.count * cut_mm)


def test_overhang_is_an_eighth_of_the_strip_and_at_most_a_32nd_of_an_inch():
    """1/8 of a #3 is under 1/32 in; of a #8.5 it would be over."""
    assert overhang_mm(3 / 32 * INCH) == pytest.approx(3 / 256 * INCH)
    assert overhang_mm(10 / 32 * INCH) == pytest.approx(INCH / 32)


def test_equal_to_a_millionth_of_a_millimetre_is_equal():
    """A width short of a whole number of strips by rounding alone loses none."""
    cut = Cut(name="x", width_mm=0.1)
    assert strip_count(cut, 0.3 - 0.0125 - 1e-9, 0.0, 0.0).count == 3


@pytest.mark.parametrize(
    ("width_mm", "spoken"),
    [
        (3.0, "none"),
        (6.35, "maybe 1"),
        (8.0, "count on 1"),
        (25.4, "count on 3, maybe 4"),
    ],
)
def test_a_count_is_spoken_as_people_read_it(width_mm, spoken):
    """What is sure comes first; what may come out on top is a maybe."""
    assert strip_count(EIGHT, width_mm, 0.0, WANDER_TORN_MM).spoken == spoken


def test_every_known_band_has_a_count_for_every_cut():
    """Bands of both systems are listed, each with all cuts, narrowest first."""
    found = yields_of(cloth("K40 Y2 R12", "B30 W3"), CUTS)
    assert [each.band.id for each in found.bands] == ["U1", "U2", "U3", "X1", "X2"]
    for each in found.bands:
        assert [strip.cut for strip in each.strips] == list(CUTS)
    assert [cut.width_mm for cut in found.cuts] == sorted(cut.width_mm for cut in CUTS)


def test_partial_bands_and_plain_cloth_have_no_counts():
    """Where the width isn't known, or has no end, nothing is counted."""
    measured = cloth(system("R9 Y2 K20 W3", repeats=False), "K100")
    found = {each.band.id: each.strips for each in yields_of(measured, CUTS).bands}
    assert [band_id for band_id, strips in found.items() if not strips] == ["U1", "U4", "X1"]


def test_states_follow_the_stripe_and_the_wander():
    """Narrower than the stripe splits; within the wander is tight; beyond it whole."""
    measured = cloth("K60 Y5", edge_std_mm=0.0)
    states = {each.cut.name: each.state for each in yields_of(measured, CUTS).stripes[0].cuts}
    assert states["6"] is State.SPLIT  # 4.76 < 5
    assert states["8"] is State.TIGHT  # 6.35 < 5 + 1.59
    assert states["8.5"] is State.WHOLE  # 7.94


def test_the_best_cut_is_the_narrowest_that_keeps_it_whole():
    """A 5 mm stripe is kept whole by a #8.5, and no width by hand is given."""
    stripe = yields_of(cloth("K60 Y5", edge_std_mm=0.0), CUTS).stripes[0]
    assert stripe.best_cut is not None
    assert stripe.best_cut.name == "8.5"
    assert stripe.hand_width_mm is None


def test_a_broad_stripe_is_cut_by_hand():
    """No cut keeps a 14 mm stripe whole: the width for it is told instead."""
    stripe = yields_of(cloth("K90 R14", edge_std_mm=0.1), CUTS).stripes[0]
    assert stripe.best_cut is None
    assert stripe.hand_width_mm == pytest.approx(14 + 0.2 + INCH / 16)


def test_the_design_example_of_the_stripe_table():
    """5.2 mm on #8: share 0.82, kept 1, margin 0.58 mm, 14.99 plain strips a repeat."""
    measured = cloth("K90 Y5.2", edge_std_mm=0.0)
    found = stripe_in(yields_of(measured, CUTS), "8")
    assert found.state is State.TIGHT
    assert found.share == pytest.approx(0.82, abs=0.005)
    assert found.kept == 1
    assert found.margin_mm == pytest.approx(0.575)
    assert found.plain_per_repeat == pytest.approx(14.99, abs=0.005)
    assert found.whole_per_repeat == 1
    assert found.all_stripe == 0


def test_a_broad_bar_gives_strips_that_are_all_stripe():
    """A 1 in red bar is split in every cut, and gives three #8 strips that are all red."""
    found = yields_of(cloth("K90 R25.4", edge_std_mm=0.0), CUTS)
    assert {each.state for each in found.stripes[0].cuts} == {State.SPLIT}
    assert stripe_in(found, "8").all_stripe == 3
    assert stripe_in(found, "8").kept == pytest.approx(0.25)
    assert stripe_in(found, "8").whole_per_repeat == 0


def test_mirrored_twins_give_two_strips_a_repeat():
    """A stripe on both arms of a mirrored sett is kept twice in every repeat."""
    measured = cloth(system("K30 B12 Y2 R30", mirrored=True))
    found = yields_of(measured, CUTS, keep=[("U3",)])
    assert stripe_in(found, "8").whole_per_repeat == 2


def test_a_run_counts_either_way_round():
    """White beside red on one arm is red beside white on the other: the same stripe."""
    measured = cloth("K30 W2 R3 K25 R3 W2")
    found = yields_of(measured, CUTS, keep=[("U2", "U3")])
    assert stripe_in(found, "8").whole_per_repeat == 2


def test_a_strip_that_holds_two_occurrences_counts_once():
    """Two lines 1 mm apart fall in one #10 strip: one strip a repeat, not two."""
    measured = cloth("K60 Y2 K1 Y2", edge_std_mm=0.0)
    found = yields_of(measured, CUTS, keep=[("U2",)])
    assert stripe_in(found, "10").whole_per_repeat == 1
    assert stripe_in(found, "3").whole_per_repeat == 2  # tight: each takes its own line


def test_a_strip_may_cross_the_end_of_the_repeat():
    """A stripe at the very end of the repeat is kept as well as one in its middle."""
    at_end = yields_of(cloth("Y2 K40 B20"), CUTS, keep=[("U1",)])
    inside = yields_of(cloth("K20 Y2 K20 B20"), CUTS, keep=[("U2",)])
    assert stripe_in(at_end, "8").whole_per_repeat == 1
    assert stripe_in(inside, "8").whole_per_repeat == 1


def test_without_a_repeat_nothing_is_said_per_repeat():
    """Without a repeat the stripe has a state, and no rate."""
    found = stripe_in(yields_of(cloth(system("R9 Y2 K20 Y2 W3", repeats=False)), CUTS), "8")
    assert found.state is State.WHOLE
    assert found.plain_per_repeat is None
    assert found.whole_per_repeat is None


def test_keep_overrules_what_is_bold():
    """The stripe that she names stands in the table, and no other."""
    found = yields_of(cloth("K60 Y5 K9 R3"), CUTS, keep=[("U3",)])
    assert [stripe.bands for stripe in found.stripes] == [("U3",)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("U2", ("U2",)),
        ("u2-u4", ("U2", "U3", "U4")),
        ("U4 - U1", ("U4", "U1")),
        ("X2", ("X2",)),
    ],
)
def test_bands_are_named_alone_or_as_a_run(text, expected):
    """One band, or the ends of a run, which may go round the repeat."""
    assert parse_run(text, cloth("K40 Y2 R12 W2", "B30 W3")) == expected


@pytest.mark.parametrize("text", ["", "4", "yellow", "U9", "U1-X2", "U2-U4-U1"])
def test_what_names_no_band_is_refused(text):
    """A band that isn't there, or no band at all, is said to be wrong."""
    with pytest.raises(UsageError):
        parse_run(text, cloth("K40 Y2 R12 W2", "B30 W3"))


@pytest.mark.parametrize("text", ["U1", "U3-U4", "X1", "U4-U1"])
def test_a_stripe_of_unknown_width_is_refused(text):
    """What the picture cuts off, plain cloth, or a run that needs a repeat can't be kept."""
    measured = cloth(system("R9 Y2 K20 W3", repeats=False))
    with pytest.raises(UsageError):
        yields_of(measured, CUTS, keep=[parse_run(text, measured)])


def test_a_section_counts_its_strips_and_those_that_keep_a_stripe():
    """O06: four #8 wide with two bold stripes: four strips, or two with a stripe whole."""
    measured = cloth("K4 Y3 K10 R3 K5.4 B60", edge_std_mm=0.0)
    section = yields_of(
        measured, CUTS, keep=[("U2",), ("U4",)], section=parse_run("U1-U5", measured)
    ).section
    assert section is not None
    assert section.width_mm == pytest.approx(4 * EIGHT.width_mm)
    eight = next(each for each in section.cuts if each.strips.cut == EIGHT)
    assert eight.strips.count == 4
    assert eight.whole == 2


def test_a_section_may_go_round_the_repeat():
    """From the last band to the first, over the end of the repeat."""
    measured = cloth("K40 Y2 R12 W2")
    section = yields_of(measured, CUTS, section=parse_run("U4-U2", measured)).section
    assert section is not None
    assert section.bands == ("U4", "U1", "U2")
    assert section.width_mm == pytest.approx(44)


def test_a_section_without_a_stripe_keeps_none():
    """Where no bold stripe lies in the section, there is nothing to keep whole."""
    measured = cloth("K40 Y2 R12 W2")
    section = yields_of(measured, CUTS, section=("U1",)).section
    assert section is not None
    assert {each.whole for each in section.cuts} == {None}


def test_the_width_of_a_run_adds_up_with_what_the_photo_shares():
    """Shared scale error adds over the bands, the edges between them cancel."""
    bands = bands_of(sett("K3 Y2 K3"), edge_std_mm=0.1, relative_std=0.01)
    width_mm, std_mm = run_width(bands)
    assert width_mm == pytest.approx(8)
    assert std_mm == pytest.approx((0.1**2 + 0.08**2) ** 0.5)
    assert run_width(bands[:1])[1] == pytest.approx(bands[0].width_std_mm)


letters = st.sampled_from("KWRBGY")
setts = st.lists(st.tuples(letters, st.floats(1, 30)), min_size=2, max_size=9)


@settings(max_examples=50)
@given(setts, st.data())
def test_whole_strips_are_no_more_than_plain_ones_or_occurrences(items, data):
    """A strip takes its width of cloth, and at least one occurrence."""
    assume(all(a[0] != b[0] for a, b in pairwise([*items, items[0]])))
    measured = cloth(" ".join(f"{letter}{width}" for letter, width in items))
    first = data.draw(st.integers(0, len(items) - 1))
    found = yields_of(measured, CUTS, keep=[(f"U{first + 1}",)]).stripes[0]
    at_most = sum(
        item[0] == items[first][0] and abs(item[1] - items[first][1]) < 0.3 for item in items
    )
    for each in found.cuts:
        assert each.whole_per_repeat <= min(at_most, each.plain_per_repeat) + 1e-6
        assert (each.whole_per_repeat > 0) == (each.state is not State.SPLIT)
    widest = found.cuts[-1]
    if widest.state is State.WHOLE:
        assert found.best_cut is not None
    assert 0 < widest.share <= 1
    assert 0 < widest.kept <= 1


@settings(max_examples=50)
@given(setts, st.integers(1, 8))
def test_yields_do_not_depend_on_where_the_repeat_begins(items, turn):
    """The same cloth told from another band on gives the same strips per repeat."""
    assume(all(a[0] != b[0] for a, b in pairwise([*items, items[0]])))
    turn %= len(items)
    turned = items[turn:] + items[:turn]
    rates = []
    for told, band in ((items, turn), (turned, 0)):
        up = system(" ".join(f"{letter}{width}" for letter, width in told))
        found = yields_of(cloth(up), CUTS, keep=[(f"U{band + 1}",)])
        rates.append([each.whole_per_repeat for each in found.stripes[0].cuts])
    assert rates[0] == pytest.approx(rates[1])
