"""Maps spread over a mesh, against maps that are linear or known in between."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from plaidcut.cloth.mesh import MESH, bands, mesh_nodes, on_mesh, over_mesh


@given(
    rows=st.integers(1, 40),
    columns=st.integers(1, 40),
    turn=st.lists(st.floats(-2, 2), min_size=4, max_size=4),
)
def test_what_is_linear_is_spread_exactly(rows, columns, turn):
    """A linear map's values at the nodes give it everywhere on the grid, ends included."""
    matrix = np.reshape(turn, (2, 2))
    nodes = mesh_nodes((rows, columns))
    y, x = np.indices((rows, columns))
    expected = np.stack([x, y], axis=-1) @ matrix.T + [3.0, -7.0]

    values = nodes @ matrix.T + [3.0, -7.0]

    np.testing.assert_allclose(on_mesh(values, y, x), expected, atol=1e-9)
    np.testing.assert_allclose(over_mesh(values, (rows, columns)), expected, atol=2e-4)


def test_what_bends_is_off_by_its_bend():
    """Between nodes h apart, a map with second derivative c is off by c·h²/8 at most."""
    nodes = mesh_nodes((1, 101))
    spread = over_mesh(0.02 * nodes**2, (1, 101))[0, :, 0]
    away = spread - 0.02 * np.arange(101) ** 2
    assert abs(away).max() < 1.01 * 0.04 * MESH**2 / 8
    beside = away[::MESH]  # half a step from a node
    np.testing.assert_allclose(beside, 0.02 * 0.5 * (MESH - 0.5), atol=1e-4)


@given(rows=st.integers(1, 700), columns=st.integers(1, 20))
def test_bands_make_the_whole(rows, columns):
    """A map spread band by band is the same as spread at once."""
    values = mesh_nodes((rows, columns)) ** 2
    parts = [
        over_mesh(values[nodes], (band.stop - band.start, columns))
        for band, nodes in bands((rows, columns))
    ]
    np.testing.assert_allclose(np.concatenate(parts), over_mesh(values, (rows, columns)), rtol=1e-6)
