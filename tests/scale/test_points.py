"""The scale given by hand: two points, or pixels per millimetre."""

import numpy as np
import pytest
from hypothesis import given as examples
from hypothesis import strategies as st

from plaidcut.errors import ScaleTooSmall, UsageError
from plaidcut.scale.plane import Method
from plaidcut.scale.points import POINT_STD_PX, from_points, given
from plaidcut.scale.pose import TILT_STD_DEG
from tests.scale.mark_pictures import View

SIZE_PX = (3000, 2000)

coordinates = st.tuples(st.floats(0, 2999), st.floats(0, 1999))


@examples(first=coordinates, second=coordinates, apart_mm=st.floats(20, 900))
def test_the_points_are_as_far_apart_as_said(first, second, apart_mm):
    """Between the points the plane measures what she measured, x from the first to the second."""
    apart_px = np.hypot(*np.subtract(second, first))
    if apart_px < 150:
        with pytest.raises(ScaleTooSmall, match="pixels apart"):
            from_points(SIZE_PX, [first, second], apart_mm)
        return

    scale = from_points(SIZE_PX, [first, second], apart_mm)

    np.testing.assert_allclose(
        scale.to_mm([first, second]), [[0, 0], [apart_mm, 0]], atol=1e-4 * apart_mm
    )
    assert scale.px_per_mm == pytest.approx(apart_px / apart_mm, rel=1e-3)
    assert scale.method is Method.POINTS
    assert scale.tilt_deg is None


@examples(factor=st.floats(0.5, 3))
def test_a_picture_twice_as_large_has_twice_the_scale(factor):
    """Scaling picture and points scales px/mm and nothing else."""
    points = np.array([[300.0, 400.0], [1900.0, 1000.0]])
    size = tuple(round(factor * side) for side in SIZE_PX)

    small = from_points(SIZE_PX, points, 127.0)
    large = from_points(size, factor * points, 127.0)

    assert large.px_per_mm == pytest.approx(factor * small.px_per_mm, rel=1e-6)


def test_stated_uncertainty_is_the_actual_one():
    """Over hand-held tilts, slips of marking and of the ruler the error is as large as stated."""
    rng = np.random.default_rng(8)
    ends_mm = np.array([[10.0, 50.0], [140.0, 60.0]])
    grid = np.stack(np.meshgrid([266, 800, 1333], [200, 600, 1000]), -1).reshape(-1, 2)
    errors, stated = [], []
    for _ in range(60):
        tilts = rng.normal(0, TILT_STD_DEG, 2)
        view = View(
            tilt_deg=float(np.hypot(*tilts)),
            tilt_axis_deg=float(np.degrees(np.arctan2(*tilts))),
            focal_share=0.77,
        )
        marked = view.to_px(ends_mm) + rng.normal(0, POINT_STD_PX, (2, 2))
        apart = np.hypot(*(ends_mm[1] - ends_mm[0])) + rng.normal(0, 0.4)
        scale = from_points(view.size_px, marked, apart)
        errors.append(np.log(scale.px_per_mm_at(grid) / view.px_per_mm_at(grid)).mean())
        stated.append(scale.relative_std)

    actual = np.sqrt(np.mean(np.square(errors)))
    assert 0.5 < actual / np.mean(stated) < 1.3


def test_far_off_the_middle_is_less_sure():
    """Points along the picture's edge say less of its middle than points across the middle do."""
    middle = from_points(SIZE_PX, [[500, 1000], [2500, 1000]], 250.0)
    edge = from_points(SIZE_PX, [[500, 60], [2500, 60]], 250.0)

    assert edge.relative_std > 2 * middle.relative_std


@pytest.mark.parametrize(
    ("points", "apart_mm"),
    [([[0, 0]], 10.0), ([[0, 0], [900, 0]], 0.0), ([[0, 0], [900, 0]], float("nan"))],
)
def test_nonsense_is_refused(points, apart_mm):
    """One point, or no distance, is a mistake on the command line."""
    with pytest.raises(UsageError):
        from_points(SIZE_PX, points, apart_mm)


@examples(px_per_mm=st.floats(1, 100))
def test_a_given_scale_is_the_scale(px_per_mm):
    """A flatbed scan: every place the same scale, no tilt, no lens."""
    scale = given(SIZE_PX, px_per_mm)

    places = np.array([[0, 0], [1500, 1000], [2999, 1999]])
    np.testing.assert_allclose(scale.px_per_mm_at(places), px_per_mm, rtol=1e-9)
    assert (scale.tilt_deg, scale.lens_std, scale.method) == (0.0, 0.0, Method.GIVEN)
    assert 0 < scale.relative_std < 0.005


@pytest.mark.parametrize("px_per_mm", [0.0, -3.0, float("inf")])
def test_a_given_scale_must_be_one(px_per_mm):
    """Nothing, less than nothing and infinity are no scale."""
    with pytest.raises(UsageError, match="px-per-mm"):
        given(SIZE_PX, px_per_mm)
