"""The repeat of synthetic profiles, with noise and a drifting scale."""

import numpy as np
import pytest

from plaidcut.stripes.fold import fold
from plaidcut.stripes.measure import repeat_signal
from plaidcut.stripes.repeat import candidate_repeats, find_repeat
from plaidcut.stripes.segment import cut_into_bands
from tests.stripes.signals import bands, profile

SETT = "K14 R6 B11 Y2 B7 W5"


@pytest.mark.parametrize("drift", [0.0, 0.01, -0.01])
@pytest.mark.parametrize("seed", [0, 1])
def test_the_shortest_repeat_is_found(drift, seed):
    """Noise of 3 % and a scale that drifts by 1 % leave the repeat right to 0.5 %."""
    found = find_repeat(profile(SETT, 200.0, noise=0.03, drift=drift, seed=seed))
    assert found is not None
    # the parabola's own mean stretch over the span is nil
    assert found.repeat_mm == pytest.approx(bands(SETT)[1].sum(), rel=0.005)


def test_without_drift_or_noise_the_repeat_is_exact():
    """Over four repeats the length is right to three hundredths of a millimetre."""
    found = find_repeat(profile(SETT, 200.0))
    assert found is not None
    assert found.repeat_mm == pytest.approx(45.0, abs=0.03)


def test_a_thin_stripe_of_another_colour_doubles_the_repeat():
    """Halves that differ in one thin stripe's colour are halves, not repeats."""
    found = find_repeat(profile("K20 Y2 B18 K20 W2 B18", 280.0, noise=0.02))
    assert found is not None
    assert found.repeat_mm == pytest.approx(80.0, rel=0.005)


def test_alike_halves_are_the_repeat():
    """A sett written twice repeats at half of what is written."""
    found = find_repeat(profile("K20 Y2 B18 K20 Y2 B18", 280.0, noise=0.02))
    assert found is not None
    assert found.repeat_mm == pytest.approx(40.0, rel=0.005)


def test_what_the_picture_shows_once_has_no_repeat():
    """Bands that do not come again within what is seen are given no repeat."""
    assert find_repeat(profile("K30 R25 B35 Y4 G40 W20 N36", 150.0, noise=0.02)) is None


@pytest.mark.parametrize("seed", range(5))
def test_noise_has_no_repeat(seed):
    """Yarns' unevenness alone never makes a repeat."""
    assert find_repeat(profile("R1000", 200.0, noise=0.05, seed=seed)) is None


def test_candidates_come_shortest_first():
    """Each candidate is longer than the one before it."""
    found = candidate_repeats(profile(SETT, 200.0, noise=0.03))
    assert len(found) > 0
    assert list(found) == sorted(found)


def test_folding_lays_the_bands_where_they_are():
    """The folded repeat holds the sett's widths to 0.05 mm under 1 % of drift."""
    folded = fold(profile(SETT, 200.0, noise=0.02, drift=0.01), 45.0)
    cuts = cut_into_bands(repeat_signal(folded), narrowest_mm=1.0)
    widths = np.diff(cuts.edges_mm, append=cuts.edges_mm[0] + folded.repeat_mm)
    true = bands(SETT)[1]
    assert len(widths) == len(true)
    turns = [np.abs(np.roll(widths, k) - true).max() for k in range(len(true))]
    assert min(turns) < 0.05


def test_the_phase_follows_the_drift():
    """After folding, every occurrence of a place has the same phase to 0.1 mm."""
    drift, length = 0.01, 200.0
    folded = fold(profile(SETT, length, drift=drift), 45.0)
    at = np.linspace(10.0, 190.0, 50)
    unit = 2 * at / length - 1
    true = at + drift * length / 2 * (unit**3 - unit) / 2
    away = folded.phase_mm(at) * (45.0 / folded.repeat_mm) - true
    assert np.ptp(away) < 0.2


def test_a_stain_in_one_repeat_counts_little():
    """One repeat bleached over 6 mm shifts the folded colours there by less than 10 %."""
    clean = profile(SETT, 220.0, noise=0.01)
    shares = clean.share.copy()
    shares[300:330] = 0.35
    spoiled = type(clean)(
        start_mm=clean.start_mm, step_mm=clean.step_mm, share=shares, crossing=clean.crossing,
        seen=clean.seen, along_mm=clean.along_mm,
    )  # fmt: skip
    one, other = fold(clean, 45.0), fold(spoiled, 45.0)
    assert other.repeat_mm == pytest.approx(one.repeat_mm, abs=0.05)
    count = min(len(one.share), len(other.share))
    assert np.abs(one.share[:count] - other.share[:count]).max() < 0.1 * 0.35
