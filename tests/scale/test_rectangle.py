"""The scale from index cards, ID-1 cards and sheets in photos drawn from first principles."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from plaidcut.errors import NoScale, ScaleTooSmall, ScaleUncertain, UsageError
from plaidcut.scale.rectangle import find_rectangle, from_corners
from plaidcut.scale.ways import ByRectangle, take_scale
from tests.scale.mark_pictures import View, index_card, photograph, plain_sheet, printed_card

INDEX_MM = (152.4, 101.6)

SEEN = View(size_px=(1200, 900), px_per_mm=4.0, turn_deg=20, tilt_deg=6, k1=0.012)
"""An index card in the middle of a small photo, turned and tilted, by a lens that bends."""


def error_of(scale, view):
    """Relative error of a scale in the middle of the picture."""
    middle = (np.array(view.size_px) - 1) / 2
    return float(scale.px_per_mm_at(middle) / view.px_per_mm_at(middle)) - 1


def corners_of(view, size_mm=INDEX_MM):
    """Where a rectangle's corners are in the photo, clockwise."""
    width, height = size_mm
    return view.to_px([[0, 0], [width, 0], [width, height], [0, height]])


@cache
def index_photo():
    """A photo of an index card on plaid."""
    return photograph(SEEN, index_card())


@pytest.mark.parametrize("view", [{}, {"turn_deg": -75.0}, {"tilt_deg": 14.0, "k1": -0.01}])
def test_an_index_card_is_found(view):
    """At any turn, tilt and lens the scale is right to 0.3 % and the corners to half a pixel."""
    seen = replace(SEEN, **view)

    scale = find_rectangle(photograph(seen, index_card(), cloth_seed=3), INDEX_MM)

    assert error_of(scale, seen) == pytest.approx(0, abs=0.003)
    assert abs(error_of(scale, seen)) < 2 * scale.relative_std
    apart = np.linalg.norm(scale.mark_px[:, None] - corners_of(seen), axis=-1)
    assert apart.min(axis=0).max() < 0.5


def test_an_id1_card_is_found_in_spite_of_its_rounded_corners():
    """P01: 85.60 x 53.98 mm with corners of 3.18 mm, printed on; no wider scale than stated."""
    view = replace(SEEN, px_per_mm=6.0, middle_mm=(42.8, 27), tilt_deg=3)

    scale = take_scale(photograph(view, printed_card(), cloth_seed=1), ByRectangle.id1())

    # its face was drawn in the cloth's plane: 0.76 mm nearer makes up to 0.5 % at this distance
    assert error_of(scale, view) == pytest.approx(0, abs=0.006)
    assert 0.0005 < scale.relative_std < 0.005


def test_roughly_marked_corners_are_bettered():
    """Corners marked 6 px off in any order give the scale that the sides do, not the slips."""
    slips = np.array([[5, -3], [-4, 4], [6, 2], [-3, -5]])
    marked = (corners_of(SEEN) + slips)[[2, 0, 3, 1]]

    bettered = from_corners(SEEN.size_px, marked, INDEX_MM, pixels=index_photo())
    as_marked = from_corners(SEEN.size_px, marked, INDEX_MM)

    assert error_of(bettered, SEEN) == pytest.approx(0, abs=0.003)
    assert bettered.anchor_std_px < as_marked.anchor_std_px / 3
    assert abs(error_of(as_marked, SEEN)) < 2.5 * as_marked.relative_std


def test_a_rectangle_of_another_shape_is_not_taken():
    """Half a sheet is no index card, neither found by itself nor marked by hand."""
    with pytest.raises((NoScale, ScaleUncertain)):
        find_rectangle(index_photo(), (210.0, 105.0))
    with pytest.raises(ScaleUncertain, match="shape"):
        from_corners(SEEN.size_px, corners_of(SEEN), (210.0, 105.0), pixels=index_photo())


def test_two_of_one_shape_contradict_each_other():
    """Two cards of one shape and two sizes: neither is taken, and corners by hand are the way."""
    view = replace(SEEN, px_per_mm=3.6, turn_deg=4, middle_mm=(120, 60))
    half = plain_sheet((91.4, 61.0), at_mm=(165, 20), turn_deg=-3)

    with pytest.raises(ScaleUncertain, match="differ by") as refused:
        find_rectangle(
            photograph(view, index_card(), half, plain_cloth=(0.1, 0.03, 0.03)), INDEX_MM
        )

    assert "--corners" in refused.value.hint


@pytest.mark.parametrize("seed", [0, 4])
def test_blocks_of_a_plaid_are_no_card(seed):
    """Without a card none is found: a plaid's blocks are rectangles, but their sides run on."""
    with pytest.raises(NoScale, match="No flat rectangle"):
        find_rectangle(photograph(SEEN, cloth_seed=seed), INDEX_MM)


def test_a_card_of_few_pixels_is_too_small():
    """A shorter side of under 100 pixels says too little of the perspective."""
    with pytest.raises(ScaleTooSmall, match="pixels"):
        from_corners(SEEN.size_px, corners_of(replace(SEEN, px_per_mm=0.8)), INDEX_MM)


@pytest.mark.parametrize(
    "corners",
    [
        [[0, 0], [100, 0], [100, 100]],
        [[0, 0], [100, 0], [200, 0], [100, 100]],
        [[0, 0], [0, 0], [100, 100], [0, 100]],
        [[0, 0], [100, 0], [float("nan"), 100], [0, 100]],
    ],
    ids=["three", "in line", "twice", "no number"],
)
def test_points_that_are_no_corners(corners):
    """What isn't a four-sided outline is a slip of the command line."""
    with pytest.raises(UsageError, match="--corners"):
        from_corners((1200, 900), corners, INDEX_MM)
