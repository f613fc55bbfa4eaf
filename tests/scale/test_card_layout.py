"""The card's layout: legible, in no corner crowded, and telling which card it is."""

from itertools import combinations

import numpy as np
import pytest
from cv2 import aruco

from plaidcut.scale.card_layout import (
    DICTIONARY,
    MARKER_IDS,
    MODULES,
    Box,
    CardSize,
    card_layout,
    marker_cells,
)

SIZES = list(CardSize)


def gap_mm(one: Box, other: Box) -> float:
    """Distance between two rectangles; negative where they overlap."""
    across = max(one.x_mm - other.x_mm - other.width_mm, other.x_mm - one.x_mm - one.width_mm)
    down = max(one.y_mm - other.y_mm - other.height_mm, other.y_mm - one.y_mm - one.height_mm)
    return max(across, down) if min(across, down) < 0 else float(np.hypot(across, down))


@pytest.mark.parametrize("size", SIZES)
def test_nothing_printed_overlaps(size):
    """Boxes share no area, so that their ink can simply be added up."""
    boxes = card_layout(size).boxes()

    assert min(gap_mm(one, other) for one, other in combinations(boxes, 2)) > -1e-9


@pytest.mark.parametrize("size", SIZES)
def test_everything_lies_on_the_card(size):
    """No mark leaves the card."""
    layout = card_layout(size)
    corners = np.concatenate([box.corners_mm for box in layout.boxes()])

    assert corners.min() >= -1e-9
    assert np.all(corners.max(axis=0) <= np.array([layout.width_mm, layout.height_mm]) + 1e-9)


@pytest.mark.parametrize("size", SIZES)
def test_markers_stand_free(size):
    """White surrounds each marker: 1.4 modules to any mark, two to the card's edge."""
    layout = card_layout(size)
    others = [layout.grey, layout.black, *layout.lines]
    for marker in layout.markers:
        box, module = marker.box, marker.module_mm
        to_edges = [*box.corners_mm[0], *((layout.width_mm, layout.height_mm) - box.corners_mm[2])]
        letters = [  # capitals and figures are 0.73 of the font's size high
            Box(words.x_mm, words.baseline_mm - 0.73 * words.size_mm, 1, 0.73 * words.size_mm)
            for words in layout.words
        ]

        assert min(to_edges) >= 2 * module
        assert min(gap_mm(box, other) for other in others) >= 1.4 * module
        assert min(gap_mm(box, other) for other in letters) >= 1.4 * module


def test_a_marker_tells_its_card():
    """No marker is on both cards, and any two differ in at least nine modules however turned."""
    everything = [number for size in SIZES for number in MARKER_IDS[size]]
    patterns = {number: marker_cells(number)[1:-1, 1:-1] for number in everything}

    assert len(set(everything)) == len(everything)
    for one, other in combinations(everything, 2):
        turned = [np.rot90(patterns[one], turn) for turn in range(4)]
        assert min(np.sum(cells != patterns[other]) for cells in turned) >= 9


def test_cells_are_the_dictionarys_own():
    """OpenCV draws each marker as the layout has it."""
    dictionary = aruco.getPredefinedDictionary(getattr(aruco, DICTIONARY))
    for number in MARKER_IDS[CardSize.SHEET]:
        drawn = aruco.generateImageMarker(dictionary, number, 10 * MODULES)

        assert np.array_equal(drawn[5::10, 5::10] == 0, marker_cells(number))


@pytest.mark.parametrize("size", SIZES)
def test_graduations_are_a_ruler(size):
    """Along the top a line stands at every millimetre, along the bottom at every 1/16 inch."""
    layout = card_layout(size)
    top = sorted(b.x_mm + b.width_mm / 2 for b in layout.lines if b.y_mm == 0 and b.width_mm < 0.5)
    bottom = sorted(
        b.x_mm + b.width_mm / 2
        for b in layout.lines
        if np.isclose(b.y_mm + b.height_mm, layout.height_mm) and b.width_mm < 0.5
    )

    np.testing.assert_allclose(np.diff(top), 1)
    np.testing.assert_allclose(np.diff(bottom), 25.4 / 16)
    assert len(top) > 80
    assert len(bottom) > 48
