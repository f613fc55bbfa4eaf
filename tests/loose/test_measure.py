"""Loose strips in rendered photos: each found once, as wide as it was cut, and named."""

import pytest

from fixtures.render.scene import Stripe
from plaidcut.cutting.cuts import Numbering, cut_table
from plaidcut.cutting.which_cut import name_strips
from plaidcut.errors import NoCloth, ScaleTooSmall
from plaidcut.loose.measure import measure_strips
from plaidcut.loose.strips import Odd
from plaidcut.scale.card import find_card
from tests.strip_photos import CREAM, NAVY, RED, measured, photograph, rows, straight

INCH_MM = 25.4
CUTS = rows(*(INCH_MM * n / 32 for n in (3, 7, 8, 10, 12, 16)))
"""Widths of A01 to A04: #3, #7, #8; 5/16, 3/8 and 1/2 in."""


def test_every_cut_is_told_by_its_width():
    """A01-A04, O05: #3, #7, #8, #8.5, #9 and #10 are named, each within 0.2 mm of its width."""
    named = name_strips(measured("cuts", CUTS), cut_table())
    assert {each.counted.name for each in named.strips if each.counted} == {
        "3", "7", "8", "8.5", "9", "10"
    }  # fmt: skip
    assert len(named.strips) == 6
    for each in named.strips:
        assert each.strip.width_mm == pytest.approx(each.named.nearest.width_mm, abs=0.2)
        assert abs(each.strip.width_mm - each.named.nearest.width_mm) < 4 * each.strip.width_std_mm


def test_the_numbering_decides_the_names_above_8():
    """A03-A05: what the steps call #8.5 and #9 are #10 and #12 where numbers are still 32nds."""
    named = name_strips(measured("cuts", CUTS), cut_table(Numbering.THIRTY_SECONDS))
    counted = {each.counted.name for each in named.strips if each.counted}
    assert {"3", "7", "8", "10", "12"} <= counted
    (widest,) = [each for each in named.strips if each.strip.width_mm > 11]
    assert widest.counted is None


def test_strips_that_cross_are_two():
    """A strip that lies over another doesn't cut that in two."""
    strips = (
        straight(6.35, (-60.0, -40.0), length_mm=110.0, angle_deg=12.0),
        straight(4.76, (-20.0, -75.0), length_mm=90.0, angle_deg=75.0, colour=NAVY),
    )
    found = measured("crossing", strips).strips
    assert sorted(round(strip.width_mm / 0.79375) for strip in found) == [6, 8]
    assert all(strip.length_mm > 80 for strip in found)


@pytest.mark.parametrize("colour", [NAVY, RED])
def test_strips_that_touch_are_never_taken_for_a_wide_one(colour):
    """Two #6 side by side are counted as two, or not at all: never as one of 9.5 mm."""
    strips = (
        straight(4.76, (-60.0, -40.0), length_mm=110.0),
        straight(4.76, (-48.0, -35.15), length_mm=104.0, colour=colour),
    )
    named = name_strips(measured(f"touching-{colour[1:]}", strips), cut_table())
    assert {each.counted.name for each in named.strips if each.counted} <= {"6"}


def test_one_strip_of_two_colours_is_not_counted_as_two():
    """A #8 cut across two bands is marked: its halves may be two narrow strips, or not."""
    halves = (Stripe(RED, 6), Stripe(CREAM, 6))
    strips = (straight(6.35, (-60.0, -40.0), length_mm=110.0, along=halves),)
    named = name_strips(measured("halves", strips), cut_table())
    assert all(each.counted is None for each in named.strips)
    assert any(Odd.SIDE_BY_SIDE in each.strip.odd for each in named.strips)


@pytest.mark.parametrize("thick_mm", [0.8, 1.3])
def test_thin_and_thick_wool_are_as_wide_as_they_were_cut(thick_mm):
    """Far from below the camera the cut side shows: its breadth isn't taken for the face's."""
    lying = [(-75.0, -70.0), (75.0, -70.0), (100.0, -70.0)]
    strips = tuple(
        straight(width, at, length_mm=130.0, angle_deg=90.0, thick_mm=thick_mm)
        for width, at in zip((6.35, 4.76, 3.175), lying, strict=True)
    )
    found = measured(f"thick-{thick_mm}", strips).strips
    widths = sorted(strip.width_mm for strip in found)
    assert widths == pytest.approx([3.175, 4.76, 6.35], abs=0.2)


def test_dark_strips_on_dark_wood_are_seen_in_a_bundle():
    """Three dark brown strips side by side on brown wood, wider together than the known ground.

    Seen as strips, and none as one that is wider than it was cut; of one, less may be seen than
    makes a strip.
    """
    strips = tuple(
        straight(7.94, (-70.0 + 2 * k, -50.0 + 8.0 * k), length_mm=120.0, colour="#4a3024")
        for k in range(3)
    )
    found = measured("dark-bundle", strips, table="wood").strips
    assert 2 <= len(found) <= 3
    assert all(strip.width_mm == pytest.approx(7.94, abs=0.3) for strip in found)


def test_flowers_of_a_tablecloth_are_no_strips():
    """On a printed oilcloth there are as many strips as were laid on it, as wide as they were."""
    found = measured("oilcloth", rows(6.35), table="oilcloth").strips
    assert len(found) == len(rows(6.35))
    assert all(strip.width_mm == pytest.approx(6.35, abs=0.3) for strip in found)


def test_a_strip_that_swells_is_marked():
    """Fed askew it is wide here and narrow there: its width is given, but it isn't counted."""
    strips = (straight(7.9, (-70.0, -40.0), length_mm=140.0, wander=0.2), *rows(6.35)[:1])
    found = measured("swelling", strips).strips
    swollen = max(found, key=lambda strip: strip.spread_mm)
    assert Odd.VARYING in swollen.odd
    assert sum(bool(strip.odd) for strip in found) == 1


def test_the_colour_is_that_of_the_wool():
    """Red wool reads red and dark, whatever it lies on."""
    (strip,) = measured("one", rows(6.35)).strips
    assert strip.reads.name in {"red", "reddish brown"}
    assert strip.reads.value == "dark"
    assert not strip.flecked


def test_a_bare_table_has_no_strips():
    """Nothing is invented where nothing lies."""
    with pytest.raises(NoCloth, match="No loose strips"):
        measured("bare", (), table="wood")


def test_a_photo_from_afar_is_refused():
    """At 2.5 px/mm #7 and #8 are two pixels apart: that is said, not guessed."""
    photo = photograph("afar", rows(6.35), px_per_mm=2.6)
    with pytest.raises(ScaleTooSmall, match="pixels to the millimetre"):
        measure_strips(photo, find_card(photo.pixels))
