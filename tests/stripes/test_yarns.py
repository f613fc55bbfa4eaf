"""Yarns' own colours from shares whose offset was lost."""

import numpy as np
import pytest

from plaidcut.stripes.profile import lab_of
from plaidcut.stripes.yarns import unmix
from tests.stripes.signals import INK


def own(letters):
    """Linear light (N, 3) of yarns."""
    return np.array([INK[c] for c in letters])


@pytest.mark.parametrize("offset", [(0.0, 0.0, 0.0), (0.04, 0.02, 0.03), (-0.02, 0.01, -0.01)])
def test_shared_yarns_fix_the_offset(offset):
    """A plaid of the same yarns both ways comes out in its own colours, within 1 in L*a*b*."""
    up, across = own("KRWB"), own("KRY")
    found = unmix(
        up / 2 + offset, across / 2 - offset, np.array([20.0, 8, 4, 14]), np.array([25.0, 9, 6])
    )
    assert found.sure
    assert np.linalg.norm(lab_of(found.up) - lab_of(up), axis=1).max() < 1
    assert np.linalg.norm(lab_of(found.across) - lab_of(across), axis=1).max() < 1


def test_measured_shares_fix_it_too():
    """Shares known to 2 % give yarns within 5 in L*a*b*."""
    up, across = own("GWKY"), own("GWKR")
    rng = np.random.default_rng(0)
    noisy = [a / 2 * (1 + 0.02 * rng.standard_normal(a.shape)) for a in (up, across)]
    found = unmix(
        noisy[0] + 0.03, noisy[1] - 0.03, np.array([20.0, 8, 4, 3]), np.array([20.0, 8, 4, 3])
    )
    assert np.linalg.norm(lab_of(found.up) - lab_of(up), axis=1).max() < 5
    assert np.linalg.norm(lab_of(found.across) - lab_of(across), axis=1).max() < 5


def test_stripes_on_one_plain_yarn_are_not_sure():
    """With a single yarn one way nothing but one shared colour fixes the offset: it says so."""
    found = unmix(own("RWB") / 2, own("N") / 2, np.array([20.0, 8, 4]), np.array([1.0]))
    assert not found.sure


def test_no_yarn_is_darker_than_black_or_brighter_than_white():
    """Whatever the shares, colours stay within 0..1."""
    rng = np.random.default_rng(3)
    for _ in range(20):
        found = unmix(
            rng.uniform(-0.2, 0.6, (4, 3)), rng.uniform(-0.2, 0.6, (3, 3)), np.ones(4), np.ones(3)
        )
        for colours in (found.up, found.across):
            assert colours.min() >= 0
            assert colours.max() <= 1
