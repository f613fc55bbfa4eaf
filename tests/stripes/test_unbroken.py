"""Profiles of two pieces sewn together, and of whole cloth, whose order must not be broken."""

from dataclasses import replace

import numpy as np
import pytest

from plaidcut.stripes.repeat import find_repeat
from plaidcut.stripes.unbroken import unbroken_span
from tests.stripes.signals import profile

SETT = "K14 R6 B11 Y2 B7 W5"
"""45 mm."""


def sewn(*, lost_mm, left_mm=150.0, right_mm=260.0):
    """One cloth cut across, with a strip lost in the seam."""
    whole = profile(SETT, left_mm + lost_mm + right_mm, noise=0.02)
    step = whole.step_mm
    kept = np.ones(len(whole.share), bool)
    kept[round(left_mm / step) : round((left_mm + lost_mm) / step)] = False
    return replace(
        whole,
        share=whole.share[kept],
        seen=whole.seen[kept],
        along_mm=whole.along_mm[kept],
    )


@pytest.mark.parametrize("lost_mm", [7.0, 17.0, 31.0])
def test_the_larger_piece_is_kept(lost_mm):
    """What is kept lies beyond the seam, and holds four repeats or more of what lies there."""
    cloth = sewn(lost_mm=lost_mm)
    span = unbroken_span(cloth, find_repeat(cloth))
    assert span is not None
    low, high = span
    assert cloth.start_mm + 150.0 - 1.0 < low < cloth.start_mm + 150.0 + 45.0
    assert high == np.inf


@pytest.mark.parametrize("lost_mm", [7.0, 17.0, 31.0])
@pytest.mark.parametrize("left_mm", [65.0, 140.0])
def test_pieces_of_few_repeats_that_have_one_order(left_mm, lost_mm):
    """Two pieces of less than four repeats with one break between them: the longer is kept."""
    cloth = sewn(lost_mm=lost_mm, left_mm=left_mm, right_mm=205.0 - left_mm)
    low, high = unbroken_span(cloth, find_repeat(cloth))
    seam = cloth.start_mm + left_mm
    if left_mm > 100:
        assert low == -np.inf
        assert seam - 45.0 < high < seam + 1.0
    else:
        assert high == np.inf
        assert seam - 1.0 < low < seam + 45.0


@pytest.mark.parametrize("text", [SETT, "K20 R20", "K20 Y2 B18 K20 W2 B18"])
def test_whole_cloth_is_not_broken(text):
    """Where the stripes go on to the end, nothing is left out."""
    cloth = profile(text, 300.0, noise=0.03, drift=0.01)
    assert unbroken_span(cloth, find_repeat(cloth)) is None
    assert unbroken_span(cloth, None) is None


@pytest.mark.parametrize("text", ["K20 R20 K20 R20 K20 W20", "K9 R9 K9 R9 K9 R9 K9 R20"])
def test_parts_that_come_again_within_a_repeat_are_no_pieces(text):
    """A check that something else interrupts at every repeat is whole cloth."""
    cloth = profile(text, 280.0, noise=0.03)
    assert unbroken_span(cloth, find_repeat(cloth)) is None
    assert unbroken_span(cloth, None) is None


def test_stripes_that_never_come_again_are_not_broken():
    """Where no order is seen, none can break off."""
    cloth = profile("K14 R6 B11 Y2 B37 W5 K9 R31 Y12 B5 W22 K40", 214.0, noise=0.03)
    assert unbroken_span(cloth, None) is None


def test_what_was_not_seen_does_not_agree():
    """A break beside which little was seen on either side ends nothing."""
    cloth = sewn(lost_mm=17.0, left_mm=140.0, right_mm=65.0)
    seen = cloth.seen.copy()
    seen[round(50.0 / cloth.step_mm) : round(130.0 / cloth.step_mm)] = False
    assert unbroken_span(replace(cloth, seen=seen), None) is None
