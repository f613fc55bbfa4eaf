"""``rug``: what it answers and refuses."""

import json
import shutil
from pathlib import Path

import jsonschema
import pytest

from plaidcut.documents.schemas import schema_of

FIXTURES = Path(__file__).parents[2] / "fixtures"

RUG = """
rug = "a mat"
[[supply]]
name = "skirt"
pieces = ["2 of 12 x 16 in"]
cloth = "cloth.json"
[[supply]]
name = "bundle"
strips = "20 of 16 in"
cut = "8"
colour = "navy"
[[area]]
name = "stars"
shape = "circle"
across = "3 in"
from = "skirt"
stripe = "U2"
[[area]]
name = "sea"
shape = "rectangle"
width = "6 in"
height = "4 in"
colour = "navy"
within = 25
"""


@pytest.fixture
def mat(plaidcut, tmp_path):
    """A rug's file beside the document of a cloth."""
    bands = ["--by-hand", "blue 1 in, white 1/8 in", "--across", "blue 1 in, navy 1 in"]
    assert plaidcut("measure", *bands, "--out", tmp_path / "cloth.json").status == 0
    path = tmp_path / "mat.toml"
    path.write_text(RUG)
    return path


def test_a_rug_is_a_valid_document(plaidcut, mat):
    """From a measured cloth to what each area gets of it."""
    document = plaidcut("rug", mat, "--cut", "8", "--json").document
    jsonschema.validate(document, schema_of("plaidcut-rug"))
    stars, sea = document["areas"]
    assert [got["strips"] for got in stars["gets"]] == ["white whole"]
    assert stars["covered"] == [1.0, 1.0, 1.0]
    assert sea["gets"]
    assert {left["supply"] for left in document["left"]} == {"skirt", "bundle"}


def test_a_garment_that_no_area_asks_for_stays_whole(plaidcut, mat):
    """All areas want the bundle; the skirt is there, and is left."""
    text = mat.read_text().replace('from = "skirt"\nstripe = "U2"', 'from = "bundle"')
    mat.write_text(text.replace('colour = "navy"\nwithin = 25', 'from = "bundle"'))
    document = plaidcut("rug", mat, "--json").document
    (skirt,) = (each for each in document["left"] if each["supply"] == "skirt")
    assert skirt["share"] == 1.0


def test_the_answer_comes_first(plaidcut, mat):
    """One sentence, then the areas, then what is left."""
    words = " ".join(plaidcut("rug", mat).out.split())
    beginnings = ("Enough: ", "Probably: ", "Only if you hook low", "Short: ")
    assert words.startswith(tuple(f"Wool for a mat {begins}" for begins in beginnings))
    assert "What each area takes and gets, the most important first" in words
    assert "What is left, with typical hooking" in words


def test_one_area_without_a_file(plaidcut):
    """The short form: an area and its wool."""
    answer = plaidcut("rug", "--area", "12 x 12 in", "--cut", "6", "--wool", "1 yd", "--json")
    assert answer.document["verdict"] == "enough"
    short = plaidcut("rug", "--area", "24 x 36 in", "--cut", "8", "--wool", "1 1/2 yd")
    assert "Short: the area lacks about" in " ".join(short.out.split())
    assert "reckoned as a yard of 32 x 52 in" in " ".join(short.out.split())


def test_half_way(plaidcut, mat):
    """What is hooked needs no wool; what is left of a supply is said."""
    whole = plaidcut("rug", mat, "--json").document["areas"][0]["takes_mm"][1]
    half = plaidcut(
        "rug", mat, "--hooked", "40 %", "--left", "bundle=2 of 16 in", "--json"
    ).document
    assert half["areas"][0]["takes_mm"][1] == pytest.approx(0.6 * whole)
    assert half["hooked"] == 0.4


def test_a_rug_that_ships_is_answered_from_its_photo(plaidcut, tmp_path):
    """Photo, stripes, garment and rug in one command."""
    for name in ("rug-harbour-runner.toml", "garment-harbour-skirt.toml", "demo.jpg"):
        shutil.copy(FIXTURES / name, tmp_path / name)
    out = tmp_path / "answer.json"
    answer = plaidcut("rug", tmp_path / "rug-harbour-runner.toml", "--out", out, "--json")
    assert json.loads(out.read_text(encoding="utf-8")) == answer.document
    assert answer.document["verdict"] == "enough"


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        ([], "usage", 2),
        (["--area", "12 x 12 in"], "usage", 2),
        (["--area", "12 x 12", "--wool", "1 yd"], "bad-length", 2),
        (["--area", "12 x 12 in", "--wool", "much"], "bad-length", 2),
        (["--area", "12 x 12 in", "--wool", "1 yd", "--hooked", "half"], "usage", 2),
        (["--area", "12 x 12 in", "--wool", "1 yd", "--left", "x=3 in"], "usage", 2),
        (["nowhere.toml"], "not-found", 3),
    ],
)
def test_what_can_not_be_is_refused(plaidcut, words, code, status):
    """Each with its code, its exit status and a way on."""
    answer = plaidcut("rug", *words, "--json")
    assert answer.status == status
    assert answer.error["code"] == code
    assert answer.error["hint"]
