"""Textures against published counts and a general library's own pictures (T10 to T14)."""

import numpy as np
import pytest
from skimage import data

from fixtures.render.scene import Weave
from plaidcut.cloth.lattice import thread_lattice
from plaidcut.cloth.patches import Patch
from plaidcut.errors import CannotMeasure
from plaidcut.photo import Photo
from plaidcut.scale.ways import Given
from plaidcut.srgb import light_table
from plaidcut.stripes.finer import finer_word, is_pin_stripe, out_of_square
from plaidcut.stripes.measurement import Direction, Kind, ThreadPitch
from plaidcut.tasks import HowToMeasure, measure
from tests.cloth.drawn_weaves import weave
from tests.setts import system
from tests.wool_photos import measured

IN = 25.4


@pytest.mark.parametrize("per_inch", [4, 8, 16])
def test_published_ginghams_are_called_so(per_inch):
    """T10: a coloured and a white check by turns, 4, 8 or 16 to the inch, is a gingham."""
    width = IN / per_inch
    up = system(f"R{width} W{width}")
    across = system(f"R{width} W{width}", Direction.ACROSS)
    assert finer_word(Kind.CHECK, up, across) == "gingham"


def test_checks_of_eight_by_seven_are_not_square():
    """T11: 8 checks across and 7 down are 1.143 times as long as wide, and still a gingham."""
    up = system(f"R{IN / 8} W{IN / 8}")
    across = system(f"R{IN / 7} W{IN / 7}", Direction.ACROSS)
    assert out_of_square(up, across) == pytest.approx(1.143, abs=0.001)
    assert finer_word(Kind.CHECK, up, across) == "gingham"


@pytest.mark.parametrize("ends_per_inch", [48, 60])
def test_published_setts_are_counted(ends_per_inch):
    """T12: 16s reed 3s is 48 ends per inch, linen 1200 is 60: drawn so, they are counted so."""
    pitch = IN / ends_per_inch
    found = thread_lattice([weave((pitch, pitch * 1.05), seed=ends_per_inch)])
    assert found is not None
    counted = ThreadPitch(mm=float(found.pitch_mm[0]), std_mm=0.0)
    assert counted.per_inch == pytest.approx(ends_per_inch, rel=0.015)


@pytest.mark.parametrize(
    ("name", "sett", "kind", "threads"),
    [
        ("houndstooth", "K4 W4", Kind.HOUNDSTOOTH, 4),
        ("shepherds", "K6 W6", Kind.SHEPHERDS_CHECK, 6),
    ],
)
def test_small_checks_are_told_by_their_threads(name, sett, kind, threads):
    """T13: in 2/2 twill 4 and 4 threads make a houndstooth, 6 and 6 a shepherd's check."""
    cloth = measured(name, sett, sett, pitch_mm=(0.75, 0.8)).cloth
    assert cloth.kind is kind
    assert cloth.kind_confidence > 0.75
    assert cloth.weave is not None
    assert cloth.weave.check_threads == (threads, threads)
    pitches = sorted((cloth.weave.up.mm, cloth.weave.across.mm))
    np.testing.assert_allclose(pitches, [0.75, 0.8], rtol=0.01)


def test_the_same_threads_in_plain_weave_are_a_check():
    """T13 is of 2/2 twill: 6 and 6 threads in plain weave are a gingham's, not a shepherd's."""
    cloth = measured("plain-check", "K6 W6", "K6 W6", pitch_mm=(0.75, 0.8), weave=Weave.PLAIN).cloth
    assert cloth.kind is Kind.CHECK
    assert cloth.weave is not None
    assert cloth.weave.check_threads == (6, 6)


def test_a_glen_check_is_told_by_its_blocks():
    """T13: 2 and 2 threads by turns with 4 and 4: periods of 4 and 8 threads in blocks."""
    blocks = " ".join(["K2 W2"] * 7 + ["K4 W4"] * 4)
    cloth = measured("glen", blocks, blocks, pitch_mm=(0.75, 0.8)).cloth
    assert cloth.kind is Kind.GLEN_CHECK
    assert cloth.weave is not None
    pitches = sorted((cloth.weave.up.mm, cloth.weave.across.mm))
    np.testing.assert_allclose(pitches, [0.75, 0.8], rtol=0.01)


@pytest.mark.parametrize("pitch_mm", [(0.75, 0.8), (0.568, 0.585)])
def test_stripes_of_a_glen_check_are_never_passed_over(pitch_mm):
    """T13: bands of two threads are told, or it is said that there are some that can't be."""
    blocks = " ".join(["K2 W2"] * 10 + ["K4 W4"] * 5)
    found = measured("glen-fine", blocks, blocks, pitch_mm=pitch_mm)
    codes = {each.code for each in found.cautions}
    assert found.cloth.kind is Kind.GLEN_CHECK
    assert "woven-figure" in codes
    for each in found.systems:
        assert each.striped or f"too-fine-{each.direction.value}" in codes


@pytest.mark.parametrize(
    ("line_in", "apart_in", "is_one"),
    [
        (1 / 30, 1 / 2, True),
        (1 / 18, 1 / 10, True),
        (1 / 18, 1.0, True),
        (1 / 17, 1 / 2, False),
        (1 / 18, 1 / 11, False),
        (1 / 18, 1.05, False),
    ],
)
def test_pin_stripes_keep_to_their_limits(line_in, apart_in, is_one):
    """T14: at most 1/18 in wide, spaced 1/10 to 1 in, the limits included."""
    assert is_pin_stripe(system(f"K{apart_in * IN} W{line_in * IN}")) is is_one


@pytest.mark.parametrize("name", ["brick", "grass", "gravel"])
@pytest.mark.parametrize("px_per_mm", [4.0, 8.0, 12.0])
def test_pictures_of_no_cloth_show_no_threads(name, px_per_mm):
    """Brick, grass and gravel as scikit-image ships them, at any scale, show no lattice."""
    picture = getattr(data, name)()
    side = min(len(picture), int(40 * px_per_mm))
    light = light_table()[picture]
    patches = [
        Patch(
            center_mm=np.zeros(2),
            step_mm=1 / px_per_mm,
            light=np.repeat(light[a : a + side, b : b + side, None], 3, axis=2),
        )
        for a in {0, len(picture) - side}
        for b in {0, len(picture) - side}
    ]
    assert thread_lattice(patches) is None


@pytest.mark.parametrize("name", ["brick", "grass", "gravel"])
def test_pictures_of_no_cloth_are_not_taken_for_plaid(name):
    """Measured as a scan of 4 pixels a millimetre they are refused, or called nothing surely."""
    grey = getattr(data, name)()
    pixels = np.repeat(grey[..., None], 3, axis=2)
    photo = Photo(name=f"{name}.png", sha256="0" * 64, pixels=pixels)
    try:
        found = measure(photo, HowToMeasure(scale=Given(px_per_mm=4.0)))
    except CannotMeasure:
        return
    patterned = set(Kind) - {Kind.UNSURE, Kind.SOLID, Kind.TWEED}
    assert not (found.cloth.kind in patterned and found.cloth.kind_confidence >= 0.75)
