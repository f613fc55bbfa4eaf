"""The work picture shows the photo's light where the photo shows it."""

import numpy as np
import pytest

from plaidcut.cloth.light import EDGE_PX, work_picture
from plaidcut.photo import Photo
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.srgb import light_table


def scale_of(size_px, px_per_mm):
    """A photo taken from straight above."""
    return Scale(
        method=Method.GIVEN,
        size_px=size_px,
        plane_to_px=np.diag([px_per_mm, px_per_mm, 1.0]),
        lens=Lens.of_size(*size_px),
        relative_std=0.0,
    )


@pytest.mark.parametrize("px_per_mm", [4.0, 9.9, 20.0])
@pytest.mark.parametrize("height", [256, 301, 383])
def test_light_lies_where_the_photo_has_it(px_per_mm, height):
    """Slopes of light come out in place, to the last row, however much the photo is reduced."""
    y, x = np.indices((height, 450))
    pixels = np.stack([40 + x // 3, 40 + y // 3, 40 + (x + y) // 6], axis=-1).astype(np.uint8)
    photo = Photo(name="slopes", sha256="", pixels=pixels)

    picture = work_picture(photo, scale_of(photo.size_px, px_per_mm))

    inner = int(np.ceil((EDGE_PX + 1) / picture.factor))
    at = np.stack([x, y], axis=-1)[inner:-inner:3, inner:-inner:3]
    seen = picture.light_at(picture.from_photo_px(at).astype(np.float32))
    true = light_table()[pixels][inner:-inner:3, inner:-inner:3]
    # steps of one in 8 bits, three pixels wide, are all that is smoothed away
    np.testing.assert_allclose(seen, true, rtol=0.02)


def test_light_beyond_the_photo_is_unknown():
    """What isn't in the picture is nan, not black."""
    photo = Photo(name="grey", sha256="", pixels=np.full((200, 300, 3), 128, np.uint8))
    picture = work_picture(photo, scale_of(photo.size_px, 8.0))
    at = picture.from_photo_px([[[-20.0, 100.0], [150.0, 100.0], [150.0, 205.0]]])
    known = np.isfinite(picture.light_at(at.astype(np.float32)))
    np.testing.assert_array_equal(known[0, :, 0], [False, True, False])
