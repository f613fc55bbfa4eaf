"""The bench's own arithmetic: what counts as found, missed and invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from plaidcut.stripes.colour import colour_of_hex
from plaidcut.stripes.measurement import Band, Direction, ThreadSystem
from tests.bench.photos import right_codes, true_px_per_mm, way_of
from tests.bench.score import PhotoScore, score_systems
from tests.bench.table import compare, summary
from tests.bench.targets import Target

SETT = [("#202020", 12.0), ("#c8b04a", 2.0), ("#7a1f2b", 20.0), ("#305080", 5.0), ("#e8e4d8", 8.0)]


def band(k, hex_colour, width_mm, *, partial=False):
    colour = colour_of_hex(hex_colour)
    return Band(
        id=f"U{k + 1}",
        start_mm=0.0,
        width_mm=width_mm,
        width_edge_std_mm=0.05,
        width_std_mm=0.05,
        partial=partial,
        yarn=colour,
        reads=colour,
    )


def system(bands, *, repeat_mm=None, mirrored=False, angle_px_deg=90.0):
    return ThreadSystem(
        direction=Direction.UP,
        angle_px_deg=angle_px_deg,
        repeat_mm=repeat_mm,
        repeat_std_mm=None,
        mirrored=mirrored,
        origin_mm=0.0,
        bands=tuple(bands),
    )


def folded(sett):
    bands = [band(k, *stripe) for k, stripe in enumerate(sett)]
    return system(bands, repeat_mm=sum(width for _, width in sett))


def true_system(sett, angle_px_deg):
    return {
        "angle_px_deg": angle_px_deg,
        "repeat_mm": sum(width for _, width in sett) if len(sett) > 1 else None,
        "mirrored": False,
        "bands": [{"width_mm": w, "lab": list(colour_of_hex(c).lab)} for c, w in sett],
    }


def score(measured, sett=SETT):
    """How well an up system does; the other system is plain and right."""
    plain = [("#808080", 100.0)]
    truth = {"warp": true_system(sett, 88.0), "weft": true_system(plain, 2.0)}
    across = replace(folded(plain), repeat_mm=None, angle_px_deg=0.0)
    return score_systems([measured, across], truth)[0]


def test_a_measurement_that_is_the_truth_is_perfect():
    """All bands are found, none invented, and no error is left."""
    result = score(folded(SETT))
    assert (result.found, result.invented, result.true_bands) == (5, 0, 5)
    assert max(map(abs, result.width_error_mm)) < 1e-9
    assert max(result.colour_difference) < 1e-6
    assert result.repeat_error == pytest.approx(0, abs=1e-12)
    assert result.cells_right == result.cells == 35
    assert result.mirror_right


@pytest.mark.parametrize("start", range(5))
@pytest.mark.parametrize("turn", [1, -1])
def test_a_repeat_may_start_anywhere_and_run_either_way(start, turn):
    """Rotated or reversed bands score as the same ones in order do."""
    sett = (SETT[start:] + SETT[:start])[::turn]
    result = score(folded(sett))
    assert (result.found, result.invented) == (5, 0)
    assert max(map(abs, result.width_error_mm)) < 1e-9


def test_a_split_band_is_one_missed_and_two_invented():
    """Neither half of a band passes for the whole one."""
    halves = [("#7a1f2b", 10.0), ("#7a1f2b", 10.0)]
    result = score(folded([*SETT[:2], *halves, *SETT[3:]]))
    assert (result.found, result.invented) == (4, 2)


def test_two_bands_taken_for_one_are_missed_and_one_is_invented():
    """A band that covers two true ones is neither of them."""
    result = score(folded([("#202020", 12.0), ("#7a1f2b", 27.0), ("#e8e4d8", 8.0)]))
    assert (result.found, result.invented) == (2, 1)


def test_the_other_system_is_paired_by_its_direction():
    """Which of the truth's systems is the warp doesn't matter, only which way it runs."""
    truth = {"warp": true_system([("#808080", 9.0)], 178.0), "weft": true_system(SETT, 80.0)}
    plain = replace(folded([("#808080", 9.0)]), repeat_mm=None, angle_px_deg=0.0)
    up, across = score_systems([folded(SETT), plain], truth)
    assert (up.true_bands, up.found) == (5, 5)
    assert (across.true_bands, across.found) == (1, 1)


def test_without_a_repeat_each_true_band_is_found_once():
    """Bands seen over two repeats count once, the cut-off outer ones not at all."""
    seen = SETT * 2
    bands = [band(k, *s, partial=k in {0, len(seen) - 1}) for k, s in enumerate(seen)]
    result = score(system(bands))
    assert (result.found, result.invented) == (5, 0)
    assert result.repeat_error == 1.0


def test_bands_on_plain_cloth_are_invented():
    """Plain cloth has one band; more are made up."""
    result = score(folded(SETT), sett=[("#202020", 80.0)])
    assert (result.true_bands, result.found, result.invented) == (1, 0, 4)


def test_strips_are_counted_with_the_overhang():
    """A width that is off by less than changes a count leaves every cell right."""
    near = [(colour, width + 0.02) for colour, width in SETT]
    far = [(colour, width + 0.5) for colour, width in SETT]
    assert score(folded(near)).cells_right == 35
    assert score(folded(far)).cells_right < 35


def photo(outcome="measured", expected="ok", **more):
    return PhotoScore(name="cloth", outcome=outcome, expected=expected, true_bands=6, **more)


def measured_photo(measured):
    plain = replace(folded([("#808080", 9.0)]), repeat_mm=None, angle_px_deg=0.0)
    truth = {"warp": true_system(SETT, 90.0), "weft": true_system([("#808080", 9.0)], 0.0)}
    return photo(systems=score_systems([measured, plain], truth))


def test_a_refusal_is_right_only_with_a_right_code():
    """Where codes are named one of them must be given; where none is, any will do."""
    codes = right_codes({"why_refuse_code": "scale-too-small", "accept_also": ["no-scale"]})
    assert photo("no-scale", "refuse", accept=codes).right
    assert not photo("not-flat", "refuse", accept=codes).right
    assert photo("not-flat", "refuse", accept=right_codes({"accept_also": None})).right
    assert not photo("measured", "refuse", accept=codes).right
    assert not photo("no-cloth", "ok").right


def test_the_figures_count_a_wrong_refusal_apart():
    """Found bands are of what was measured; the refused photo is counted as refused."""
    values = summary([measured_photo(folded(SETT)), photo("no-cloth"), photo("no-scale", "refuse")])
    assert values["found %"] == 100
    assert values["to measure: refused %"] == 50
    assert values["to refuse: refused rightly %"] == 100


def test_the_comparison_holds_a_refusal_against_us():
    """All bands of a photo that was refused and shouldn't be are missed ones."""
    halves = [("#7a1f2b", 10.0), ("#7a1f2b", 10.0)]
    split = measured_photo(folded([*SETT[:2], *halves, *SETT[3:]]))
    right = measured_photo(folded(SETT))
    told = compare([right, photo("no-cloth")], [split, split])
    assert told["refused is missed"] == (6, 6, 1)
    assert told["both measured"][:2] == (0, 3)


def test_a_target_that_is_unknown_is_not_met():
    """A figure over nothing is no success."""
    assert Target("found %", least=96).mark(97.0) == "[>= 96 yes]"
    assert "NO" in Target("found %", least=96).mark(float("nan"))


@pytest.mark.parametrize(
    ("truth", "named"),
    [
        ({"scale": "card", "card_kind": "sheet", "card_size_mm": [180, 120]}, "ByCard"),
        ({"scale": None, "card_kind": None, "card_size_mm": None}, "ByCard"),
        ({"scale": "card", "card_kind": "id1", "card_size_mm": [85.6, 53.98]}, "ByRectangle"),
        ({"scale": "card", "card_size_mm": [152.4, 101.6]}, "ByRectangle"),
        ({"scale": "ruler", "card_kind": None, "ruler": {"unit": "both"}}, "ByRuler"),
    ],
)
def test_the_scale_is_taken_as_a_user_would(truth, named):
    """What lies in the photo decides which way of the command is taken."""
    assert type(way_of(truth)).__name__ == named


def test_the_true_scale_is_that_of_the_centre():
    """Under a homography that stretches along x alone, it is the root of the area's scale."""
    truth = {
        "plane_to_pixel_homography": [[9.0, 0, 5], [0, 4.0, 7], [0, 0, 1]],
        "image_size": [800, 600],
        "camera": {"k1": 0.0, "center_px": [399.5, 299.5], "norm_px": 500.0},
    }
    assert true_px_per_mm(truth) == pytest.approx(6.0)
