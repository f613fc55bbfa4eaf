"""Is it enough? The rugs that ship, recomputed; files, mends, half-way."""

import math
from functools import lru_cache, partial
from pathlib import Path

import pytest

from plaidcut import tasks
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.garment import WhatToCut
from plaidcut.cutting.garment_file import parse_garment
from plaidcut.errors import FileTrouble, UsageError
from plaidcut.rug.answer import MendKind, Rug, Verdict, answer, reserves
from plaidcut.rug.areas import border_extent, ellipse_extent, line_extent
from plaidcut.rug.coverage import multiplier_of
from plaidcut.rug.rug_file import parse_rug, wishes_for
from plaidcut.rug.supplies import garment_supply
from plaidcut.rug.supply_file import GarmentSupply, Habits
from plaidcut.rug.typed import one_area, with_left
from plaidcut.stripes.measurement import Direction, Washed

FIXTURES = Path(__file__).parents[2] / "fixtures"
TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)
HABITS = Habits(cut=EIGHT)
INCH = 25.4
SQ_IN = INCH**2


@lru_cache
def skirt():
    """The Harbour skirt's cloth, from its photo."""
    return tasks.measure(tasks.demo_photo(), tasks.HowToMeasure(washed=Washed.YES))


@lru_cache
def skirt_strips():
    """Its strips in #8 with the white stripe kept, from photo to strips."""
    path = FIXTURES / "garment-harbour-skirt.toml"
    garment = parse_garment(path.read_text(encoding="utf-8"), file_name=path.name)
    return tasks.garment(skirt(), garment, WhatToCut(cuts=(EIGHT,), keep=("U5",)))


def shipped(name):
    """A rug that ships, its garment's strips in place."""
    path = FIXTURES / f"rug-harbour-{name}.toml"
    file = parse_rug(path.read_text(encoding="utf-8"), file_name=path.name, habits=HABITS)
    supplies = []
    for supply in file.supplies:
        if isinstance(supply, GarmentSupply):
            assert wishes_for(supply.name, file.needs, TABLE).keep == ("U5",)
            supplies.append(
                garment_supply(
                    supply.name, skirt_strips(), direction=supply.direction, again=supply.again
                )
            )
        else:
            supplies.append(supply)
    return Rug(name=file.name, needs=file.needs, supplies=tuple(supplies), reserve=file.reserve)


def answered(rug):
    """The answer with published figures."""
    return answer(rug, TABLE.cuts, partial(multiplier_of, own={}))


def whole_and_all(figure):
    """Length of strips with the white stripe whole, and of all strips, in inches."""
    (way,) = (each for each in skirt_strips().ways if each.direction is Direction.UP)
    whole = next(kind for kind in way.kinds if kind.bands == ("U5",))
    return (
        getattr(whole.length_mm, figure) / INCH,
        sum(getattr(kind.length_mm, figure) for kind in way.kinds) / INCH,
    )


def test_the_runner_has_enough():
    """Recomputed: with 8 times, counted with care and a fifth kept back, all areas are covered."""
    found = answered(shipped("runner"))
    assert found.verdict is Verdict.ENOUGH
    whole, everything = (0.8 * length for length in whole_and_all("low"))
    waves = 60 * 2 * 0.25 * 8 / 0.25
    border = (12 * 30 - 11 * 29) * 8 / 0.25
    assert waves <= whole
    # the waves' strips and the border's together are there
    assert waves + border <= everything
    assert 240 * 8 <= 2 * 32 * 52
    assert [area.need.length_mm for area in found.areas]
    takes = [area.takes_mm[2] / INCH for area in found.areas]
    assert takes == pytest.approx([waves, border, 240 * 8 / 0.25], rel=1e-6)


def test_the_mat_does_only_if_it_is_hooked_low():
    """Recomputed: 202 sq in at 6 times are more than nine tenths of the skirt, at 5 less."""
    found = answered(shipped("mat"))
    assert found.verdict is Verdict.IF_LOW
    lighthouse = (3 + 4) / 2 * 9
    there = 0.9 * whole_and_all("mean")[1]
    assert (lighthouse + 170) * 5 / 0.25 <= there < (lighthouse + 170) * 6 / 0.25
    assert [area.covered[0] for area in found.areas] == [1.0, 1.0]
    rest = there - lighthouse * 6 / 0.25
    assert found.areas[1].covered[1] == pytest.approx(rest / (170 * 6 / 0.25), rel=1e-3)
    assert MendKind.SECOND in {mend.kind for mend in found.mends}


def test_the_hearth_rug_is_short():
    """Recomputed: its border takes more strips with the white stripe than the skirt has."""
    found = answered(shipped("hearth"))
    assert found.verdict is Verdict.SHORT
    border = (24 * 36 - (24 - 2.5) * (36 - 2.5)) * 6 / 0.25
    whole, everything = (0.8 * length for length in whole_and_all("mean"))
    assert found.areas[0].covered[1] == pytest.approx(whole / border, rel=1e-3)
    sky = math.pi * 20 * 12 / 4 * 6 / 0.25
    rest = everything - whole + 0.8 * 60 * 16
    assert found.areas[1].covered[1] == pytest.approx(rest / sky, rel=1e-3)
    assert found.areas[0].short_mm == pytest.approx((border - whole) * INCH, rel=1e-3)
    rows = next(mend.rows for mend in found.mends if mend.kind is MendKind.FEWER_ROWS)
    assert rows == int(5 * whole / border)


def test_areas_of_shapes():
    """W22: a circle of 3 in is 7.07 sq in; a border's corners count once; an oval's ring."""
    assert ellipse_extent(3 * INCH, 3 * INCH).area_mm2 / SQ_IN == pytest.approx(7.07, abs=0.01)
    border = border_extent((24, 36), 2, oval=False)
    assert border.area_mm2 == 24 * 36 - 20 * 32
    oval = border_extent((24, 36), 2, oval=True)
    assert oval.area_mm2 == pytest.approx(math.pi / 4 * (24 * 36 - 20 * 32))
    assert line_extent(60, 3, row_mm=0.25).area_mm2 == 45
    with pytest.raises(UsageError, match="nothing is inside"):
        border_extent((24, 36), 13, oval=False)


def test_one_area_is_typed():
    """W06: a motif of 6 x 10 in takes 360 sq in at 6 times, more than a fat quarter in reserve."""
    rug = one_area("6 x 10 in", "416 sq in", HABITS)
    found = answered(rug)
    assert found.areas[0].takes_mm[1] * 6.35 / SQ_IN == pytest.approx(360)
    assert found.verdict is Verdict.IF_LOW
    assert answered(one_area("60 sq in", "600 sq in", HABITS)).verdict is Verdict.ENOUGH


def test_half_way_only_the_rest_counts():
    """With 40 % hooked an area takes three fifths; what is left of a supply is said."""
    rug = one_area("100 sq in", "300 of 16 in", HABITS)
    whole = answered(rug).areas[0].takes_mm[1]
    half = answered(Rug(name="r", needs=rug.needs, supplies=rug.supplies, hooked=0.4))
    assert half.areas[0].takes_mm[1] == pytest.approx(0.6 * whole)
    less = with_left(rug, "the strips=10 of 16 in")
    assert answered(less).areas[0].gets[0].length_mm == pytest.approx(0.8 * 160 * INCH, rel=1e-3)
    with pytest.raises(UsageError, match="says of no supply"):
        with_left(rug, "the skirt=10 of 16 in")


def test_a_test_square_halves_the_reserve():
    """A tenth is kept instead of a fifth once she knows her own figure."""
    own = Habits(cut=EIGHT, coverage={"8": 5.0})
    assert reserves(one_area("60 sq in", "600 sq in", HABITS)) == (0.2,)
    assert reserves(one_area("60 sq in", "600 sq in", own)) == (0.1,)


def test_a_narrower_cut_may_mend_it():
    """#6 takes less wool than #8 as pages have it."""
    found = answered(one_area("60 sq in", "400 sq in", HABITS))
    cuts = [mend.cut.name for mend in found.mends if mend.kind is MendKind.NARROWER]
    assert cuts == ["6"]


def test_the_nearest_wool_is_blended_in():
    """Of two wools that could fill what is missing, the one nearer in colour is named."""
    area = '[[area]]\nshape = "area"\narea = "60 sq in"\nfrom = "navy"\ncut = "8"\n'
    wool = '[[supply]]\nname = "{0}"\narea = "{1} sq in"\ncolour = "{0}"\n'
    text = area + wool.format("navy", 300) + wool.format("yellow", 900) + wool.format("blue", 900)
    file = parse_rug(text, file_name="rug.toml", habits=HABITS)
    found = answered(Rug(name="r", needs=file.needs, supplies=file.supplies))
    (blend,) = (mend for mend in found.mends if mend.kind is MendKind.BLEND)
    assert blend.supply == "blue"
    assert blend.share == pytest.approx(1 - 0.8 * 300 / 360, abs=1e-3)


TOP = '[[supply]]\nname = "wool"\narea = "400 sq in"\n'


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", ["no area"]),
        ('[[area]]\nshape = "area"\narea = "60 sq in"', ["no supply"]),
        (TOP + '[[area]]\nshape = "blob"', ["line 5", "blob"]),
        (TOP + '[[area]]\nshape = "area"\narea = "60"', ["line 6", "must be an area"]),
        (TOP + '[[area]]\nshape = "circle"\nacross = "6"', ["line 6", "no unit"]),
        (TOP + '[[area]]\nshape = "circle"\nacross = "6 in"\nrows = 2', ["line 7", "rows"]),
        (TOP + '[[area]]\nshape = "circle"\nacross = "6 in"\nfrom = "x"', ["line 7", '"x"']),
        (
            TOP + '[[area]]\nshape = "circle"\nacross = "6 in"\nstripe = "U4"',
            ["line 7", "one supply"],
        ),
        (
            TOP + '[[area]]\nshape = "circle"\nacross = "6 in"\ncolour = "blurple"',
            ["line 7", "blurple"],
        ),
        (TOP + '[[area]]\nshape = "circle"\nacross = "6 in"\nvalue = "grey"', ["line 7", "grey"]),
        (
            TOP + '[[area]]\nshape = "border"\nwidth = "9 in"\nheight = "9 in"',
            ["line 5", "rows or is so thick"],
        ),
        (TOP + 'yards = 2\n[[area]]\nshape = "area"\narea = "60 sq in"', ["line 4", "one of"]),
        (TOP + TOP + '[[area]]\nshape = "area"\narea = "60 sq in"', ["comes twice"]),
        ('reserve = "x"\n' + TOP + '[[area]]\nshape = "area"\narea = "9 sq in"', ["line 1"]),
    ],
)
def test_what_is_wrong_is_named_with_its_line(text, says):
    """File, line, field and the fault."""
    with pytest.raises(FileTrouble) as caught:
        parse_rug(text, file_name="rug.toml", habits=HABITS)
    for words in ["rug.toml", *says]:
        assert words in caught.value.message
    assert caught.value.hint


def test_the_example_of_the_reference_is_read():
    """Every key of docs/reference/rug-files.md means something."""
    page = (FIXTURES.parent / "docs/reference/rug-files.md").read_text(encoding="utf-8")
    text = page.split("```toml\n")[1].split("```")[0]
    file = parse_rug(text, file_name="rug.toml", habits=HABITS)
    assert len(file.needs) == 4
    assert len(file.supplies) == 5
