"""Cutting signals into bands: blurred steps whose places are known."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.stripes.segment import cut_into_bands
from tests.stripes.signals import bands, light, signal

SETT = "K4 R11 B7 Y2 B7 W5"


def widths(cuts, length_mm):
    """Widths of circular cuts."""
    return np.diff(cuts.edges_mm, append=cuts.edges_mm[0] + length_mm)


def apart(found_mm, true_mm, length_mm):
    """Distances round the ring."""
    away = np.abs(np.subtract(found_mm, true_mm)) % length_mm
    return np.minimum(away, length_mm - away)


@settings(max_examples=25)
@given(offset_mm=st.floats(0, 36), blur_mm=st.floats(0.15, 0.5))
def test_edges_are_found_to_a_fiftieth_of_a_millimetre(offset_mm, blur_mm):
    """Wherever the samples fall and however blurred, every edge is within 0.02 mm of its place."""
    _, true = bands(SETT)
    cuts = cut_into_bands(signal(SETT, offset_mm=offset_mm, blur_mm=blur_mm), narrowest_mm=1.0)
    expected = np.concatenate([[0], np.cumsum(true)[:-1]]) + offset_mm
    assert len(cuts.edges_mm) == len(true)
    away = apart(cuts.edges_mm[:, None], expected[None], true.sum())
    assert away.min(axis=1).max() < 0.02
    assert away.min(axis=0).max() < 0.02


@pytest.mark.parametrize("offset_mm", np.linspace(0.0, 0.1, 6))
def test_edges_of_what_has_no_repeat_are_found_as_well(offset_mm):
    """An open run of bands is cut at its inner edges, to 0.02 mm at every sub-sample offset."""
    _, true = bands(SETT)
    cuts = cut_into_bands(signal(SETT, offset_mm=offset_mm, circular=False), narrowest_mm=1.0)
    assert len(cuts.levels) == len(true)
    np.testing.assert_allclose(cuts.edges_mm, np.cumsum(true)[:-1] + offset_mm, atol=0.02)


@pytest.mark.parametrize("circular", [True, False])
@pytest.mark.parametrize("noise", [0.0, 0.03])
def test_cloth_of_one_colour_is_one_band(circular, noise):
    """Nothing is cut where nothing steps, whatever the yarns' unevenness."""
    cuts = cut_into_bands(signal("R60", circular=circular, noise=noise), narrowest_mm=1.0)
    assert len(cuts.edges_mm) == 0
    np.testing.assert_allclose(cuts.levels, light(np.zeros(1), "R", [60.0], 0.3, circular=False),
                               rtol=0.02)  # fmt: skip


def test_a_mirrored_signal_has_mirrored_bands():
    """Read from the other end, the same widths come in the other order."""
    straight = signal(SETT, offset_mm=2.03)
    mirrored = signal(SETT, offset_mm=2.03)
    mirrored = type(mirrored)(
        step_mm=mirrored.step_mm,
        share=mirrored.share[::-1],
        crossing=mirrored.crossing,
        noise=mirrored.noise,
        circular=True,
    )
    one = cut_into_bands(straight, narrowest_mm=1.0)
    other = cut_into_bands(mirrored, narrowest_mm=1.0)
    length = bands(SETT)[1].sum()
    there, back = widths(one, length), widths(other, length)[::-1]
    turns = [np.abs(np.roll(back, k) - there).max() for k in range(len(there))]
    assert min(turns) < 0.005


def test_doubling_the_cloth_doubles_the_widths():
    """The same samples, said to lie twice as far apart, are bands twice as wide."""
    length = bands(SETT)[1].sum()
    one = cut_into_bands(signal(SETT, offset_mm=2.03), narrowest_mm=1.0)
    two = cut_into_bands(
        signal(SETT, offset_mm=4.06, step_mm=0.2, blur_mm=0.6, pitch_mm=2.0), narrowest_mm=2.0
    )
    np.testing.assert_allclose(widths(two, 2 * length), 2 * widths(one, length), atol=0.02)


@pytest.mark.parametrize(("width_mm", "found"), [(1.2, True), (0.45, False)])
def test_bands_narrower_than_asked_for_are_left_out(width_mm, found):
    """A line well under the narrowest width of interest is texture, one over it a band."""
    text = f"K20 Y{width_mm} K15 R10"
    cuts = cut_into_bands(signal(text), narrowest_mm=1.0)
    assert (len(cuts.edges_mm) == 4) == found


def test_a_faint_step_is_no_band():
    """Two shades of one yarn that differ by less than 4 in CIE L*a*b* are one band."""
    plain = signal("R30 B30")
    shares = plain.share.copy()
    at = np.arange(len(shares)) * plain.step_mm
    shares[(at > 10) & (at < 20)] *= 1.03
    faint = type(plain)(
        step_mm=plain.step_mm, share=shares, crossing=plain.crossing, noise=plain.noise,
        circular=True,
    )  # fmt: skip
    assert len(cut_into_bands(faint, narrowest_mm=1.0).edges_mm) == 2


@pytest.mark.parametrize("circular", [True, False])
@pytest.mark.parametrize("offset_mm", [0.0, 12.0])
def test_a_twills_lines_are_no_bands(circular, offset_mm):
    """Lines 3 mm apart that ripple a red band by a quarter, beside white, leave it one band."""
    plain = signal("R18 W12 R18 W12", circular=circular, offset_mm=offset_mm)
    at = np.arange(len(plain.share)) * plain.step_mm
    red = plain.share[:, 1] < plain.share[:, 1].mean()
    ripple = 1 + 0.25 * np.sin(2 * np.pi * (at - offset_mm) / 3.0) * red
    cuts = cut_into_bands(replace(plain, share=plain.share * ripple[:, None]), narrowest_mm=1.0)
    inner = 4 if circular else 2 if offset_mm else 3  # the signal ends after 60 mm
    assert len(cuts.edges_mm) == inner


def test_a_fine_check_is_bands():
    """Bands of 1.5 mm that step as boldly as any are no twill's lines."""
    text = "R1.5 W1.5 R1.5 W1.5 R1.5 W1.5 R1.5 W6"
    assert len(cut_into_bands(signal(text), narrowest_mm=1.0).edges_mm) == 8


def test_the_stated_uncertainty_is_the_scatter():
    """Over 60 draws edges scatter as stated, and lie true on average.

    The noise is drawn as the code takes it to be: one draw for each yarn of 0.7 mm.
    60 draws know the scatter of one edge to 9 %, that of all six together to 4 %.
    """
    _, true = bands(SETT)
    noise = 0.04
    errors, stated = [], []
    for seed in range(60):
        offset = seed / 60
        clean = signal(SETT, offset_mm=offset)
        rng = np.random.default_rng(seed)
        at = np.arange(len(clean.share)) * clean.step_mm
        each = rng.standard_normal(int(at[-1] / 0.7) + 2)[(at / 0.7).astype(int)]
        noisy = type(clean)(
            step_mm=clean.step_mm, share=clean.share * (1 + noise * each)[:, None],
            crossing=clean.crossing, noise=clean.noise, circular=True,
        )  # fmt: skip
        cuts = cut_into_bands(noisy, narrowest_mm=1.0)
        assert len(cuts.edges_mm) == len(true)
        expected = np.concatenate([[0], np.cumsum(true)[:-1]]) + offset
        away = (cuts.edges_mm - expected + true.sum() / 2) % true.sum() - true.sum() / 2
        errors.append(away)
        stated.append(cuts.edge_std_mm)
    errors, stated = np.array(errors), np.array(stated)
    scatter = float(np.sqrt(np.mean(errors.std(axis=0, ddof=1) ** 2)))
    said = float(np.sqrt(np.mean(stated**2)))
    assert said == pytest.approx(scatter, rel=0.2)
    assert np.all(np.abs(errors.mean(axis=0)) < 0.5 * said)
