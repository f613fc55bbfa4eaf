"""What a plane's homography tells of the camera, against cameras that were set up."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.scale.camera import deeper, view_of
from plaidcut.scale.plane import apply_homography
from tests.scale.mark_pictures import View


@given(
    tilt_deg=st.floats(0, 25),
    axis_deg=st.floats(0, 360),
    turn_deg=st.floats(0, 360),
    focal_share=st.floats(0.65, 0.95),
)
def test_tilt(tilt_deg, axis_deg, turn_deg, focal_share):
    """The tilt comes out within a fifth or half a degree, though the focal length is a guess."""
    view = View(
        tilt_deg=tilt_deg, tilt_axis_deg=axis_deg, turn_deg=turn_deg, focal_share=focal_share
    )

    told = view_of(view.plane_to_px, view.size_px)

    assert told.tilt_deg == pytest.approx(tilt_deg, rel=0.2, abs=0.5)
    assert told.strain < 1.6


def test_a_strong_tilt_tells_the_focal_length():
    """At 25 degrees the two conditions find a focal length that is not the usual one."""
    view = View(tilt_deg=25, tilt_axis_deg=70, focal_share=0.9)

    told = view_of(view.plane_to_px, view.size_px, misfit_std=1e-4)

    assert told.focal_px == pytest.approx(0.9 * 1600, rel=0.01)
    assert told.tilt_deg == pytest.approx(25, abs=0.2)


@pytest.mark.parametrize("tilt_deg", [0, 8, 20])
def test_another_shape_strains(tilt_deg):
    """A plane stretched by a tenth along one axis is hard to believe, at any tilt."""
    view = View(tilt_deg=tilt_deg)
    stretched = view.plane_to_px @ np.diag([1.1, 1.0, 1.0])

    assert view_of(stretched, view.size_px).strain > 3.5
    assert view_of(view.plane_to_px, view.size_px).strain < 1


@given(tilt_deg=st.floats(0, 25), axis_deg=st.floats(0, 360), turn_deg=st.floats(0, 360))
def test_a_deeper_plane_lies_behind(tilt_deg, axis_deg, turn_deg):
    """Points of the deeper plane look as the same points a little further off do."""
    view = View(tilt_deg=tilt_deg, tilt_axis_deg=axis_deg, turn_deg=turn_deg, focal_share=0.77)
    focal, (width, height) = 0.77 * 1600, view.size_px
    camera = np.array([[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]])
    pose = np.linalg.solve(camera, view.plane_to_px)
    pose /= np.linalg.norm(pose[:, 0])
    points_mm = np.array([[0, 0], [80, 0], [80, 50], [0, 50.0]])
    normal = np.cross(pose[:, 0], pose[:, 1])
    space = points_mm @ pose[:, :2].T + pose[:, 2] + 5.0 * normal / np.linalg.norm(normal)
    seen = space @ camera.T

    ours = apply_homography(deeper(view.plane_to_px, view.size_px, 5.0), points_mm)

    np.testing.assert_allclose(ours, seen[:, :2] / seen[:, 2:], atol=1.0)
