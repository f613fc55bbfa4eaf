"""What cuts make of a texture, against strips cut pixel by pixel."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cutting.cuts import Cut, cut_table
from plaidcut.cutting.textures import (
    narrowest_cut,
    strip_tones,
    texture_strips,
    tones_by_start,
)
from plaidcut.cutting.yields import yields_of
from plaidcut.stripes.measurement import Direction, Kind, ThreadPitch, WeaveRecord
from tests.setts import cloth

PIXEL_MM = 0.01
CUTS = cut_table().cuts
CHECK_MM = 2.8
"""Four threads at 36 an inch (facts section 10)."""
widths = st.lists(st.integers(20, 600), min_size=2, max_size=6)
tones = st.floats(0.02, 0.9)


def cut(width_mm):
    """A cut of any width."""
    return Cut(name=f"{width_mm} mm", width_mm=width_mm, numbered=False)


def by_pixels(pixels, luminance, cut_pixels):
    """Luminance of every strip that begins on a pixel of one repeat, cut out of drawn pixels."""
    row = np.repeat(luminance, pixels)
    drawn = np.tile(row, 2 + cut_pixels // len(row))
    return np.array([drawn[k : k + cut_pixels].mean() for k in range(len(row))])


@given(widths, st.data(), st.integers(30, 1500))
def test_strips_come_out_as_when_they_are_cut_pixel_by_pixel(pixels, data, cut_pixels):
    """Shares in light, mixed and dark, and the extremes, are those of strips cut at every pixel."""
    luminance = np.array(data.draw(st.lists(tones, min_size=len(pixels), max_size=len(pixels))))
    light = np.repeat(luminance[:, None], 3, axis=1)
    found = strip_tones(np.array(pixels) * PIXEL_MM, light, cut(cut_pixels * PIXEL_MM))
    strips = by_pixels(pixels, luminance, cut_pixels)
    low, high = luminance.min(), luminance.max()
    assert found.light + found.mixed + found.dark == pytest.approx(1)
    edge = 1e-9 + (high - low) / max(1, cut_pixels)  # a pixel more or less in the strip
    for share, limits in (
        (found.dark, (-1.0, low + (high - low) / 3)),
        (found.light, (high - (high - low) / 3, 2.0)),
    ):
        surely = np.mean((strips > limits[0] + edge) & (strips < limits[1] - edge))
        maybe = np.mean((strips > limits[0] - edge) & (strips < limits[1] + edge))
        assert surely - 1e-6 <= share + 2 / sum(pixels)
        assert share <= maybe + 2 / sum(pixels)


@given(widths, st.data(), st.integers(30, 1500))
def test_each_strip_shows_the_mean_of_what_it_lies_over(pixels, data, cut_pixels):
    """At every beginning the luminance is that of the pixels that the strip covers."""
    luminance = np.array(data.draw(st.lists(tones, min_size=len(pixels), max_size=len(pixels))))
    starts, found = tones_by_start(np.array(pixels) * PIXEL_MM, luminance, cut_pixels * PIXEL_MM)
    at = np.arange(sum(pixels)) * PIXEL_MM
    expected = by_pixels(pixels, luminance, cut_pixels)
    np.testing.assert_allclose(np.interp(at, starts, found), expected, atol=1e-9)


@pytest.mark.parametrize("repeats", [1, 2, 3])
def test_a_cut_of_whole_repeats_makes_all_strips_alike(repeats):
    """A strip as wide as the repeat, or twice, holds all of it wherever it is cut."""
    light = np.array([[0.05] * 3, [0.8] * 3])
    found = strip_tones(np.array([2.0, 3.0]), light, cut(5.0 * repeats))
    assert found.lightest - found.darkest < 1e-6
    assert found.alike
    assert found.mixed == pytest.approx(1)


def test_a_houndstooth_reads_as_the_facts_say():
    """At 36 threads an inch a #3 is less than one check, a #8 spans one repeat (section 10)."""
    check = cloth(f"K{CHECK_MM} W{CHECK_MM}", f"K{CHECK_MM} W{CHECK_MM}")
    made = texture_strips(check, CUTS)
    assert made.is_texture
    for way in made.ways:
        by_name = {each.cut.name: each for each in way.cuts}
        assert by_name["3"].cut.width_mm < way.band_mm
        # of 5.6 mm: all light over 0.42 mm, then 2.38 mm of change, of which a third either way
        assert by_name["3"].light == pytest.approx((0.419 + 2 * 2.381 / 3) / 5.6, abs=0.001)
        assert by_name["3"].dark == pytest.approx(by_name["3"].light, abs=1e-9)
        assert by_name["8"].light == by_name["8"].dark == 0
        span = by_name["8"].lightest - by_name["8"].darkest
        assert span < 0.5 * (by_name["3"].lightest - by_name["3"].darkest)


def test_plain_cloth_has_no_ways():
    """Cloth without stripes reads the same whichever way it is cut."""
    made = texture_strips(cloth("N100", "N100"), CUTS)
    assert made.ways == ()
    assert made.is_texture


def with_weave(measured, kind, up_mm, across_mm):
    """The same cloth, with its kind and its threads known."""
    up, across = (ThreadPitch(mm=mm, std_mm=0.01) for mm in (up_mm, across_mm))
    record = replace(measured.cloth, kind=kind, weave=WeaveRecord(up=up, across=across))
    return replace(measured, cloth=record)


@pytest.mark.parametrize(
    ("kind", "pitch_mm", "name", "why"),
    [
        (Kind.SOLID, 0.55, "3", "plain"),
        (Kind.TWEED, 0.7, "5", "texture"),
        (Kind.HERRINGBONE, 0.9, "5", "texture"),
        (Kind.TWEED, 1.28, "8", "loose"),
        (Kind.SOLID, 0.9, "5", "threads"),
        (Kind.TWEED, 1.7, "8.5", "threads"),
    ],
)
def test_the_narrowest_cut_keeps_to_the_trades_floors(kind, pitch_mm, name, why):
    """Section 4: plain cloth from #3, textures from #5, loosely woven from 1/4 in; four threads."""
    found = narrowest_cut(with_weave(cloth("N100", "N100"), kind, pitch_mm, 0.5), CUTS)
    assert found.cut is not None
    assert (found.cut.name, found.why) == (name, why)


def test_no_cut_is_named_where_none_will_hold():
    """Where all cuts asked for are under the floor, none is recommended."""
    found = narrowest_cut(with_weave(cloth("N100"), Kind.TWEED, 1.3, 1.3), CUTS[:3])
    assert found.cut is None
    assert found.floor_mm == pytest.approx(6.35)


def test_an_edge_strays_by_one_yarn_at_least():
    """Coarse threads leave fewer sure strips than fine ones, and only across them."""
    plain = cloth("R14 W14", "R14 W14")
    fine = yields_of(with_weave(plain, Kind.CHECK, 0.6, 0.6), CUTS, wander_mm=0.79)
    coarse = yields_of(with_weave(plain, Kind.CHECK, 1.3, 0.6), CUTS, wander_mm=0.79)
    none = yields_of(plain, CUTS, wander_mm=0.79)
    assert fine.bands == none.bands
    sure = {
        direction: [
            sum(
                strip.sure
                for band in each.bands
                if band.direction is direction
                for strip in band.strips
            )
            for each in (none, coarse)
        ]
        for direction in Direction
    }
    assert sure[Direction.UP][1] < sure[Direction.UP][0]
    assert sure[Direction.ACROSS][1] == sure[Direction.ACROSS][0]
