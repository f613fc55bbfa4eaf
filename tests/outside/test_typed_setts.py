"""Published setts and checks, typed by hand (T03, T05, T06, T10, T11)."""

import pytest

from plaidcut.stripes.measurement import Kind
from plaidcut.tasks import measure_by_hand


def typed(sett, *, mm=1.0, mirrored=False):
    """A sett of colours and threads, each thread so many millimetres wide."""
    bands = ", ".join(f"{colour} {threads * mm} mm" for colour, threads in sett)
    return measure_by_hand(bands, mirrored=mirrored).up


SETT = (("black", 4), ("red", 24), ("black", 24), ("yellow", 4))


@pytest.mark.parametrize(
    ("sett", "mirrored", "threads"),
    [
        pytest.param(SETT, True, 104, id="T03"),
        pytest.param(SETT, False, 56, id="T05"),
        pytest.param(
            (
                ("red", 2),
                ("blue", 6),
                ("brown", 8),
                ("blue", 32),
                ("brown", 8),
                ("blue", 6),
            ),
            False,
            62,
            id="T06",
        ),
    ],
)
def test_a_sett_has_as_many_threads_as_published(sett, mirrored, threads):
    """T03, T05, T06: mirrored or not, the repeat is the published number of threads."""
    assert typed(sett, mirrored=mirrored).repeat_mm == pytest.approx(threads)
    assert typed(sett, mm=0.7, mirrored=mirrored).repeat_mm == pytest.approx(0.7 * threads)


@pytest.mark.parametrize(("checks", "size"), [(4, "1/4 in"), (8, "1/8 in"), (16, "1/16 in")])
def test_gingham_has_its_checks_to_the_inch(checks, size):
    """T10: so many checks to the inch, a coloured and a white one by turns, are that wide."""
    cloth = measure_by_hand(f"blue {size}, white {size}", f"blue {size}, white {size}")
    assert cloth.up.repeat_mm == pytest.approx(2 * 25.4 / checks, rel=1e-9)
    if checks == 4:
        assert cloth.cloth.kind is Kind.CHECK


def test_gingham_need_not_be_square():
    """T11: 8 checks across and 7 down make bands whose widths are as 1 to 1.143."""
    cloth = measure_by_hand("blue 1/8 in, white 1/8 in", "blue 1/7 in, white 1/7 in")
    ratio = cloth.across.bands[0].width_mm / cloth.up.bands[0].width_mm
    assert ratio == pytest.approx(1.143, abs=0.001)
