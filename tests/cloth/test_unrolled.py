"""Thread grids and the picture sampled on them, against fields known in closed form."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.cloth.field import ThreadField
from plaidcut.cloth.mesh import over_mesh
from plaidcut.cloth.unrolled import Unrolled, invert, thread_grid
from plaidcut.scale.plane import Lens, Method, Scale

BOX_MM = np.array([[0.0, 0.0], [240.0, 180.0]])


def bent_fields(skew_deg=3.0, bend_mm=2.0):
    """Up and across threads out of square, both bent smoothly."""
    x, y = np.meshgrid(np.arange(0.0, 241.0, 10.0), np.arange(0.0, 181.0, 10.0))
    xy = np.stack([x, y], axis=-1).reshape(-1, 2)
    bend = bend_mm * np.sin(xy @ [0.012, 0.009])
    weight = np.ones(len(xy))
    up = ThreadField.straight(0.0, BOX_MM).bent(xy, bend, weight, stiffness=1e-5)
    across = ThreadField.straight(90.0 + skew_deg, BOX_MM).bent(xy, -bend, weight, stiffness=1e-5)
    return up, across


def tilted_scale():
    """Eight pixels a millimetre, the plane tilted, the lens a barrel."""
    return Scale(
        method=Method.GIVEN,
        size_px=(2000, 1500),
        plane_to_px=np.array([[8.0, 0.2, 20.0], [-0.1, 8.2, 15.0], [1e-4, 2e-4, 1.0]]),
        lens=Lens.of_size(2000, 1500, k1=-0.02),
        relative_std=0.002,
    )


@settings(max_examples=25)
@given(skew_deg=st.floats(-10, 10), bend_mm=st.floats(-3, 3))
def test_inverting_two_fields_leads_back(skew_deg, bend_mm):
    """The points found for two thread values have those values, wherever on the cloth."""
    up, across = bent_fields(skew_deg, bend_mm)
    uv = np.stack(np.meshgrid(np.linspace(20, 200, 7), np.linspace(20, 150, 7)), axis=-1)
    xy = invert(up, across, uv)
    np.testing.assert_allclose(np.stack([up.value(xy), across.value(xy)], axis=-1), uv, atol=1e-4)


def test_a_thread_grid_lies_on_its_threads():
    """Every grid point has its column's and its row's value, and what it shows is there."""
    fields, scale = bent_fields(), tilted_scale()
    grid = thread_grid(fields, np.array([[10.0, 10.0], [200.0, 150.0]]), step_mm=0.5)
    assert grid.step_mm == 0.5
    xy = grid.xy_mm(*np.indices(grid.shape))
    u, v = (field.value(xy) for field in fields)
    np.testing.assert_allclose(u, np.broadcast_to(grid.u_mm, u.shape), atol=0.002)
    np.testing.assert_allclose(v, np.broadcast_to(grid.v_mm[:, None], v.shape), atol=0.002)
    spread = over_mesh(scale.to_px(grid.node_mm), grid.shape)
    np.testing.assert_allclose(spread, scale.to_px(xy), atol=0.02)


def test_turning_twice_changes_nothing():
    """Rows and columns exchanged twice are as they were; once, u and v change places."""
    grid = thread_grid(bent_fields(), np.array([[10.0, 10.0], [60.0, 40.0]]), step_mm=1.0)
    rng = np.random.default_rng(0)
    shape = grid.shape
    cloth = Unrolled(
        grid=grid,
        rgb=rng.integers(0, 1 << 16, (*shape, 3), np.uint16),
        valid=rng.random(shape) > 0.1,
    )
    once, twice = cloth.turned(), cloth.turned().turned()
    np.testing.assert_array_equal(once.grid.u_mm, grid.v_mm)
    np.testing.assert_array_equal(once.rgb[3, 2], cloth.rgb[2, 3])
    np.testing.assert_array_equal(twice.rgb, cloth.rgb)
    np.testing.assert_array_equal(twice.valid, cloth.valid)
    np.testing.assert_allclose(once.grid.xy_mm(3, 2), grid.xy_mm(2, 3), atol=1e-9)
    np.testing.assert_array_equal(twice.grid.node_mm, grid.node_mm)
