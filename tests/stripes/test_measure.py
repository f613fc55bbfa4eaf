"""Three photographs through the whole pipeline: a plaid, a stripe, a plain cloth."""

import numpy as np
import pytest

from plaidcut.cutting.stretch import seen_at_edge, stretch_of
from plaidcut.stripes.measurement import Direction
from tests.wool_photos import measured

PITCH_MM = 0.7
PLAID = "K4 R24 K24 Y4 K24 R24"
STRIPE = "B24 W6 G12 W4"


def plaid():
    """A mirrored plaid, the same both ways."""
    return measured("published-sett", PLAID, PLAID)


def stripe():
    """Stripes up, one yarn across."""
    return measured("stripe", STRIPE, "N1")


def plain():
    """One yarn both ways."""
    return measured("plain", "G1", "G1")


def threads(text):
    """Thread counts of a sett."""
    return np.array([int(word[1:]) for word in text.split()])


def turned_to(widths, true):
    """Both readings of the true widths, from any band on: the one nearest to what was found."""
    turns = [np.roll(order, k) for order in (true, true[::-1]) for k in range(len(true))]
    return min(turns, key=lambda order: np.abs(np.subtract(widths, order)).max())


@pytest.mark.parametrize("direction", list(Direction))
def test_the_bands_of_a_plaid_are_measured(direction):
    """Six bands each way, mirrored, every width within 0.15 mm of the threads woven."""
    system = plaid().system(direction)
    widths = [band.width_mm for band in system.bands]
    true = threads(PLAID) * PITCH_MM
    assert len(widths) == len(true)
    assert system.mirrored
    np.testing.assert_allclose(widths, turned_to(widths, true), atol=0.15)
    assert system.repeat_mm == pytest.approx(true.sum(), rel=0.005)


def test_stated_widths_hold_the_woven_ones():
    """Of eight photos' widths nine in ten lie within two of their standard uncertainties."""
    inside = []
    for seed in range(1, 9):
        for system in measured("published-sett", PLAID, PLAID, seed=seed).systems:
            widths = np.array([band.width_mm for band in system.bands])
            std = np.array([band.width_std_mm for band in system.bands])
            away = np.abs(widths - turned_to(widths, threads(PLAID) * PITCH_MM))
            # from pivot to pivot: the rest mirrors it
            inside.extend((away <= 2 * std)[: len(widths) // 2 + 1])
    assert np.mean(inside) >= 0.9


def test_a_plaid_of_the_same_yarns_comes_out_in_its_colours():
    """The yellow line reads lightest, the black ground darkest, in both directions."""
    for system in plaid().systems:
        by_width = sorted(system.bands, key=lambda band: band.yarn.lab[0])
        assert by_width[-1].width_mm == pytest.approx(4 * PITCH_MM, abs=0.15)
        assert by_width[-1].yarn.lab[2] > 30
        assert by_width[0].yarn.lab[0] < 25


def test_threads_run_as_they_were_laid():
    """The cloth was laid at 88°: up within 1° of it, across square to it."""
    measurement = plaid()
    assert measurement.up.angle_px_deg == pytest.approx(88.0, abs=1.0)
    across = measurement.across.angle_px_deg
    assert min(abs(across - 178.0), abs(across + 2.0)) < 1.0
    assert abs(measurement.cloth.skew_deg) < 0.5


def test_every_edge_seen_is_traced_on_the_photo():
    """Traced edges lie in the picture, and the ids beside each follow one another."""
    measurement = plaid()
    width, height = measurement.photo.width_px, measurement.photo.height_px
    for system in measurement.systems:
        assert len(system.edges_px) == len(system.edge_bands)
        # 17 cm of cloth at least hold two repeats of 73 mm, six edges each
        assert len(system.edges_px) > 12
        for line in system.edges_px:
            assert line.min() > -20
            assert np.all(line < [width + 20, height + 20])
        for (_, after), (before, _) in zip(system.edge_bands, system.edge_bands[1:], strict=False):
            assert after == before


def test_what_stands_at_the_cloth_s_edge_is_known():
    """From the leftmost (topmost) thread to the first edge is what its band has left there."""
    measurement = plaid()
    for system in measurement.systems:
        stretch = stretch_of(system, 150.0, phase_mm=seen_at_edge(system))
        (before, after), *_ = system.edge_bands
        assert [each.band.id for each in stretch.bands[:2]] == [before, after]
        assert 0.0 <= system.origin_mm < system.repeat_mm
        # the first edges on the plane are as far apart as the bands of the piece are wide
        lines = [measurement.scale.to_mm(line) for line in system.edges_px[:3]]
        middles = [line[len(line) // 2] for line in lines]
        along = lines[0][-1] - lines[0][0]
        square = np.array([-along[1], along[0]]) / np.linalg.norm(along)
        apart = np.abs(np.diff(middles, axis=0) @ square)
        widths = [each.end_mm - each.start_mm for each in stretch.bands[1:3]]
        assert apart == pytest.approx(widths, abs=0.3)


@pytest.mark.parametrize("direction", list(Direction))
def test_a_line_of_one_thread_is_found_when_asked_for(direction):
    """One white thread of 0.6 mm in a blue ground: a band if she wants such, else none."""
    text, pitch_mm = "B30 W1 B12 R24", 0.6
    fine, usual = (
        measured(
            "one-thread", text, text, pitch_mm=(pitch_mm, pitch_mm), narrowest_mm=narrowest
        ).system(direction)
        for narrowest in (0.5, 1.0)
    )
    widths = [band.width_mm for band in fine.bands]
    true = threads(text) * pitch_mm
    assert len(widths) == len(true)
    np.testing.assert_allclose(widths, turned_to(widths, true), atol=0.12)
    assert len(usual.bands) == 2


def test_stripes_are_measured_one_way_only():
    """Four bands up within 0.15 mm, and one band without a repeat across."""
    measurement = stripe()
    widths = [band.width_mm for band in measurement.up.bands]
    true = threads(STRIPE) * PITCH_MM
    assert len(widths) == len(true)
    np.testing.assert_allclose(widths, turned_to(widths, true), atol=0.15)
    assert not measurement.across.striped
    assert measurement.across.repeat_mm is None
    assert measurement.cloth.kind == "stripe"


def test_threads_without_stripes_are_taken_to_lie_square():
    """Where one system shows no stripes it is said to cross the other squarely, within 2°."""
    assert abs(stripe().cloth.skew_deg) < 2.0


def test_plain_cloth_has_one_band_each_way():
    """Yarns and twill lines of one colour make no bands and no repeat."""
    measurement = plain()
    for system in measurement.systems:
        assert len(system.bands) == 1
        assert system.repeat_mm is None
    assert measurement.cloth.kind == "solid"


def test_washing_is_asked_after():
    """A cloth of which nobody said whether it was washed is measured with that caution."""
    assert "washing-unknown" in {caution.code for caution in plain().cautions}
