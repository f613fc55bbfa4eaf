"""The scale from rulers in photos drawn from first principles, and what must be refused."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from plaidcut.errors import NoScale, ScaleUncertain
from plaidcut.scale.ruler import find_ruler
from tests.scale import mark_pictures
from tests.scale.mark_pictures import View, index_card, photograph, ruler

SMALL = View(
    size_px=(1200, 900), px_per_mm=4.5, middle_mm=(100, 15), turn_deg=25, tilt_deg=4, k1=0.01
)
"""Most of a ruler, turned and tilted."""

SHORT = {"length_mm": 200.0}
"""A ruler that is whole in it."""


def error_of(scale, view):
    """Relative error of a scale in the middle of the picture."""
    middle = (np.array(view.size_px) - 1) / 2
    return float(scale.px_per_mm_at(middle) / view.px_per_mm_at(middle)) - 1


@cache
def inch_ruler():
    """A photo of a ruler that shows inches."""
    return photograph(SMALL, ruler(**SHORT))


@pytest.mark.parametrize(
    ("unit", "drawn", "view"),
    [
        ("in", {"finest": 8}, {}),
        ("in", {"finest": 32}, {"px_per_mm": 8.0, "middle_mm": (60, 15), "turn_deg": 160}),
        ("mm", {"top": "mm", "ground": (0.5, 0.5, 0.5)}, {"turn_deg": -80, "tilt_deg": 8}),
        ("in", {"ground": (0.02, 0.02, 0.02), "ink": (0.7, 0.7, 0.7)}, {"turn_deg": 0}),
        ("both", {"top": "mm", "bottom": "in"}, {"tilt_deg": 12, "tilt_axis_deg": 115}),
        ("mm", {"top": "in", "bottom": "mm"}, {"middle_mm": (20, 60), "turn_deg": 5}),
    ],
    ids=["eighths", "thirty-seconds", "steel", "white on black", "both, tilted", "partly outside"],
)
def test_a_ruler_gives_the_scale(unit, drawn, view):
    """Any ruler at any angle, dark or light, whole or not: to 0.5 %, and within its own doubt."""
    seen = replace(SMALL, **view)
    scale = find_ruler(photograph(seen, ruler(**SHORT | drawn)), unit)

    assert error_of(scale, seen) == pytest.approx(0, abs=0.005)
    assert abs(error_of(scale, seen)) < 2 * scale.relative_std
    assert scale.relative_std < 0.01
    x_mm = np.array([[0.0, 0.0], [100.0, 0.0]])
    assert np.hypot(*np.diff(seen.to_mm(scale.to_px(x_mm)), axis=0)[0]) == pytest.approx(
        100, rel=0.004
    )


def test_the_stated_unit_must_be_the_rulers():
    """Sixteenths of an inch taken for millimetres would be wrong by half: refused, and named."""
    assert error_of(find_ruler(inch_ruler(), "in"), SMALL) == pytest.approx(0, abs=0.005)

    with pytest.raises(ScaleUncertain, match="halving") as refused:
        find_ruler(inch_ruler(), "mm")

    assert "--ruler in" in refused.value.hint


def test_edges_that_contradict_each_other_are_refused():
    """A scale rule counts in something else along one edge: no scale, not one of the two."""
    pixels = photograph(SMALL, ruler(**SHORT, bottom="mm", tenth=1.25))

    with pytest.raises(ScaleUncertain, match="two edges"):
        find_ruler(pixels, "both")


def test_halves_as_long_as_wholes_are_not_taken_for_wholes(monkeypatch):
    """Sixteenths would pass for eighths of twice the size, but for the figures: refused."""
    monkeypatch.setattr(mark_pictures, "INCH_TICKS_MM", (9.0, 9.0, 5.5, 4.2, 3.0))

    with pytest.raises(ScaleUncertain, match="wholes and halves"):
        find_ruler(photograph(SMALL, ruler(**SHORT)), "in")


def test_lines_of_one_length_say_nothing(monkeypatch):
    """Where no line is longer than the others nobody knows what they count."""
    monkeypatch.setattr(mark_pictures, "MM_TICKS_MM", (5.0, 5.0, 5.0))

    with pytest.raises(NoScale, match="graduations"):
        find_ruler(photograph(SMALL, ruler(**SHORT, top="mm")), "mm")


@pytest.mark.parametrize("unit", ["in", "mm", "both"])
def test_lines_that_run_together_are_not_counted(unit):
    """At two pixels a millimetre metric lines can't be told apart: refused, whatever is said."""
    with pytest.raises((NoScale, ScaleUncertain)):
        find_ruler(far_ruler(), unit)


@cache
def far_ruler():
    """A metric ruler from too far away."""
    return photograph(replace(SMALL, px_per_mm=2.0), ruler(**SHORT, top="mm"))


@pytest.mark.parametrize("seed", [1, 2])
def test_cloth_and_ruled_paper_are_no_ruler(seed):
    """Threads, stripes and the rules of an index card are combs too, but not a ruler's."""
    pixels = photograph(SMALL, index_card(), cloth_seed=seed)

    with pytest.raises(NoScale, match="No ruler"):
        find_ruler(pixels, "mm")
