"""Thread fields against fields known in closed form."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cloth.field import ThreadField

BOX_MM = np.array([[-30.0, -20.0], [290.0, 240.0]])


def points(every_mm=8.0, inset_mm=0.0):
    """Points (N, 2) on a grid over the box."""
    x, y = (np.arange(BOX_MM[0, i] + inset_mm, BOX_MM[1, i] - inset_mm, every_mm) for i in (0, 1))
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def bump(xy_mm):
    """A smooth bend of 3 mm, ten centimetres wide, in the middle of the box."""
    away = np.linalg.norm(xy_mm - BOX_MM.mean(axis=0), axis=-1)
    return 3.0 * np.exp(-0.5 * (away / 50.0) ** 2)


def test_one_point_has_one_value():
    """A field is asked for one point as for many."""
    field = ThreadField.straight(30.0, BOX_MM)
    assert field.value(np.array([10.0, 5.0])) == pytest.approx(field.value([[10.0, 5.0]])[0])
    assert field.value(np.array([10.0, 5.0])).shape == ()


@given(angle_deg=st.floats(0, 360), offset_mm=st.floats(-500, 500))
def test_a_field_through_a_plane_is_that_plane(angle_deg, offset_mm):
    """Straight, evenly spaced threads come out straight and even, whichever way they run."""
    rad = np.deg2rad(angle_deg)
    normal = np.array([np.cos(rad), np.sin(rad)])
    xy = points(every_mm=16.0)
    field = ThreadField.through(xy, xy @ normal + offset_mm, BOX_MM)
    fresh = points(every_mm=23.0)
    np.testing.assert_allclose(field.value(fresh), fresh @ normal + offset_mm, atol=1e-4)
    np.testing.assert_allclose(
        field.gradient(fresh), np.broadcast_to(normal, fresh.shape), atol=1e-5
    )


def test_a_field_through_stretched_threads_keeps_the_stretch():
    """Values that grow faster than the plane's millimetres are kept as they are."""
    xy = points()
    value = 1.03 * xy[:, 0] + 0.02 * xy[:, 1]
    field = ThreadField.through(xy, value, BOX_MM)
    np.testing.assert_allclose(field.value(xy), value, atol=2e-3)


def test_a_smooth_bend_is_followed():
    """A bend wider than the knots is followed within a tenth of a yarn, between points too."""
    straight = ThreadField.straight(0.0, BOX_MM)
    xy = points()
    bent = straight.bent(xy, bump(xy), np.ones(len(xy)), stiffness=1e-5)
    fresh = points(every_mm=7.3, inset_mm=10.0)
    np.testing.assert_allclose(bent.value(fresh) - fresh[:, 0], bump(fresh), atol=0.05)


def test_points_of_no_weight_do_not_bend():
    """What is not trusted says nothing."""
    xy = points()
    shift = bump(xy)
    wrong = xy[:, 0] > 250.0
    weight = np.where(wrong, 0.0, 1.0)
    straight = ThreadField.straight(30.0, BOX_MM)
    clean = straight.bent(xy, shift, weight, stiffness=1e-3)
    spoiled = straight.bent(xy, np.where(wrong, 40.0, shift), weight, stiffness=1e-3)
    np.testing.assert_allclose(clean.coefficients, spoiled.coefficients, atol=1e-9)


@pytest.mark.parametrize("angle_deg", [0.0, 35.0, 90.0])
def test_a_turned_field_is_level_along_the_given_threads(angle_deg):
    """Threads that swing by ±3° along their run are levelled within a tenth of a degree."""
    rad = np.deg2rad(angle_deg)
    normal, along = np.array([np.cos(rad), np.sin(rad)]), np.array([-np.sin(rad), np.cos(rad)])
    xy = points(every_mm=16.0)
    # all threads swing side by side, so that level threads exist that keep their pitch
    swing = rad + np.deg2rad(3.0 * np.sin(0.015 * xy @ along))
    tangent = np.stack([-np.sin(swing), np.cos(swing)], axis=-1)
    field = ThreadField.straight(angle_deg, BOX_MM)
    turned = field.turned(xy, tangent, np.ones(len(xy)), stiffness=1e-5)
    inner = (np.abs(xy - BOX_MM.mean(axis=0)) < [140.0, 110.0]).all(axis=1)
    gradient = turned.gradient(xy[inner])
    climb = np.sum(gradient * tangent[inner], axis=1) / np.linalg.norm(gradient, axis=1)
    assert np.rad2deg(np.abs(climb)).max() < 0.1
    np.testing.assert_allclose(gradient @ normal, 1.0, atol=0.005)
