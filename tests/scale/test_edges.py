"""Straight edges to a small part of a pixel, against pictures whose edges are known exactly."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.special import ndtr

from plaidcut.scale.edges import locate_edge
from plaidcut.scale.lines import bend_px, crossing, crossing_std, fit_line
from plaidcut.srgb import srgb_of_light


def half_plane(angle_deg, offset_px, *, plain=0.7, other=0.05, blur_px=0.9, bow_px=0.0):
    """A blurred step 300 x 300, plain on the right of a line through the middle, in linear light.

    ``other`` may be an array of the size of the picture: what lies beyond.
    """
    y, x = np.mgrid[0:300, 0:300] - 150.0
    angle = np.radians(angle_deg)
    along = x * np.cos(angle) + y * np.sin(angle)
    across = -x * np.sin(angle) + y * np.cos(angle) - offset_px
    across = across - bow_px * (1 - (along / 100) ** 2)
    share = ndtr(across / blur_px)
    light = plain * share + other * (1 - share)
    tone = np.rint(255 * srgb_of_light(light)).astype(np.uint8)
    return np.repeat(tone[..., None], 3, axis=2)


def ends(angle_deg):
    """Ends of the guessed line through the middle."""
    along = np.array([np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))])
    return 150 - 100 * along, 150 + 100 * along


@example(angle_deg=0.0, offset_px=1.625, dark_inside=True)
@example(angle_deg=4.0, offset_px=3.796875, dark_inside=False)
@given(angle_deg=st.floats(0, 360), offset_px=st.floats(-8, 8), dark_inside=st.booleans())
def test_an_edge_is_found_where_it_is(angle_deg, offset_px, dark_inside):
    """At any angle, up to the reach off the guess, light or dark inside: within 0.02 px."""
    plain, other = (0.03, 0.8) if dark_inside else (0.8, 0.03)
    pixels = half_plane(angle_deg, offset_px, plain=plain, other=other)
    start, end = ends(angle_deg)

    edge = locate_edge(pixels, start, end, reach_px=10)

    line = fit_line(edge.xy_px)
    normal = np.array([-np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))])
    assert (line.point_px - 150) @ normal == pytest.approx(offset_px, abs=0.02)
    assert abs(line.direction @ normal) < 2e-4
    assert edge.support > 0.9


def test_half_way_is_half_way_in_light():
    """A blurred black square is not smaller: halving sRGB codes would move its edge by 0.4 px."""
    pixels = half_plane(0, 0.3, plain=0.0, other=0.9, blur_px=1.5)

    edge = locate_edge(pixels, *ends(0), reach_px=4)

    assert np.mean(edge.xy_px[:, 1]) == pytest.approx(150.3, abs=0.02)
    column = pixels[:, 150, 0].astype(float)
    half_code = np.interp(-127.5, -column, np.arange(300))
    assert abs(half_code - 150.3) > 0.4
    assert edge.blur_px == pytest.approx(1.5, abs=0.1)


def test_bands_along_the_edge_do_not_mislead():
    """Stripes beyond the edge, as strong as the edge and parallel to it, leave it in its place."""
    y = np.mgrid[0:300, 0:300][0]
    stripes = np.where((y // 7) % 2, 0.6, 0.04)
    pixels = half_plane(0, 2.4, plain=0.75, other=stripes)

    edge = locate_edge(pixels, *ends(0), reach_px=10)

    assert np.mean(edge.xy_px[:, 1]) == pytest.approx(152.4, abs=0.15)


def test_what_looks_like_the_plain_side_beyond_is_left_out():
    """Where the cloth has the paper's own colour nothing is found, and the rest tells."""
    x = np.mgrid[0:300, 0:300][1]
    blocks = np.where((x // 40) % 2, 0.7, 0.05)
    pixels = half_plane(0, -1.7, plain=0.7, other=blocks)

    edge = locate_edge(pixels, *ends(0), reach_px=8)

    assert fit_line(edge.xy_px).point_px[1] == pytest.approx(148.3, abs=0.1)
    assert 0.3 < edge.support < 0.75


def test_a_plain_picture_has_no_edge():
    """Noise alone gives no edge."""
    rng = np.random.default_rng(2)
    pixels = rng.normal(150, 3, (300, 300, 3)).clip(0, 255).astype(np.uint8)

    assert locate_edge(pixels, (50, 150), (250, 150), reach_px=8) is None


@pytest.mark.parametrize("guess", [((-900, -900), (-700, -900)), ((100, 100), (104, 100))])
def test_no_edge_where_there_is_no_picture(guess):
    """A line off the picture, or shorter than eight pixels, gives none."""
    assert locate_edge(half_plane(0, 0), *guess, reach_px=5) is None


@pytest.mark.parametrize("bow_px", [-1.5, 0.0, 2.0])
def test_bow_of_an_edge(bow_px):
    """The sagitta comes out with its sign: positive to the left of the way from start to end."""
    pixels = half_plane(0, 0.0, bow_px=bow_px)

    edge = locate_edge(pixels, *ends(0), reach_px=6)

    assert bend_px(edge.xy_px) == pytest.approx(-bow_px, abs=0.05)


def test_crossing_and_its_uncertainty():
    """Lines through exact points cross exactly; the less square they cross, the less sure."""
    places = np.linspace(0, 100, 50)[:, None]
    flat = fit_line(places * [1.0, 0.0] + [0, 20])
    steep = fit_line(places * [0.0, 1.0] + [30, 0])
    slanting = fit_line(places * [0.9, np.sqrt(1 - 0.81)] + [30, 20])

    np.testing.assert_allclose(crossing(flat, steep), [30, 20], atol=1e-9)
    assert crossing_std(flat, slanting) > 1.5 * crossing_std(flat, steep)
    with pytest.raises(ValueError, match="parallel"):
        crossing(flat, fit_line(places * [1.0, 0.0]))


def test_stated_uncertainty_of_an_edge_holds():
    """Over drawings of yarns beyond the edge its offsets scatter no more than stated."""
    rng = np.random.default_rng(5)
    misses, stated = [], []
    for _ in range(25):
        yarns = np.kron(rng.choice([0.03, 0.12, 0.3], (60, 60)), np.ones((5, 5)))
        pixels = half_plane(17, 1.2, plain=0.7, other=yarns)
        edge = locate_edge(pixels, *ends(17), reach_px=6)
        line = fit_line(edge.xy_px, shift_std_px=edge.shift_std_px)
        normal = np.array([-np.sin(np.radians(17)), np.cos(np.radians(17))])
        misses.append((line.point_px - 150) @ normal - 1.2)
        stated.append(line.offset_std_px)

    assert np.sqrt(np.mean(np.square(misses))) < 1.2 * np.mean(stated)
