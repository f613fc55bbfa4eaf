"""Pixels and millimetres: one plane, one lens, both ways."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.scale.plane import Lens, Method, Scale, apply_homography, fit_homography

SIZE = (1200, 900)


def scale_of(matrix, k1=0.0, **more):
    """A scale with that plane and lens."""
    return Scale(
        method=Method.CARD,
        size_px=SIZE,
        plane_to_px=np.asarray(matrix, float),
        lens=Lens.of_size(*SIZE, k1=k1),
        relative_std=0.001,
        **more,
    )


TILTED = np.array([[7.8, 1.1, 210.0], [-0.9, 8.3, 340.0], [2e-4, -1.5e-4, 1.0]])


@given(
    k1=st.floats(-0.08, 0.08),
    x=st.floats(-200, 1400),
    y=st.floats(-200, 1100),
)
def test_undistort_inverts_distort(k1, x, y):
    """What the lens does to a point is undone, inside the picture and a little beyond."""
    lens = Lens.of_size(*SIZE, k1=k1)

    np.testing.assert_allclose(lens.undistort(lens.distort([x, y])), [x, y], atol=1e-6)


@given(k1=st.floats(-0.05, 0.05), x=st.floats(-20, 110), y=st.floats(-30, 60))
def test_to_mm_inverts_to_px(k1, x, y):
    """A point of the plane comes back from the photo to where it was."""
    scale = scale_of(TILTED, k1)

    np.testing.assert_allclose(scale.to_mm(scale.to_px([x, y])), [x, y], atol=1e-6)


def test_lens_moves_the_edge_of_the_picture_by_k1():
    """At the picture's corner, half a diagonal out, distortion is k1 of that half diagonal."""
    lens = Lens.of_size(*SIZE, k1=-0.02)
    corner = np.array([*lens.center_px]) + lens.norm_px * np.array([0.8, 0.6])

    moved = np.linalg.norm(lens.distort(corner) - corner)

    assert moved == pytest.approx(0.02 * 750)
    np.testing.assert_allclose(lens.distort(lens.center_px), lens.center_px)


def test_scale_of_a_plane_seen_straight_is_the_same_everywhere():
    """Turned and shifted but not tilted, 6 px/mm is 6 px/mm in the middle and in the corners."""
    turn = np.deg2rad(33)
    spin = 6 * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    scale = scale_of(np.block([[spin, np.array([[50.0], [70.0]])], [np.zeros((1, 2)), 1.0]]))

    np.testing.assert_allclose(scale.px_per_mm_at([[0, 0], [1199, 0], [600, 450]]), 6)
    assert scale.px_per_mm == pytest.approx(6)


def test_scale_under_tilt_is_the_root_of_the_area():
    """A small square of the tilted, distorted plane covers the area that the scale says."""
    scale = scale_of(TILTED, k1=0.03)
    at_mm = np.array([40.0, 20.0])
    square = at_mm + 0.05 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    x, y = scale.to_px(square).T
    area_px = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2

    stated = float(scale.px_per_mm_at(scale.to_px(at_mm)))

    assert stated == pytest.approx(np.sqrt(area_px) / 0.1, rel=1e-4)


def test_another_lens_is_fitted_anew_to_the_anchors():
    """With the true lens the plane comes out true, and the anchors lie where they were seen."""
    true = scale_of(TILTED, k1=0.02)
    anchors_mm = (
        np.stack(np.meshgrid([0, 40, 85], [0, 30, 54]), axis=-1).reshape(-1, 2).astype(float)
    )
    scale = replace(scale_of(np.eye(3)), anchors_mm=anchors_mm, anchors_px=true.to_px(anchors_mm))

    found = scale.with_lens(0.02)

    np.testing.assert_allclose(found.plane_to_px, TILTED, rtol=1e-5)
    np.testing.assert_allclose(found.to_px(anchors_mm), scale.anchors_px, atol=1e-4)
    assert found.lens.k1 == 0.02


def test_without_anchors_the_plane_stays():
    """A scale that no points hold keeps its plane under another lens."""
    found = scale_of(TILTED).with_lens(0.01)

    np.testing.assert_array_equal(found.plane_to_px, TILTED)
    assert np.all(found.anchors_relative_std_at([[0, 0], [5, 5]]) == 0)


@pytest.mark.parametrize("at_px", [(560, 560), (1100, 100)])
def test_stated_scale_uncertainty_is_the_scatter(at_px):
    """The scale scatters as stated when the anchors do, amid them and far from them."""
    rng = np.random.default_rng(4)
    anchors_mm = (
        np.stack(np.meshgrid([0, 40, 85], [0, 30, 54]), axis=-1).reshape(-1, 2).astype(float)
    )
    true = scale_of(TILTED)
    seen_px = true.to_px(anchors_mm)
    std_px = 0.3

    found = [
        replace(true, anchors_mm=anchors_mm, anchors_px=seen_px + rng.normal(0, std_px, (9, 2)))
        .with_lens(0.0)
        .px_per_mm_at(at_px)
        for _ in range(400)
    ]
    stated = replace(
        true, anchors_mm=anchors_mm, anchors_px=seen_px, anchor_std_px=std_px
    ).anchors_relative_std_at(at_px)

    assert np.std(found) / np.mean(found) == pytest.approx(float(stated), rel=0.15)  # 400 draws


def test_homography_through_four_points_is_exact():
    """Four points fix a homography, and it carries them and any fifth along."""
    corners = np.array([[0, 0], [85.6, 0], [85.6, 53.98], [0, 53.98]])

    matrix = fit_homography(corners, apply_homography(TILTED, corners))

    np.testing.assert_allclose(
        apply_homography(matrix, [[-30, 90]]), apply_homography(TILTED, [[-30, 90]])
    )


def test_points_on_a_line_fix_no_homography():
    """Four points in a row are refused, not turned into a guess."""
    row = np.array([[0, 0], [1, 0], [2, 0], [3, 0]])

    with pytest.raises(ValueError, match="line"):
        fit_homography(row, row)
