"""Synthetic cloth taken apart: up, across and light come out as they were put in."""

import numpy as np
import pytest

from plaidcut.cloth.weave import LUMINANCE, take_apart
from tests.cloth.unrolled_cloths import shares, unrolled

NAVY, CREAM, RED = (0.02, 0.03, 0.09), (0.70, 0.63, 0.48), (0.35, 0.02, 0.03)
UP = shares([NAVY, CREAM, RED], [20.0, 5.0, 11.0], 180.0)
ACROSS = shares([RED, CREAM], [14.0, 8.0], 140.0)


def cloth(*, gradient=0.0, noise=0.0, seed=0):
    """The two systems crossed, lit more from one corner, with noise that grows with light."""
    height, width = len(ACROSS), len(UP)
    rgb = UP[None] + ACROSS[:, None]
    slope = np.linspace(-1, 1, width)[None] + np.linspace(-1, 1, height)[:, None]
    rgb = rgb * np.exp(gradient * slope / 2)[..., None]
    return rgb * (1 + noise * np.random.default_rng(seed).standard_normal(rgb.shape))


def relative(share):
    """Shares less their mean: the offset between the systems can't be known."""
    return share - share.mean(axis=0)


def misses(weave):
    """Largest error of either system's shares, relative to the cloth's mean luminance."""
    # light has no unit of its own: its scale is fixed by the shares' whole brightness
    whole = (weave.up.mean(axis=0) + weave.across.mean(axis=0)) @ LUMINANCE
    true = (UP.mean(axis=0) + ACROSS.mean(axis=0)) @ LUMINANCE
    return [
        float(np.abs(relative(seen) * (true / whole) - relative(put)).max()) / true
        for seen, put in ((weave.up, UP), (weave.across, ACROSS))
    ]


@pytest.mark.parametrize("gradient", [0.0, 0.15, 0.4])
def test_up_and_across_come_apart_under_uneven_light(gradient):
    """Both systems' colours come out within 2 % though the light falls off by half."""
    up, across = misses(take_apart(unrolled(cloth(gradient=gradient, noise=0.05))))
    assert up < 0.02
    assert across < 0.02


def test_the_light_is_the_light_put_in():
    """The fall of light across the cloth is recovered within 2 %, without the stripes."""
    weave = take_apart(unrolled(cloth(gradient=0.3)))
    height, width = weave.light.shape
    slope = np.linspace(-1, 1, width)[None] + np.linspace(-1, 1, height)[:, None]
    ratio = np.log(weave.light) - 0.3 * slope / 2
    assert np.std(ratio) < 0.02


def test_bands_step_as_they_were_put_in():
    """Where one band meets the next the shares step by what the yarns differ by, within 4 %."""
    weave = take_apart(unrolled(cloth(gradient=0.15, noise=0.03)))
    for seen, put in ((weave.up, UP), (weave.across, ACROSS)):
        edges = np.flatnonzero(np.abs(np.diff(put, axis=0)).sum(axis=1))[1:-1] + 1
        jumps = [
            np.stack([each[e : e + 8].mean(axis=0) - each[e - 8 : e].mean(axis=0) for e in edges])
            for each in (seen, put)
        ]
        size = np.linalg.norm(jumps[1], axis=1)
        gain = (jumps[0] * jumps[1]).sum(axis=1) / size**2
        # light has no unit of its own, so one factor is free
        assert np.abs(gain / np.median(gain) - 1).max() < 0.04


def test_a_white_spot_counts_little():
    """A white thing of 15 mm on the cloth shifts no share by 3 %, and stands out as a misfit."""
    clean = cloth(gradient=0.1, noise=0.05)
    spoiled = clean.copy()
    spoiled[200:260, 300:360] = 0.9
    expected, weave = take_apart(unrolled(clean)), take_apart(unrolled(spoiled))
    assert shift(weave, expected) < 0.03
    spot, elsewhere = weave.misfit[52:63, 77:88], weave.misfit[:40]
    assert spot.min() > 5 * np.quantile(elsewhere, 0.99)


def test_what_is_not_valid_counts_for_nothing():
    """What lies under the card is unseen and does not shift what lies beside it."""
    whole = cloth(noise=0.05)
    valid = np.ones(whole.shape[:2], bool)
    valid[100:300, 200:400] = False
    part = np.where(valid[..., None], whole, 0)
    weave = take_apart(unrolled(part, valid=valid))
    assert shift(weave, take_apart(unrolled(whole))) < 0.03
    assert weave.up_seen[300] == pytest.approx(140.0 - 50.0)
    assert np.isnan(weave.misfit[30:70, 55:95]).all()


def shift(weave, expected):
    """Largest difference of shares, relative to the cloth's mean luminance."""
    whole = float((UP.mean(axis=0) + ACROSS.mean(axis=0)) @ LUMINANCE)
    pairs = ((weave.up, expected.up), (weave.across, expected.across))
    return max(float(np.abs(relative(a) - relative(b)).max()) for a, b in pairs) / whole


def test_turning_the_cloth_exchanges_the_systems():
    """The cloth turned by a quarter gives the same shares, up for across."""
    rgb = cloth(gradient=0.2, noise=0.05)
    straight, turned = take_apart(unrolled(rgb)), take_apart(unrolled(rgb).turned())
    np.testing.assert_allclose(relative(straight.up), relative(turned.across), atol=0.004)
    np.testing.assert_allclose(relative(straight.across), relative(turned.up), atol=0.004)
