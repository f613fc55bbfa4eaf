"""What is taken for cloth, from a map of where texture is seen."""

from types import SimpleNamespace

import numpy as np
import pytest

from plaidcut.cloth.light import WorkPicture
from plaidcut.cloth.outline import first_outline, surroundings, tidy
from plaidcut.cloth.view import plane_view
from plaidcut.errors import NoCloth
from plaidcut.scale.points import given

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


PHOTO_PX_PER_MM = 6.0


def outlined(brightness, contrast, *, one_way=False):
    """Where cloth is seen in a photo of yarns that cross, 5 mm within its edges.

    ``brightness`` and ``contrast`` (H, W) are those of the yarns; where ``one_way`` is true a
    grain of the same strength runs down in their place.
    """
    y, x = np.indices(brightness.shape) / PHOTO_PX_PER_MM
    across, down = np.sin(2 * np.pi * x / 0.8), np.sin(2 * np.pi * y / 0.8)
    yarns = np.where(one_way, across, (across + down) / np.sqrt(2))
    noise = np.random.default_rng(2).normal(0, 0.002, x.shape)
    light = (brightness + contrast * yarns + noise)[..., None] * np.ones(3)
    scale = given(x.shape[::-1], PHOTO_PX_PER_MM)
    picture = WorkPicture.of(light.clip(0, 1))
    view = plane_view(picture, scale)
    found = first_outline(picture, scale, view, surroundings(view, scale))
    at = scale.to_mm(PHOTO_PX_PER_MM * np.stack([x, y], axis=-1))
    inner = (slice(30, -30), slice(30, -30))
    return view.look_up(found, at)[inner], x[inner], y[inner]


def test_a_grain_that_runs_one_way_is_no_cloth():
    """Wood with as much fine texture as the wool that lies on it is left out."""
    x = np.indices((900, 1200))[1] / PHOTO_PX_PER_MM
    wood = x > 140
    found, x, _ = outlined(np.full(x.shape, 0.3), np.full(x.shape, 0.05), one_way=wood)
    assert not found[x > 142].any()
    assert found[x < 128].all()


def test_dark_stripes_beside_light_ones_are_cloth_up_to_the_pictures_edge():
    """Dark yarns show a sixth of what light ones show, and are cloth where those border them."""
    y = np.indices((900, 1200))[0] / PHOTO_PX_PER_MM
    dark = np.abs(np.abs(y - 75) - 55) < 13
    found, _, _ = outlined(np.where(dark, 0.02, 0.3), np.where(dark, 0.0012, 0.05))
    assert found.all()


def test_a_table_that_shows_a_little_is_no_cloth():
    """What shows more than a table does is left out where the picture's edge borders most of it."""
    x, y = (i / PHOTO_PX_PER_MM for i in np.indices((900, 1200))[::-1])
    table = (x > 150) | (y > 120)
    found, x, y = outlined(np.where(table, 0.02, 0.3), np.where(table, 0.0012, 0.05))
    assert not found[(x > 152) | (y > 122)].any()
    assert found[(x < 138) & (y < 108)].all()


def test_too_little_cloth_is_refused():
    """A scrap of 4 x 4 cm beside the mark is no cloth to measure."""
    x, y = millimetres()
    view, around = setting(np.ones(x.shape, bool))
    with pytest.raises(NoCloth):
        tidy((np.abs(x - 165) < 20) & (np.abs(y - 95) < 20), view, around)
