"""Widths typed by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.errors import BadLength, UsageError
from plaidcut.stripes.by_hand import HAND_STD_MM, measurement_by_hand, parse_bands
from plaidcut.stripes.colour import colour_of_hex, colour_of_words
from plaidcut.stripes.measurement import Kind

COLOURS = ("red", "dark green", "navy", "light blue", "grey", "#7a1f2b", "olive")

BANDS = st.lists(st.tuples(st.sampled_from(COLOURS), st.integers(1, 200)), min_size=1, max_size=6)


@settings(max_examples=20)
@given(BANDS)
def test_bands_come_back_in_order(bands):
    """Every entry is one band, with the colour and the width that stand there."""
    typed = parse_bands(", ".join(f"{colour} {n}/32 in" for colour, n in bands))
    assert [band.width_mm for band in typed] == [
        pytest.approx(n * 25.4 / 32, rel=1e-12) for _, n in bands
    ]
    assert [band.colour.lab for band in typed] == [colour_of_words(word).lab for word, _ in bands]


@settings(max_examples=20)
@given(BANDS)
def test_a_repeat_is_the_sum_of_its_bands(bands):
    """Bands follow one another without a gap, and the repeat ends with the last."""
    typed = parse_bands("; ".join(f"{colour} {n} mm" for colour, n in bands))
    up = measurement_by_hand(typed).up
    for before, after in zip(up.bands, up.bands[1:], strict=False):
        assert after.start_mm == pytest.approx(before.start_mm + before.width_mm)
    assert [band.id for band in up.bands] == [f"U{k}" for k in range(1, len(bands) + 1)]
    if len(bands) > 1:
        assert up.repeat_mm == pytest.approx(sum(n for _, n in bands))
    else:
        assert up.repeat_mm is None


def test_mirrored_bands_run_back_again():
    """From pivot to pivot n bands make 2n - 2, the pivots not doubled."""
    typed = parse_bands("red 4 mm, blue 2 mm, green 3 mm, black 5 mm")
    up = measurement_by_hand(typed, mirrored=True).up
    assert up.mirrored
    assert [band.width_mm for band in up.bands] == [4, 2, 3, 5, 3, 2]
    assert [band.yarn for band in up.bands[1:]] == [band.yarn for band in up.bands[:0:-1]]


def test_two_bands_are_not_mirrored():
    """A repeat of two bands is its own mirror image, and says false."""
    up = measurement_by_hand(parse_bands("red 4 mm, blue 2 mm"), mirrored=True).up
    assert not up.mirrored
    assert [band.width_mm for band in up.bands] == [4, 2]


def test_a_comma_between_digits_is_a_decimal_comma():
    """6,5 mm is one width, not two bands."""
    assert [band.width_mm for band in parse_bands("red 6,5 mm,blue 2 mm")] == [6.5, 2]


def test_a_strip_reads_between_its_yarn_and_those_that_cross_it():
    """White crossed by black reads as the grey of half the light, #bcbcbc in sRGB."""
    cloth = measurement_by_hand(parse_bands("white 1 in, black 1 in"), parse_bands("black 1 in"))
    white, black = cloth.up.bands
    half = colour_of_hex("#bcbcbc").lab[0]
    own = white.yarn.lab[0]
    assert black.reads.lab[0] < white.reads.lab[0] < own
    assert white.reads.lab[0] == pytest.approx(half * own / 100, abs=2.5)


def test_a_cloth_typed_one_way_is_said_to_be_half_known():
    """What crosses the bands is guessed from the widest, and the caution says so."""
    cloth = measurement_by_hand(parse_bands("red 1/4 in, navy 2 in"))
    assert [caution.code for caution in cloth.cautions] == ["across-unknown"]
    assert cloth.across.bands[0].yarn.name == "navy"
    assert cloth.cloth.kind is Kind.STRIPE


def test_a_ruler_reads_to_its_graduations():
    """Each width's uncertainty is that of two ends read to a 32nd: 0.79 mm over root 6."""
    cloth = measurement_by_hand(parse_bands("red 1/4 in, navy 2 in"))
    assert pytest.approx(0.324, abs=0.001) == HAND_STD_MM
    assert {band.width_std_mm for band in cloth.up.bands} == {HAND_STD_MM}


@pytest.mark.parametrize("space", ["\x85", "\x1f", "\u2028", " \t "])
def test_any_space_within_a_colour_is_a_space(space):
    """Found by fuzzing: some spaces are control characters, which no document may hold."""
    (band,) = parse_bands(f"dark{space}red 1/2 in")
    assert (band.colour.value, band.colour.name) == ("dark", "red")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("red", "has no width"),
        ("1/2 in", "has no colour"),
        ("rust 1/2 in", "rust"),
        ("red 1/2 in, blue", "blue"),
    ],
)
def test_half_a_band_is_refused_by_name(text, problem):
    """The error shows the entry that is wrong."""
    with pytest.raises(UsageError, match=problem):
        parse_bands(text)


def test_a_width_without_a_unit_is_refused():
    """As everywhere, a bare number is no length."""
    with pytest.raises(BadLength, match="no unit"):
        parse_bands("red 1/2")


def test_nothing_typed_is_refused():
    """An empty list of bands is no cloth."""
    with pytest.raises(UsageError, match="No band running"):
        measurement_by_hand(parse_bands(" , "))


@pytest.mark.parametrize("words", ["navy", "light brown", "dark green", "red"])
def test_a_colour_keeps_the_words_that_she_used(words):
    """What she calls navy is shown as navy, whatever its systematic name."""
    (band,) = parse_bands(f"{words} 1 in")
    assert band.colour.spoken.endswith(words)
