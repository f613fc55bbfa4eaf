"""Pictures made of the cloth's own pixels: laid straight, cut into strips, hooked, sorted."""

from dataclasses import replace

import numpy as np
import pytest

from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.errors import UsageError
from plaidcut.pictures.hooked import SWATCH_MM, Loops, loop_tops, swatch
from plaidcut.pictures.laid_straight import Straight, edge_places_mm, laid_straight
from plaidcut.pictures.sorting import sortable
from plaidcut.pictures.strip_cuts import cut_strips, strips_picture
from plaidcut.pictures.swatches import strips_sheet, swatch_sheet
from plaidcut.srgb import LUMINANCE, light_table
from plaidcut.stripes.colour import difference, lab_of_linear_rgb
from plaidcut.stripes.measurement import Direction
from tests.setts import cloth, system
from tests.wool_photos import measured, photograph

TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)
STEP_MM = 0.25


def drawn(columns, rows, *, share=0.5):
    """A cloth laid straight: light of its columns and of its rows, mixed."""
    light = share * columns[None, :, None] + (1 - share) * rows[:, None, None]
    light = np.repeat(light, 3, axis=2).astype(np.float32)
    return Straight(
        light=light,
        known=np.ones(light.shape[:2], bool),
        step_mm=STEP_MM,
        phase_mm=(0.0, 0.0),
    )


def striped(length_mm, repeat_mm, *, bright=0.8, dark=0.1):
    """Light along a line of stripes, bright and dark by halves."""
    at = (np.arange(round(length_mm / STEP_MM)) + 0.5) * STEP_MM
    return np.where((at % repeat_mm) < repeat_mm / 2, bright, dark)


def test_a_photo_is_laid_straight():
    """Columns of the cloth laid straight are as woven: bands lie where they are said to."""
    text = "K4 R24 K24 Y4 K24 R24"
    measurement = measured("published-sett", text, text)
    laid = laid_straight(photograph("published-sett", text, text), measurement)
    phase = (laid.phase_mm[0] + laid.step_mm * np.arange(laid.light.shape[1])) % (
        measurement.up.repeat_mm
    )
    seen = laid.known.sum(axis=0) > 0.4 * laid.known.shape[0]
    mean = laid.light.sum(axis=0) / np.maximum(laid.known.sum(axis=0), 1)[:, None]
    colours = {}
    for band in measurement.up.bands:
        inside = (
            seen & (phase > band.start_mm + 0.6) & (phase < band.start_mm + band.width_mm - 0.6)
        )
        colours[band.id] = mean[inside]
    for band in measurement.up.bands:
        expected = band.reads.lab
        found = lab_of_linear_rgb(colours[band.id].mean(axis=0))
        others = [each for each in measurement.up.bands if each.yarn.name != band.yarn.name]
        nearest = min(float(difference(found, each.reads.lab)) for each in others)
        assert float(difference(found, expected)) < nearest


def test_edges_have_their_places_even_where_one_was_not_traced():
    """Places go on by the bands' widths, over edges that are missing too."""
    bands = system("K10 Y2 G8 R3")
    ids = ["U1", "U2", "U3", "U4"]
    beside = [(ids[k % 4 - 1], ids[k % 4]) for k in range(1, 9) if k != 4]
    traced = replace(
        bands, edge_bands=tuple(beside), edges_px=tuple(np.zeros((2, 2)) for _ in beside)
    )
    assert edge_places_mm(traced) == pytest.approx([10, 12, 20, 33, 35, 43, 46])


def test_typed_widths_have_no_cloth_to_show():
    """There is no photo."""
    with pytest.raises(UsageError, match="no cloth to show"):
        laid_straight(None, cloth("K10 Y2", "K10"))


def test_strips_are_as_wide_as_the_cut():
    """A piece of 100 mm gives fifteen #8 strips, each of its own columns; the mark is left out."""
    laid = drawn(np.linspace(0, 1, 400), np.ones(800) * 0.5)
    laid.known[:, 100:160] = False
    strips = cut_strips(laid, EIGHT.width_mm)
    assert len(strips.light) == 15 - 4
    assert all(abs(light.shape[1] * STEP_MM - EIGHT.width_mm) <= STEP_MM for light in strips.light)
    values = strips.by_value().mean @ LUMINANCE
    assert (np.diff(values) <= 0).all()
    picture = strips_picture(strips)
    assert picture.shape[0] == 300


def test_flecks_come_again_at_the_repeat_over_what_a_loop_uses():
    """A crossing repeat S returns on the rug every S / (1 + 2·n·h)."""
    repeat_mm, loops = 60.0, Loops(per_inch=8.0)
    laid = drawn(np.full(400, 0.5), striped(4000.0, repeat_mm), share=0.0)
    strips = cut_strips(laid, EIGHT.width_mm)
    tops = loop_tops(strips, 200, loops=loops) @ LUMINANCE
    spectrum = np.abs(np.fft.rfft(tops - tops.mean(), 4096))
    per_loop = np.argmax(spectrum) / 4096
    fold = 1 + 2 * 8.0 * (EIGHT.width_mm / 25.4)
    assert loops.along_mm() / per_loop == pytest.approx(repeat_mm / fold, rel=0.02)


@pytest.mark.parametrize("spiral", [False, True])
@pytest.mark.parametrize("cut", ["3", "6", "8", "10"])
def test_a_swatch_has_its_strips_colour(cut, spiral):
    """Mean colour of the swatch and of the strips in it are within CIEDE2000 2."""
    laid = drawn(striped(150.0, 31.0), striped(300.0, 23.0, bright=0.5, dark=0.2))
    strips = cut_strips(laid, parse_cut(cut, TABLE).width_mm)
    picture = swatch(strips, spiral=spiral)
    loops = round(SWATCH_MM / (25.4 / 8) * SWATCH_MM / strips.width_mm)
    of_strip_mm = loops * Loops().of_strip_mm(strips.width_mm)
    used = strips.mean[: max(1, round(of_strip_mm / 300))].mean(axis=0)
    shown = light_table()[picture].reshape(-1, 3).mean(axis=0)
    assert float(difference(lab_of_linear_rgb(shown), lab_of_linear_rgb(used))) < 2


def test_what_differs_between_strips_can_be_sorted():
    """Stripes along: all variation is between strips. Stripes across: none is."""
    along = drawn(striped(300.0, 50.0), np.full(1200, 0.5), share=1.0)
    across = drawn(np.full(1200, 0.5), striped(300.0, 20.0), share=0.0)
    both = drawn(striped(300.0, 50.0), striped(300.0, 20.0))
    shares = [sortable(cut_strips(each, 6.35)).share for each in (along, across, both)]
    assert shares[0] > 0.95
    assert shares[1] < 0.02
    assert 0.1 < shares[2] < 0.9
    assert sortable(cut_strips(along, 6.35)).spoken.startswith("strips differ")
    assert sortable(cut_strips(across, 6.35)).spoken == "strips all read alike"
    assert sortable(cut_strips(drawn(np.ones(60), np.ones(60)), 6.35)) is None


def test_sorting_agrees_with_a_general_library():
    """One-way analysis of variance by SciPy gives the same F, so the same intraclass share."""
    from scipy import stats

    random = np.random.default_rng(3)
    columns = np.repeat(random.uniform(0.1, 0.8, 20), 25)[:480]
    laid = drawn(columns, random.uniform(0.1, 0.8, 480))
    strips = cut_strips(laid, 6.25)
    step = 20
    groups = [
        lab_of_linear_rgb(light.mean(axis=1).reshape(-1, step, 3).mean(axis=1))[:, 0]
        for light in strips.light
    ]
    f, _ = stats.f_oneway(*groups)
    n = len(groups[0])
    # of grey cloth only L* varies
    assert sortable(strips).share == pytest.approx((f - 1) / (f + n - 1), rel=1e-3)


def test_sheets_hold_both_directions():
    """Four rows of strips; three swatches for each cut and direction."""
    laid = drawn(striped(150.0, 31.0), striped(300.0, 23.0))
    assert strips_sheet(laid, EIGHT).shape[1] > 600
    sheet = swatch_sheet(laid, [EIGHT])
    assert sheet.shape[1] > 6 * 150
    assert laid.turned().light.shape[:2] == laid.light.shape[1::-1]
    assert Direction.UP.spoken != Direction.ACROSS.spoken
