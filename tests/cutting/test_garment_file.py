"""Garments as they are typed: files, pieces, and what is said of those that are wrong."""

from pathlib import Path

import pytest

from plaidcut.cutting.garment_file import SIZES, parse_garment, parse_piece
from plaidcut.cutting.shapes import Shrinkage
from plaidcut.cutting.starting_shapes import STARTING_SHAPES
from plaidcut.errors import BadLength, FileTrouble, UsageError

ROOT = Path(__file__).parents[2]
INCH = 25.4

CROSSED = """[[piece]]
shape = "polygon"
points = [["0 in", "0 in"], ["2 in", "2 in"], ["2 in", "0 in"], ["0 in", "2 in"]]
"""


def read(text):
    """A garment of a file."""
    return parse_garment(text, file_name="skirt.toml")


def one(**fields):
    """The text of a file with a rectangle of 10 x 20 in, and other fields."""
    lines = ['shape = "rectangle"', 'width = "10 in"', 'height = "20 in"']
    lines += [f"{name} = {value}" for name, value in fields.items()]
    return "\n".join(["[[piece]]", *lines])


def test_the_skirt_that_ships_is_read():
    """Six kinds of pieces with holes, one of them on the cross."""
    path = ROOT / "fixtures" / "garment-harbour-skirt.toml"
    garment = parse_garment(path.read_text(encoding="utf-8"), file_name=path.name)
    assert len(garment.pieces) >= 6
    assert all(piece.holes for piece in garment.pieces)
    assert sum(piece.count for piece in garment.pieces) == 8
    assert [piece.name for piece in garment.pieces if piece.at] == ["back panel"]
    assert garment.pieces[-1].true_edge
    assert not garment.pieces[0].true_edge


def test_the_blanket_that_ships_is_read():
    """A starting shape with its own size, and a shrinkage."""
    path = ROOT / "fixtures" / "garment-lantern-blanket.toml"
    garment = parse_garment(path.read_text(encoding="utf-8"), file_name=path.name)
    assert garment.shrinkage == Shrinkage(lengthwise=0.08, crosswise=0.05)
    (blanket,) = garment.pieces
    assert not blanket.rough
    assert blanket.sewn.area == pytest.approx(54 * 72 * INCH**2)


def test_the_example_of_the_reference_is_read():
    """Every key of docs/reference/garment-files.md means something."""
    page = (ROOT / "docs/reference/garment-files.md").read_text(encoding="utf-8")
    text = page.split("```toml\n")[1].split("```")[0]
    assert len(read(text).pieces) == 3


@pytest.mark.parametrize("shape", STARTING_SHAPES)
def test_every_starting_shape_is_marked_as_rough(shape):
    """Its size is a guess until one is typed."""
    assert read(f'[[piece]]\nshape = "{shape}"').pieces[0].rough
    assert not read(f'[[piece]]\nshape = "{shape}"\ntop = "12 in"').pieces[0].rough
    assert parse_piece(f"2 of {shape}").rough
    assert shape in SIZES


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (one(sleeves="2"), ["line 5", "sleeves", "does not exist"]),
        (one(count="2.5"), ["line 5", "piece 1: count", "whole number"]),
        (one(seam='"5/8"'), ["line 5", "seam", "no unit"]),
        (one(seam='"6 in"'), ["line 5", "seams and hem leave nothing"]),
        (one(threads='"bias"'), ["line 5", "threads", "bias"]),
        (one(torn='"yes"'), ["line 5", "torn", "true or false"]),
        (one(holes='[{ round = "1 in", at = ["11 in", "3 in"] }]'), ["line 5", "hole 1 lies outs"]),
        (one(holes='[{ round = "1 in" }]'), ["line 5", "hole 1 has round"]),
        (one(holes='[{ round = "1 in", at = ["1 in"] }]'), ["line 5", "no point"]),
        (one() + "\n" + one(count="0"), ["line 9", "piece 2: count"]),
        ('[[piece]]\nshape = "rectangle"\nwidth = "1 in"', ["line 1", "height is missing"]),
        ('[[piece]]\nname = "x"\nshape = "circle"', ["line 3", "circle", "no shape"]),
        (CROSSED, ["line 3", "crosses itself"]),
        (CROSSED.replace('"0 in"', '"2 in"'), ["line 3", "lie on a line"]),
        ('[[piece]]\nshape = "polygon"\npoints = [["0 in","0 in"]]', ["line 3", "three corners"]),
        ('garment = "x"', ["there is no piece"]),
        ('[shrinkage]\nlengthwise = "8"\ncrosswise = "3 %"', ["line 2", "per cent"]),
        ('[shrinkage]\nlengthwise = "8 %"', ["line 1", "shrinkage.crosswise is missing"]),
        ("piece = 3", ["line 1", "piece"]),
        ("[[piece]", ["not valid TOML", "line 1"]),
    ],
)
def test_what_is_wrong_is_named_with_its_line(text, says):
    """File, line, field and the fault; with a way on."""
    with pytest.raises(FileTrouble) as caught:
        read(text)
    for words in ["skirt.toml", *says]:
        assert words in caught.value.message
    assert caught.value.hint


@pytest.mark.parametrize(
    ("text", "error"),
    [("5 of 20 x 14", BadLength), ("0 of 2 x 3 in", UsageError), ("5 of bonnet", UsageError)],
)
def test_pieces_that_can_not_be_are_refused(text, error):
    """No unit, none of them, no such shape."""
    with pytest.raises(error):
        parse_piece(text)
