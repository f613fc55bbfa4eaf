"""``rows`` and ``test-square``."""

import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from plaidcut.documents.schemas import schema_of

PHOTOS = Path(__file__).parents[2] / "fixtures" / "photos"


def test_rows_are_a_valid_document(plaidcut):
    """Single cuts, mixtures, a border and letters."""
    answer = plaidcut("rows", "31/32 in", "--border", "24 x 36 in", "--space", "1/4 in", "--json")
    jsonschema.validate(answer.document, schema_of("plaidcut-rows"))
    (gap,) = answer.document["gaps"]
    assert gap["mixed"]
    assert len(gap["borders"]) == len(gap["single"])
    assert {letters["cut"]: letters["holds_place"] for letters in gap["lettering"]}["8"] == "6"


def test_rows_are_told_in_words(plaidcut):
    """What fills it, what is left, and how letters keep their place."""
    words = " ".join(plaidcut("rows", "1/4 in", "--space", "3/8 in").out.split())
    assert "A gap of 1/4 in, in whole rows" in words
    assert "#8 1 nothing 1/4 in" in words
    assert "pull the narrow rows out" in words


def test_a_hooked_sample_is_reckoned_and_kept(plaidcut, tmp_path):
    """W11: 3.67 times, kept beside what stands in the settings, and used from then on."""
    file = tmp_path / "mine.toml"
    file.write_text('# my cutter\ncut = "8"\n')
    sample = ["test-square", "--cut", "6", "--hooked", "3 x 3 in", "--strips", "11 of 16 in"]
    document = plaidcut(*sample, "--save", "--settings", file, "--json").document
    assert document["multiplier"] == pytest.approx(3.667, abs=1e-3)
    assert file.read_text() == '# my cutter\ncut = "8"\n\n[coverage]\n6 = 3.67\n'
    gap = plaidcut(
        "rows", "3/8 in", "--cut", "6", "--border", "9 x 9 in", "--settings", file, "--json"
    ).document["gaps"][0]
    low, _, high = gap["borders"][0]["strips_mm"]
    assert low == high


def test_a_sample_can_be_weighed(plaidcut):
    """A piece of 80 sq in of which 45 % went into 9 sq in is 4 times."""
    words = plaidcut(
        "test-square",
        *("--cut", "8", "--hooked", "3 x 3 in", "--piece", "8 x 10 in"),
        *("--before", "40 g", "--after", "22 g"),
    ).out
    assert "4.00 times as much wool as hooked area" in words
    assert "yours lies below that" in words


def test_a_gap_is_measured_on_a_photo(plaidcut):
    """Two points 30 mm apart on a rendered cloth, by its truth: 30 mm, within what is stated."""
    truth = json.loads((PHOTOS / "harbour-skirt.json").read_text())
    plane_to_px = np.array(truth["plane_to_pixel_homography"])
    camera = truth["camera"]
    ends = np.array([[60.0, -20.0, 1.0], [60.0, -50.0, 1.0]]) @ plane_to_px.T
    away = (ends[:, :2] / ends[:, 2:] - camera["center_px"]) / camera["norm_px"]
    bent = away * (1 + camera["k1"] * (away**2).sum(axis=1, keepdims=True))
    points = (camera["center_px"] + camera["norm_px"] * bent).ravel()
    typed = ",".join(f"{each:.1f}" for each in points)
    photo = PHOTOS / "harbour-skirt.jpg"
    (gap,) = plaidcut("rows", "--photo", photo, "--gap", typed, "--json").document["gaps"]
    assert 0 < gap["std_mm"] < 0.5
    assert abs(gap["width_mm"] - 30) <= 2 * gap["std_mm"]


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        (["rows"], "usage", 2),
        (["rows", "3"], "bad-length", 2),
        (["rows", "1/64 in"], "nothing-fits", 4),
        (["rows", "1 in", "--photo", "x.jpg"], "usage", 2),
        (["rows", "--photo", "x.jpg", "--gap", "1,2,3,4"], "not-found", 3),
        (["test-square", "--strips", "81 in"], "usage", 2),
        (["test-square", "--hooked", "3 x 3 in"], "usage", 2),
        (["test-square", "--hooked", "3 x 3 in", "--strips", "5 of 3 in"], "usage", 2),
        (["test-square", "--hooked", "3 x 3 in", "--strips", "x of 3 in"], "usage", 2),
        (["test-square", "--hooked", "3 x 3 in", "--piece", "8 x 8 in"], "usage", 2),
        (
            [
                *("test-square", "--hooked", "3 x 3 in", "--piece", "8 x 8 in"),
                *("--before", "4 g", "--after", "5 g"),
            ],
            "usage",
            2,
        ),
        (
            [
                *("test-square", "--hooked", "3 x 3 in", "--piece", "8 x 8 in"),
                *("--before", "4", "--after", "2 g"),
            ],
            "usage",
            2,
        ),
    ],
)
def test_what_can_not_be_is_refused(plaidcut, words, code, status):
    """Each with its code, its exit status and a way on."""
    answer = plaidcut(*words, "--json")
    assert answer.status == status
    assert answer.error["code"] == code
    assert answer.error["hint"]
