"""The card's picture: its edges are the picture's, and every pixel is the mean of its area."""

import io

import numpy as np
import pytest
from PIL import Image

from plaidcut.errors import UsageError
from plaidcut.pictures.card_picture import card_picture, card_png_bytes
from plaidcut.scale.card_layout import CardSize, card_layout
from plaidcut.srgb import light_table


@pytest.mark.parametrize("dpi", [150, 331])
@pytest.mark.parametrize("size", list(CardSize))
def test_the_picture_holds_the_layouts_ink(size, dpi):
    """The light that marks take from the picture is what their areas take, to rounding."""
    layout = card_layout(size)
    light = light_table()[card_picture(size, dpi=dpi)[:, :, 0]]
    height, width = light.shape
    assert (width, height) == (
        round(layout.width_mm / 25.4 * dpi),
        round(layout.height_mm / 25.4 * dpi),
    )
    mm2_per_px = layout.width_mm * layout.height_mm / (width * height)
    for marker in layout.markers:
        low = (marker.box.corners_mm[0] - marker.module_mm) * (width, height)
        high = (marker.box.corners_mm[2] + marker.module_mm) * (width, height)
        size_mm = (layout.width_mm, layout.height_mm)
        (left, top), (right, bottom) = (low / size_mm).astype(int), (high / size_mm).astype(int)
        taken_mm2 = np.sum(1 - light[top:bottom, left:right]) * mm2_per_px
        cells = sum(
            box.width_mm * box.height_mm
            for box in layout.boxes()
            if np.all(box.corners_mm >= marker.box.corners_mm[0] - 1e-9)
            and np.all(box.corners_mm <= marker.box.corners_mm[2] + 1e-9)
        )

        assert taken_mm2 == pytest.approx(cells, rel=2e-3)


def test_edges_lie_where_the_layout_has_them():
    """A marker's left edge, read at half height across its grey pixel, is at its millimetre."""
    layout = card_layout(CardSize.WALLET)
    picture = card_picture(CardSize.WALLET, dpi=200)
    px_per_mm = picture.shape[1] / layout.width_mm
    box = layout.markers[4].box
    row = round((box.y_mm + box.height_mm / 14) * picture.shape[0] / layout.height_mm)
    start = int((box.x_mm - 1) * px_per_mm)
    light = light_table()[picture[row, start : start + 20, 0]]

    edge_mm = (start + np.sum(light[: np.argmin(light)])) / px_per_mm

    assert edge_mm == pytest.approx(box.x_mm, abs=0.002)


def test_patches_have_their_tones():
    """White is white, grey is sRGB 118, black is black, right to the middle of each patch."""
    layout = card_layout(CardSize.SHEET)
    picture = card_picture(CardSize.SHEET, dpi=150)
    tones = []
    for box in (layout.white, layout.grey, layout.black):
        x, y = box.corners_mm.mean(axis=0) * 150 / 25.4
        tones.append(picture[round(y), round(x)].tolist())

    assert tones == [[255] * 3, [118] * 3, [0] * 3]


def test_png_is_the_same_picture_and_knows_its_resolution():
    """The PNG holds the picture, its dots per inch, and the same bytes every time."""
    data = card_png_bytes(CardSize.WALLET, dpi=300)
    with Image.open(io.BytesIO(data)) as image:
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.1)
        assert np.array_equal(np.asarray(image), card_picture(CardSize.WALLET, dpi=300))

    assert data == card_png_bytes(CardSize.WALLET, dpi=300)


@pytest.mark.parametrize("dpi", [0, 71, 2401])
def test_impossible_resolutions_are_refused(dpi):
    """Too coarse for markers or too fine for memory is said, not tried."""
    with pytest.raises(UsageError, match="dots per inch"):
        card_picture(CardSize.WALLET, dpi=dpi)
