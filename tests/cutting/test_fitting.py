"""The optimiser, against brute force on whole numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.fitting import Window, most_disjoint, strips_per_repeat

REPEATS = 20


def brute_force(allowed, strip):
    """The most starts, ``strip`` apart, among the places of a list that are allowed."""
    best = [0] * (len(allowed) + strip)
    for at in reversed(range(len(allowed))):
        best[at] = max(best[at + 1], allowed[at] * (1 + best[at + strip]))
    return best[0]


window = st.builds(
    lambda start, length: Window(start, start + length), st.integers(-60, 60), st.integers(0, 25)
)
windows = st.lists(window, min_size=1, max_size=6)


@given(windows, st.integers(1, 40))
def test_most_disjoint_is_the_most(places, strip):
    """No arrangement holds more strips than the one found."""
    allowed = [any(w.start_mm <= at <= w.end_mm for w in places) for at in range(-60, 90)]
    assert most_disjoint(places, strip_mm=strip) == brute_force(allowed, strip)


@given(windows, st.integers(5, 60), st.integers(1, 80))
def test_strips_per_repeat_is_the_rate_of_the_most(places, repeat, strip):
    """Over many repeats the most strips are the rate times the repeats, to within a strip."""
    ring = [
        any((at - w.start_mm) % repeat <= w.end_mm - w.start_mm for w in places)
        for at in range(repeat)
    ]
    most = brute_force(ring * REPEATS, strip)
    rate = strips_per_repeat(places, repeat_mm=repeat, strip_mm=strip)
    longest = strip / repeat + 1  # the last strip may need what lies beyond the run
    assert rate * (REPEATS - longest) - 1 <= most <= rate * (REPEATS + longest) + 1


@given(windows, st.integers(5, 60), st.integers(1, 80), st.integers(-100, 100))
def test_where_the_repeat_begins_does_not_matter(places, repeat, strip, shift):
    """All windows moved alike round the repeat give the same rate."""
    moved = [Window(w.start_mm + shift, w.end_mm + shift) for w in places]
    assert strips_per_repeat(moved, repeat_mm=repeat, strip_mm=strip) == pytest.approx(
        strips_per_repeat(places, repeat_mm=repeat, strip_mm=strip)
    )


def test_no_window_no_strip():
    """Where no strip can hold the stripe there is none."""
    assert strips_per_repeat([], repeat_mm=10, strip_mm=3) == 0
    assert most_disjoint([], strip_mm=3) == 0


def test_equal_windows_just_a_strip_apart_all_count():
    """Rounding of the last digit costs no strip."""
    third = 19.1 / 3
    places = [Window(k * third, k * third) for k in range(3)]
    assert strips_per_repeat(places, repeat_mm=19.1, strip_mm=19.1 / 3) == 3


def test_windows_all_round_give_as_many_as_fit():
    """Where a strip may start anywhere, repeat over strip of them do."""
    assert strips_per_repeat([Window(0, 12)], repeat_mm=10, strip_mm=3) == pytest.approx(10 / 3)


def test_a_pattern_that_never_comes_round_is_averaged():
    """With a narrow gap and an odd strip the rate is between none lost and one a repeat."""
    rate = strips_per_repeat([Window(0, 10 - 1e-4)], repeat_mm=10, strip_mm=2**0.5)
    assert 10 / 2**0.5 - 0.01 < rate <= 10 / 2**0.5
