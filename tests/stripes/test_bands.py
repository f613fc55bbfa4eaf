"""From cuts to sequences: where a repeat starts, and whether it mirrors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.stripes.bands import edge_shifts, pivots, plain_sequence, repeat_sequence
from plaidcut.stripes.measure import plain_signal, repeat_signal
from plaidcut.stripes.profile import lab_of
from plaidcut.stripes.repeat import find_repeat
from plaidcut.stripes.segment import cut_into_bands
from tests.stripes.signals import DARK_CROSSING, INK, bands, profile


def sett(text):
    """Widths and L*a*b* of a sett's bands."""
    letters, widths = bands(text)
    return widths, lab_of(np.array([INK[c] for c in letters]) / 2 + DARK_CROSSING)


@given(turn=st.integers(0, 5))
def test_pivots_are_found_wherever_the_cut_begins(turn):
    """A mirrored sett mirrors about its two pivots, the wider first, from any start."""
    widths, lab = sett("K4 R24 B20 Y6 B20 R24")
    ends = pivots(np.roll(widths, turn), np.roll(lab, turn, axis=0))
    assert ends == ((3 + turn) % 6, turn)


@pytest.mark.parametrize(
    "text",
    ["K10 R20 Y5", "K10 R20", "K10 R20 B5 Y8", "K4 R24 B20 Y6 B20 R20", "K4 R24 B20 Y6 G20 R24"],
    ids=["odd", "two", "no-mirror", "width-differs", "colour-differs"],
)
def test_what_does_not_mirror_has_no_pivots(text):
    """Odd or two-band repeats, other widths or other colours mirror about nothing."""
    assert pivots(*sett(text)) is None


def measured(text, length_mm, **how):
    """Sequence of a synthetic profile, by way of its repeat."""
    seen = profile(text, length_mm, **how)
    folded = find_repeat(seen)
    cuts = cut_into_bands(repeat_signal(folded), narrowest_mm=1.0)
    return repeat_sequence(cuts, folded, edge_shifts(seen, folded, cuts.edges_mm)), folded


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_a_mirrored_repeat_starts_at_its_wider_pivot(seed):
    """Bands come in order from the wider pivot, those that mirror each other alike, to 0.1 mm."""
    sequence, folded = measured("K4 R24 B20 Y6 B20 R24", 300.0, noise=0.03, seed=seed)
    assert sequence.mirrored
    np.testing.assert_allclose(sequence.widths_mm, [6, 20, 24, 4, 24, 20], atol=0.1)
    assert sequence.widths_mm[1] == sequence.widths_mm[5]
    assert sequence.widths_mm.sum() == pytest.approx(folded.repeat_mm)
    assert np.all(sequence.width_std_mm > 0)


def test_another_repeat_starts_at_its_widest_band():
    """A repeat that does not mirror starts at its widest band and goes on in order."""
    sequence, _ = measured("K14 R6 B11 Y2 B7 W5", 200.0, noise=0.03)
    assert not sequence.mirrored
    np.testing.assert_allclose(sequence.widths_mm, [14, 6, 11, 2, 7, 5], atol=0.1)


def test_shifted_occurrences_are_noticed():
    """One occurrence of a band moved by 0.1 mm shows in that repeat's edges, and there only."""
    seen = profile("K14 R6 B11 Y2 B7 W5", 225.0)
    moved = seen.share.copy()
    # the whole of one red band and its surroundings moves
    near = slice(round(95 / 0.2), round(118 / 0.2))
    at = seen.position_mm
    moved[near] = np.stack(
        [np.interp(at[near] - 0.1, at, channel) for channel in seen.share.T], axis=1
    )
    shifted = type(seen)(
        start_mm=0.0, step_mm=0.2, share=moved, crossing=seen.crossing, seen=seen.seen,
        along_mm=seen.along_mm,
    )  # fmt: skip
    folded = find_repeat(seen)
    cuts = cut_into_bands(repeat_signal(folded), narrowest_mm=1.0)
    still = edge_shifts(seen, folded, cuts.edges_mm)
    away = edge_shifts(shifted, folded, cuts.edges_mm)
    change = away - still
    places = np.abs(change) > 0.05
    assert 1 <= np.nansum(places) <= 3
    np.testing.assert_allclose(change[places], 0.1, atol=0.02)


def test_without_a_repeat_all_that_is_seen_is_given():
    """Bands run from the first to the last thread seen; their widths sum to what is seen."""
    seen = profile("K30 R25 B35 Y4 G40 W90", 150.0, start_mm=5.0, noise=0.02)
    cuts = cut_into_bands(plain_signal(seen), narrowest_mm=1.0)
    sequence = plain_sequence(cuts, seen)
    np.testing.assert_allclose(sequence.widths_mm, [25, 25, 35, 4, 40, 20.8], atol=0.4)
    assert sequence.widths_mm.sum() == pytest.approx(149.8)
    assert not sequence.mirrored
