"""Colour arithmetic against published figures (facts sections 9 and 13.6)."""

import pytest

from plaidcut.stripes.colour import (
    NAMES,
    _centroids,
    _level_2,
    colour_of_hex,
    difference,
    lightness_of_munsell_value,
)

CIEDE2000_PAIRS = """
50.0000   2.6772 -79.7751 | 50.0000   0.0000 -82.7485 |  2.0425
50.0000   3.1571 -77.2803 | 50.0000   0.0000 -82.7485 |  2.8615
50.0000   2.8361 -74.0200 | 50.0000   0.0000 -82.7485 |  3.4412
50.0000  -1.3802 -84.2814 | 50.0000   0.0000 -82.7485 |  1.0000
50.0000  -1.1848 -84.8006 | 50.0000   0.0000 -82.7485 |  1.0000
50.0000  -0.9009 -85.5211 | 50.0000   0.0000 -82.7485 |  1.0000
50.0000   0.0000   0.0000 | 50.0000  -1.0000   2.0000 |  2.3669
50.0000  -1.0000   2.0000 | 50.0000   0.0000   0.0000 |  2.3669
50.0000   2.4900  -0.0010 | 50.0000  -2.4900   0.0009 |  7.1792
50.0000   2.4900  -0.0010 | 50.0000  -2.4900   0.0010 |  7.1792
50.0000   2.4900  -0.0010 | 50.0000  -2.4900   0.0011 |  7.2195
50.0000   2.4900  -0.0010 | 50.0000  -2.4900   0.0012 |  7.2195
50.0000  -0.0010   2.4900 | 50.0000   0.0009  -2.4900 |  4.8045
50.0000  -0.0010   2.4900 | 50.0000   0.0010  -2.4900 |  4.8045
50.0000  -0.0010   2.4900 | 50.0000   0.0011  -2.4900 |  4.7461
50.0000   2.5000   0.0000 | 50.0000   0.0000  -2.5000 |  4.3065
50.0000   2.5000   0.0000 | 73.0000  25.0000 -18.0000 | 27.1492
50.0000   2.5000   0.0000 | 61.0000  -5.0000  29.0000 | 22.8977
50.0000   2.5000   0.0000 | 56.0000 -27.0000  -3.0000 | 31.9030
50.0000   2.5000   0.0000 | 58.0000  24.0000  15.0000 | 19.4535
50.0000   2.5000   0.0000 | 50.0000   3.1736   0.5854 |  1.0000
50.0000   2.5000   0.0000 | 50.0000   3.2972   0.0000 |  1.0000
50.0000   2.5000   0.0000 | 50.0000   1.8634   0.5757 |  1.0000
50.0000   2.5000   0.0000 | 50.0000   3.2592   0.3350 |  1.0000
60.2574 -34.0099  36.2677 | 60.4626 -34.1751  39.4387 |  1.2644
63.0109 -31.0961  -5.8663 | 62.8187 -29.7946  -4.0864 |  1.2630
61.2901   3.7196  -5.3901 | 61.4292   2.2480  -4.9620 |  1.8731
35.0831 -44.1164   3.7933 | 35.0232 -40.0716   1.5901 |  1.8645
22.7233  20.0904 -46.6940 | 23.0331  14.9730 -42.5619 |  2.0373
36.4612  47.8580  18.3852 | 36.2715  50.5065  21.2231 |  1.4146
90.8027  -2.0831   1.4410 | 91.1528  -1.6435   0.0447 |  1.4441
90.9257  -0.5406  -0.9208 | 88.6381  -0.8985  -0.7239 |  1.5381
 6.7747  -0.2908  -2.4247 |  5.8714  -0.0985  -2.2286 |  0.6377
 2.0776   0.0795  -1.1350 |  0.9033  -0.0636  -0.5514 |  0.9082
"""


def test_ciede2000_gives_the_34_published_differences():
    """The library's CIEDE2000 agrees with the 34 test pairs to 0.0001, both ways round."""
    rows = [line.split("|") for line in CIEDE2000_PAIRS.strip().splitlines()]
    first, second = ([[float(x) for x in row[k].split()] for row in rows] for k in (0, 1))
    expected = [float(row[2]) for row in rows]
    assert len(expected) == 34
    assert difference(first, second) == pytest.approx(expected, abs=1e-4)
    assert difference(second, first) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    ("rgb", "lab"),
    [
        ((106, 81, 67), (36.66, 8.27, 12.25)),
        ((103, 122, 154), (50.84, 1.04, -19.49)),
        ((152, 48, 58), (36.17, 43.95, 18.42)),
        ((54, 62, 149), (30.40, 25.06, -48.99)),
        ((53, 53, 53), (22.16, 0.0, 0.0)),
    ],
    ids=["C01", "C02", "C03", "C04", "C05"],
)
def test_srgb_to_lab(rgb, lab):
    """C01-C05: L*a*b* of five sRGB colours, to 0.1."""
    assert colour_of_hex(bytes(rgb).hex()).lab == pytest.approx(lab, abs=0.1)


@pytest.mark.parametrize(
    ("text", "hue"),
    [
        ("#800000", "red"),
        ("#808000", "olive"),
        ("#008080", "green"),
        ("#dc143c", "red"),
        ("#deb887", "yellow"),
    ],
)
def test_css_colours_have_a_name_of_their_hue(text, hue):
    """C06: maroon, olive, teal, crimson and burlywood sound like what they are."""
    colour = colour_of_hex(text)
    assert colour.hex == text
    assert hue in colour.name


def test_munsell_value_follows_the_standard():
    """C07, C08: value 4.0824 is luminance 12.236 %, value 5 is L* 51.0."""
    luminance = 100 * ((lightness_of_munsell_value(4.0824437) + 16) / 116) ** 3
    assert luminance == pytest.approx(12.23634268, abs=1e-4)
    assert lightness_of_munsell_value(5) == pytest.approx(51.0, abs=0.05)


def test_iscc_nbs_has_267_names_that_reduce_to_29():
    """C09: 267 names at level 3, and reducing them gives each of the 29 of level 2."""
    names, lab = _centroids()
    assert len(set(names)) == 267
    assert lab.shape == (267, 3)
    assert {_level_2(name) for name in names} == set(NAMES)
    assert len(NAMES) == 29


@pytest.mark.parametrize(
    ("finer", "name"),
    [
        ("light purplish pink", "purplish pink"),  # C10's
        ("dark purplish gray", "gray"),  # C11's
        ("dark grayish reddish brown", "reddish brown"),
        ("brownish pink", "pink"),
        ("olive gray", "gray"),
        ("dark olive brown", "olive brown"),
        ("vivid orange yellow", "orange yellow"),
    ],
)
def test_a_fine_name_reduces_to_its_plain_one(finer, name):
    """The longest ending that level 2 knows is the everyday name."""
    assert _level_2(finer) == name
