"""What her cutter cuts, from strips that were measured."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import cut_table
from plaidcut.cutting.measured_cut import LEAST_STRIPS, measured_cut
from plaidcut.errors import NoCloth, UsageError
from plaidcut.loose.strips import LooseStrip, LooseStrips, Odd
from plaidcut.scale.points import given as given_scale
from plaidcut.stripes.colour import colour_of_hex
from plaidcut.stripes.measurement import PhotoRecord


def loose(*widths_mm, odd=()):
    """Strips of those widths; the ones whose numbers are in ``odd`` vary."""
    return LooseStrips(
        photo=PhotoRecord(name=Path("x.jpg").name, width_px=100, height_px=100, sha256="0" * 64),
        scale=given_scale((100, 100), 8.0),
        strips=tuple(
            LooseStrip(
                number=number,
                width_mm=width,
                spread_mm=0.04,
                width_std_mm=0.08,
                width_own_std_mm=0.06,
                length_mm=150.0,
                ends_seen=2,
                reads=colour_of_hex("#7a1f2b"),
                flecked=False,
                odd=(Odd.VARYING,) if number in odd else (),
                outlines_px=(np.zeros((4, 2)),),
                middle_px=(50.0, 50.0),
            )
            for number, width in enumerate(widths_mm, start=1)
        ),
    )


@given(st.floats(-0.3, 0.3), st.lists(st.floats(-0.15, 0.15), min_size=3, max_size=12))
def test_the_width_is_the_middle_of_its_strips(off_mm, scatter_mm):
    """Whatever a #8 wheel really cuts: between its narrowest strip and its widest."""
    widths = [6.35 + off_mm + each for each in scatter_mm]
    cut = measured_cut("8", loose(*widths), cut_table())
    assert min(widths) <= cut.width_mm <= max(widths)
    assert cut.strips == len(widths)


def test_an_odd_strip_does_not_count():
    """One that was fed askew tells nothing of the cutter."""
    cut = measured_cut("8", loose(6.1, 6.12, 6.08, 7.4, odd={4}), cut_table())
    assert cut.width_mm == pytest.approx(6.1)
    assert cut.strips == 3


def test_two_strips_are_too_few():
    """Fewer than three are refused, with the way on."""
    with pytest.raises(NoCloth, match="Only 2 strips") as refusal:
        measured_cut("8", loose(*[6.1] * (LEAST_STRIPS - 1)), cut_table())
    assert "Lay more strips" in refusal.value.hint


def test_strips_of_two_cuts_are_refused():
    """A #8 among #8.5 would make a width that nothing has."""
    with pytest.raises(UsageError, match="aren't all of one cut"):
        measured_cut("8", loose(6.3, 6.35, 7.9, 7.95), cut_table())


def test_another_cuts_strips_are_refused():
    """Strips of 7.9 mm called #8 are a slip, not a cutter; --set keeps them all the same."""
    with pytest.raises(UsageError, match=r"nearer to a #8\.5 than to #8") as refusal:
        measured_cut("8", loose(7.9, 7.92, 7.95), cut_table())
    assert "--set" in refusal.value.hint


def test_a_name_of_her_own_may_be_as_wide_as_it_likes():
    """A cut that no table has is what its strips are."""
    assert measured_cut("torn", loose(19.0, 19.2, 19.1), cut_table()).width_mm == 19.1
