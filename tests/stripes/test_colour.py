"""Colours: conversions, names and values."""

from dataclasses import replace

import numpy as np
import pytest
import skimage.color
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.stripes.colour import (
    NAMES,
    colour_of_hex,
    colour_of_lab,
    colour_of_linear_rgb,
    difference,
    lab_of_linear_rgb,
    linear_rgb_of_hex,
    linear_rgb_of_lab,
    name_of_lab,
    value_of_lightness,
)

hexes = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")
unit = st.floats(0, 1)


@given(hexes)
def test_lab_agrees_with_scikit_image(text):
    """L*a*b* of any sRGB colour is what scikit-image gives for it."""
    rgb = np.array(list(bytes.fromhex(text[1:]))) / 255
    expected = skimage.color.rgb2lab(rgb)
    assert lab_of_linear_rgb(linear_rgb_of_hex(text)) == pytest.approx(expected, abs=2e-3)


@given(hexes)
def test_a_colour_is_shown_as_it_came(text):
    """A colour that sRGB holds comes back as the same hexadecimal figure."""
    assert colour_of_hex(text).hex == text


@given(st.tuples(unit, unit, unit))
def test_linear_light_and_lab_are_inverse(rgb):
    """Linear light to L*a*b* and back is the same light."""
    assert linear_rgb_of_lab(lab_of_linear_rgb(rgb)) == pytest.approx(rgb, abs=1e-9)


def test_what_srgb_cannot_hold_is_clipped_for_show_only():
    """A green beyond sRGB is shown at the edge of sRGB, and keeps its own L*a*b*."""
    colour = colour_of_lab((80.0, -120.0, 60.0))
    assert colour.lab == (80.0, -120.0, 60.0)
    assert colour.hex[1:3] == "00"


def test_light_beyond_white_is_white():
    """Reflectance over 1, which a slip in the white point can give, is clipped."""
    assert colour_of_linear_rgb((1.3, 1.2, 1.1)).hex == "#ffffff"


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("#1a1a1c", "black"),
        ("#ffffff", "white"),
        ("#868685", "medium gray"),
        ("#7a1f2b", "dark red"),
        ("#e2b93b", "light yellow"),
        ("#27407c", "dark blue"),
        ("#254b31", "dark green"),
        ("#5d4a3a", "dark brown"),
        ("#d39ca0", "light pink"),
    ],
)
def test_wools_have_everyday_names(text, spoken):
    """A colour is spoken of as anybody would: value, then name."""
    assert colour_of_hex(text).spoken == spoken


@given(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
def test_every_colour_has_a_level_2_name(lightness, a, b):
    """Whatever the colour, its name is one of the 29."""
    assert name_of_lab((lightness, a, b)) in NAMES


@given(st.floats(0, 100), st.floats(0, 100))
def test_lighter_never_sounds_darker(one, other):
    """The craft's value never falls when lightness rises."""
    order = ["dark", "medium", "light"]
    low, high = sorted((one, other))
    assert order.index(value_of_lightness(low)) <= order.index(value_of_lightness(high))


@given(hexes, hexes)
def test_difference_is_symmetric(one, other):
    """A colour is as far from another as that from it."""
    first, second = colour_of_hex(one).lab, colour_of_hex(other).lab
    assert difference(first, second) == pytest.approx(difference(second, first), abs=1e-9)


def test_a_name_that_says_its_value_is_told_as_it_is():
    """Called "light heather" by hand, a colour is not "medium light heather"."""
    colour = replace(colour_of_hex("#8a8883"), name="light heather")
    assert colour.spoken == "light heather"
    assert replace(colour, name="heather").spoken == "medium heather"
