"""The card and its page against published sizes, and the plane against other libraries."""

import numpy as np
import pytest
import skimage.data
from skimage.transform import ProjectiveTransform, warp

from plaidcut.reports.card_sheet import Paper
from plaidcut.scale.card_layout import CardSize, card_layout
from plaidcut.scale.plane import apply_homography, fit_homography
from plaidcut.scale.printing import CHECK_BAR_IN, PRINTED_RANGE


def test_the_wallet_card_is_an_id1_card():
    """P01, P02: 85.60 x 53.98 mm, ratio 1.5858, and not 3 3/8 in made millimetres again."""
    layout = card_layout(CardSize.WALLET)

    assert (layout.width_mm, layout.height_mm) == (85.60, 53.98)
    assert layout.width_mm / layout.height_mm == pytest.approx(1.5858, abs=5e-5)
    assert layout.width_mm != 3.375 * 25.4


def test_papers():
    """P03, P04: A4 is 210 x 297 mm, Letter 8.5 x 11 in."""
    assert Paper.A4.size_mm == (210, 297)
    assert Paper.LETTER.size_mm == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_fitting_to_the_other_paper_can_be_corrected():
    """P05: A4 fitted to Letter is 0.9407, Letter fitted to A4 0.9727; both are accepted."""
    fitted = [
        min(other / own for own, other in zip(one.size_mm, two.size_mm, strict=True))
        for one, two in ((Paper.A4, Paper.LETTER), (Paper.LETTER, Paper.A4))
    ]

    assert fitted == pytest.approx([0.9407, 0.9727], abs=1e-4)
    assert all(PRINTED_RANGE[0] < ratio < PRINTED_RANGE[1] for ratio in fitted)


def test_the_inch_bar():
    """P06: the 4 in bar is 101.6 mm."""
    assert pytest.approx(101.6) == CHECK_BAR_IN * 25.4


def test_homography_agrees_with_scikit_image():
    """OpenCV's least squares and scikit-image's ProjectiveTransform find one homography."""
    rng = np.random.default_rng(0)
    true = np.array([[7.8, 1.1, 210.0], [-0.9, 8.3, 340.0], [2e-4, -1.5e-4, 1.0]])
    plane_mm = rng.uniform(0, 90, (40, 2))
    seen_px = apply_homography(true, plane_mm)
    theirs = ProjectiveTransform.from_estimate(plane_mm, seen_px)

    ours = fit_homography(plane_mm, seen_px)

    np.testing.assert_allclose(apply_homography(ours, plane_mm), theirs(plane_mm), atol=1e-6)
    np.testing.assert_allclose(apply_homography(ours, plane_mm), seen_px, atol=1e-6)


def test_homography_of_noisy_points_agrees_with_scikit_image():
    """With scattered points the two differ by far less than the points scatter."""
    rng = np.random.default_rng(1)
    true = np.array([[7.8, 1.1, 210.0], [-0.9, 8.3, 340.0], [2e-4, -1.5e-4, 1.0]])
    plane_mm = rng.uniform(0, 90, (200, 2))
    seen_px = apply_homography(true, plane_mm) + rng.normal(0, 0.3, (200, 2))
    theirs = ProjectiveTransform.from_estimate(plane_mm, seen_px)

    ours = apply_homography(fit_homography(plane_mm, seen_px), plane_mm)

    assert np.abs(ours - theirs(plane_mm)).max() < 0.03


def test_a_known_checkerboard():
    """OpenCV's corners of scikit-image's checkerboard, seen aslant, give back its 25 pixels."""
    import cv2

    board = skimage.data.checkerboard()
    aslant = ProjectiveTransform(np.array([[2.6, 0.5, 60], [-0.4, 2.9, 110], [3e-4, 2e-4, 1.0]]))
    photo = warp(board, aslant.inverse, output_shape=(760, 760), cval=1.0)
    pixels = np.rint(255 * photo).astype(np.uint8)
    found, corners_px = cv2.findChessboardCornersSB(pixels, (7, 7), flags=cv2.CALIB_CB_ACCURACY)
    assert found
    corners_px = corners_px.reshape(-1, 2).astype(float)
    lattice = np.stack(np.meshgrid(np.arange(7), np.arange(7)), axis=-1).reshape(-1, 2) * 25 + 24.5
    order = np.lexsort(np.rint(aslant.inverse(corners_px) / 25).T)

    plane_to_px = fit_homography(lattice, corners_px[order])

    seen = apply_homography(np.linalg.inv(plane_to_px), aslant(lattice))
    steps = np.diff(seen.reshape(7, 7, 2)[:, :, 0], axis=1)
    np.testing.assert_allclose(steps, 25, atol=0.05)
    assert steps.mean() == pytest.approx(25, abs=0.01)
