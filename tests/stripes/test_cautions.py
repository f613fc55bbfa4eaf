"""What is said to be doubtful, and what is not."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from plaidcut.stripes.cautions import RepeatSeen, cautions
from plaidcut.stripes.measurement import Kind, LeftOut, Washed
from plaidcut.stripes.repeat import doubt_of, find_repeat
from tests.stripes.signals import profile
from tests.stripes.test_measure import plaid, stripe


def codes(
    measurement,
    *,
    repeats=None,
    too_fine=(False, False),
    left_out=(),
    kind=Kind.PLAID,
    white_share=0.0,
    washed=Washed.YES,
):
    """Codes of the cautions on two measured systems."""
    cloth = SimpleNamespace(scale=measurement.scale)
    found = cautions(
        cloth,
        measurement.systems,
        repeats or (RepeatSeen(count=3.0, doubt=None),) * 2,
        too_fine,
        left_out,
        kind=kind,
        white_share=white_share,
        yarns_sure=True,
        washed=washed,
    )
    return [caution.code for caution in found]


def test_a_good_photo_of_washed_cloth_is_not_cautioned():
    """Nothing is doubtful where all is well."""
    assert codes(plaid()) == []


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"washed": Washed.UNKNOWN}, "washing-unknown"),
        ({"white_share": 0.05}, "glare"),
        ({"too_fine": (False, True)}, "too-fine-across"),
        ({"kind": Kind.GLEN_CHECK}, "woven-figure"),
        ({"left_out": (LeftOut(code="not-woven", outline_px=np.zeros((3, 2))),)}, "left-out"),
        ({"left_out": (LeftOut(code="beyond-a-seam", outline_px=np.zeros((3, 2))),)}, "left-out"),
    ],
)
def test_each_doubt_is_told(given, code):
    """Washing, glare, stripes too fine, a glen check, a part left out, a seam: a caution each."""
    assert codes(plaid(), **given) == [code]


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        (RepeatSeen(count=1.3, doubt=None), "few-repeats-up"),
        (RepeatSeen(count=3.0, doubt="longer"), "repeat-unsure-up"),
        (RepeatSeen(count=3.0, doubt="shorter"), "repeat-unsure-up"),
    ],
)
def test_a_doubtful_repeat_is_told(seen, code):
    """A repeat seen too seldom, or one that may be another, is named with its direction."""
    assert codes(plaid(), repeats=(seen, RepeatSeen(count=3.0, doubt=None))) == [code]


@pytest.mark.parametrize(
    ("sett", "more", "told"),
    [
        ((40.0, 2.0, 8.0, 3.0), (30.0, 20.0, 10.0), True),
        ((8.0, 3.0, 40.0, 2.0), (30.0, 20.0, 10.0), True),
        ((3.0, 8.0, 2.0, 40.0), (30.0, 20.0, 10.0), True),
        ((40.0, 2.0, 8.0, 6.0), (30.0, 20.0, 10.0), False),
        ((40.0, 2.0, 8.0, 3.0), (9.0,), False),
        ((20.0, 20.0), (20.0, 20.0), False),
    ],
)
def test_a_repeat_that_holds_all_of_the_other_is_doubted(sett, more, told):
    """From any band on, in either order; not where a band differs, or the repeat is no longer."""
    whole = plaid()

    def woven(system, widths):
        bands = tuple(replace(whole.up.bands[0], width_mm=each) for each in widths)
        return replace(system, bands=bands, repeat_mm=sum(widths), stripes=())

    base = (40.0, 2.0, 8.0, 3.0)
    across = woven(whole.across, base if len(sett) > 2 else sett)
    seen = SimpleNamespace(scale=whole.scale, systems=(woven(whole.up, sett + more), across))
    assert ("repeat-unsure-up" in codes(seen)) == told
    assert "repeat-unsure-across" not in codes(seen)


def test_a_bold_stripe_at_the_edge_is_told():
    """Without a repeat, a bold stripe that may run on is named; one in the middle is not."""
    whole = stripe()
    bands = tuple(
        replace(band, partial=k in (0, len(whole.up.bands) - 1))
        for k, band in enumerate(whole.up.bands)
    )
    bold = whole.up.stripes[0]
    for at, told in ((bands[0].id, True), (bands[1].id, False)):
        system = replace(
            whole.up, repeat_mm=None, bands=bands, stripes=(replace(bold, bands=(at,)),)
        )
        seen = SimpleNamespace(scale=whole.scale, systems=(system, whole.across))
        assert ("stripe-at-edge-up" in codes(seen, repeats=(None, None))) == told


@pytest.mark.parametrize(
    ("text", "doubt"),
    [
        ("K20 R20 K20 B20", None),
        ("K14 R6 B11 Y2 B7 W5", None),
    ],
)
def test_a_clear_repeat_is_not_doubted(text, doubt):
    """Halves of quite other colours, or none alike, leave no doubt."""
    cloth = profile(text, 320.0, noise=0.02)
    assert doubt_of(cloth, find_repeat(cloth)) is doubt


@pytest.mark.parametrize(("factor", "doubt"), [(1.25, "longer"), (1.0, None)])
def test_repeats_that_differ_a_little_may_be_parts(factor, doubt):
    """Every second red a shade lighter: too little to be two bands for sure, enough to say so."""
    cloth = profile("K20 R20", 320.0)
    at = cloth.position_mm
    second = (at % 80 > 60) & (at % 80 < 80)
    share = np.where(second[:, None], cloth.share * factor, cloth.share)
    changed = replace(cloth, share=share)
    folded = find_repeat(changed)
    assert folded.repeat_mm == pytest.approx(40.0, rel=0.01)
    assert doubt_of(changed, folded) == doubt
