"""What is taken for cloth, from a map of where texture is seen."""

from types import SimpleNamespace

import numpy as np
import pytest

from plaidcut.cloth.outline import tidy
from plaidcut.errors import NoCloth

PX = 2
"""Grid steps per millimetre."""


def setting(framed):
    """View and surroundings of a picture with a mark of 40 x 30 mm at 100, 80 mm."""
    mark = np.zeros_like(framed)
    mark[80 * PX : 110 * PX, 100 * PX : 140 * PX] = True
    ring = np.zeros_like(framed)
    ring[50 * PX : 140 * PX, 70 * PX : 170 * PX] = True
    return (
        SimpleNamespace(px_per_mm=float(PX), framed=framed),
        SimpleNamespace(mark=mark, ring=ring & ~mark & framed),
    )


def millimetres(width=300, height=200):
    """Millimetre positions of every grid point."""
    y, x = np.indices((height * PX, width * PX)) / PX
    return x, y


def test_cloth_all_over_is_cloth_up_to_the_mark():
    """A picture full of cloth is cloth to its edges; only the mark is left out."""
    x, _ = millimetres()
    framed = np.ones(x.shape, bool)
    view, around = setting(framed)
    found = tidy(~around.mark, view, around)
    np.testing.assert_array_equal(found, ~around.mark)


def test_a_wedge_of_table_at_the_pictures_edge_is_no_cloth():
    """Table that narrows to nothing between cloth and the frame is not bridged over."""
    x, y = millimetres()
    framed = y < 190
    view, around = setting(framed)
    table = y > 190 - x / 20
    found = tidy(framed & ~table & ~around.mark, view, around)
    assert not found[table & (y < 188 - x / 40)].any()
    assert found[(y < 165) & ~around.mark].all()


def test_spots_of_plain_yarn_are_cloth_and_a_hole_is_not():
    """Where texture lacks over 1 cm the gap is bridged; a hand's breadth is left out."""
    x, y = millimetres()
    view, around = setting(np.ones(x.shape, bool))
    spot = np.hypot(x - 40, y - 40) < 5
    hole = np.hypot(x - 230, y - 100) < 30
    found = tidy(~spot & ~hole & ~around.mark, view, around)
    assert found[spot].all()
    assert not found[hole].any()


def test_flowers_scattered_on_a_smooth_thing_are_no_cloth():
    """Beyond the cloth's edge, spots of texture on a quarter of the ground don't belong to it."""
    x, y = millimetres()
    view, around = setting(np.ones(x.shape, bool))
    cloth = x < 180
    flowers = np.zeros(x.shape, bool)
    rng = np.random.default_rng(4)
    for left, top in rng.uniform([185, 5], [295, 195], (70, 2)):
        flowers |= np.hypot(x - left, y - top) < 5
    assert 0.2 < flowers[x > 185].mean() < 0.35
    found = tidy((cloth | flowers) & ~around.mark, view, around)
    assert not found[x > 195].any()
    assert found[(x < 170) & ~around.mark].all()


def test_too_little_cloth_is_refused():
    """A scrap of 4 x 4 cm beside the mark is no cloth to measure."""
    x, y = millimetres()
    view, around = setting(np.ones(x.shape, bool))
    with pytest.raises(NoCloth):
        tidy((np.abs(x - 165) < 20) & (np.abs(y - 95) < 20), view, around)
