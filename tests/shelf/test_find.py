"""Finding cloths: nothing that fits is missed, nothing else comes, the best comes first."""

from dataclasses import replace

import numpy as np
import pytest

from plaidcut.cutting.cuts import cut_table
from plaidcut.cutting.yields import WANDER_TORN_MM, State, yields_of
from plaidcut.errors import UsageError
from plaidcut.photo import Photo
from plaidcut.shelf import store
from plaidcut.shelf.colours import colour_asked, colour_at
from plaidcut.shelf.find import find
from plaidcut.shelf.near import box_around
from plaidcut.shelf.opening import open_shelf, writing
from plaidcut.shelved import About, Pieces, Reserved, Wanted
from plaidcut.shelved_typed import parse_widths
from plaidcut.stripes.colour import colour_of_hex, difference
from tests.setts import HEX, cloth
from tests.shelf.wool import kept, shelve

EIGHT_MM = 6.35
PIECE = Pieces(count=5, width_mm=500.0, height_mm=300.0)
ROOM = {
    "Harbour skirt": ("B30 W3 B10 R5", "B100"),
    "Quarry kilt": ("G40 K12 Y2 K12", "G40 K26"),
    "Lantern scarf": ("R20 K20", "R20 K20"),
    "Pantry shawl": ("N10 W10", "N100"),
}


@pytest.fixture
def room(tmp_path):
    """A wool room with four cloths on its shelf."""
    path = tmp_path / "shelf.db"
    abouts = {
        "Harbour skirt": About(note="thrifted in May", place="cedar chest", pieces=(PIECE,)),
        "Quarry kilt": About(note="stiff", place="attic"),
    }
    shelve(path, *(kept(name, *sett, about=abouts.get(name)) for name, sett in ROOM.items()))
    return path


def asked(path, **wanted):
    """What is found."""
    usual = {"wander_mm": WANDER_TORN_MM, "cut_mm": EIGHT_MM, "most": 20}
    with open_shelf(path) as connection:
        return find(connection, Wanted(**(usual | wanted)))


def named(found):
    """The names of an answer, in order."""
    return [each.entry.name for each in found.cloths]


def say(path, name, **about):
    """Say something more of a cloth."""
    with open_shelf(path) as connection, writing(connection):
        entry = store.load(connection, name).entry
        said = replace(entry.about, **about)
        store.change(connection, name, store.with_words(entry, said))


def test_a_box_holds_every_colour_within_the_tolerance():
    """Against a brute force of two million pairs: none within CIEDE2000 lies outside its box."""
    rng = np.random.default_rng(7)
    near_blue = np.stack(
        [rng.uniform(0, 100, 60), rng.uniform(0, 60, 60), rng.uniform(-120, -10, 60)], axis=1
    )
    wide = rng.uniform((0, -110, -110), (100, 110, 110), (90, 3))
    greys = np.column_stack([rng.uniform(0, 100, 50), rng.normal(0, 3, (50, 2))])
    inside = 0
    for lab in np.vstack([near_blue, wide, greys]):
        for within in (0.5, 2.0, 5.0, 10.0, 16.0):
            reach = min(60.0, 6 * within)
            others = np.clip(
                lab + rng.uniform(-reach, reach, (2000, 3)), (0, -128, -128), (100, 128, 128)
            )
            box = box_around(tuple(lab), within)
            near = others[difference(others, lab) <= within]
            low, high = np.transpose((box.lightness, box.a, box.b))
            assert ((low <= near) & (near <= high)).all(), (lab, within)
            inside += len(near)
    assert inside > 20_000  # the pairs that the claim was held against


@pytest.mark.parametrize(("within", "most"), [(2.0, 5), (10.0, 3)])
def test_a_box_is_not_much_larger_than_it_must_be(within, most):
    """Colours of wool, which are seldom loud: the box is a few times as large."""
    rng = np.random.default_rng(3)
    for each in HEX.values():
        lab = colour_of_hex(each).lab
        around = lab + rng.normal(0, within, (40_000, 3))
        near = around[difference(around, lab) <= within]
        box = box_around(lab, within)
        extent = near.max(axis=0) - near.min(axis=0)
        assert (np.ptp((box.lightness, box.a, box.b), axis=1) / extent).max() < most


@pytest.mark.parametrize("letter", "RGBYKWN")
@pytest.mark.parametrize("within", [1.0, 10.0, 30.0])
def test_colours_are_found_as_by_comparing_all(room, letter, within):
    """The database's narrowing loses none and adds none, and the nearest comes first."""
    lab = colour_of_hex(HEX[letter]).lab
    best = {}
    for name, sett in ROOM.items():
        bands = [band for system in cloth(*sett).systems for band in system.bands]
        best[name] = float(difference([band.reads.lab for band in bands], lab).min())
    wanted = sorted(
        (name for name, off in best.items() if off <= within), key=lambda name: (best[name], name)
    )
    found = asked(room, lab=lab, within=within)
    assert named(found) == wanted
    for each in found.cloths:
        assert each.difference == pytest.approx(best[each.entry.name])
        assert any(band.fits for band in each.bands)


def test_a_name_finds_what_reads_by_it_however_far_off(room):
    """Level 2 names are wide: all that reads red is found by "red", nearest the middle first."""
    colour, name = colour_asked("red")
    reads = {
        each: [band.reads.name for system in cloth(*sett).systems for band in system.bands]
        for each, sett in ROOM.items()
    }
    red = {each for each, names in reads.items() if "red" in names or "purplish red" in names}
    found = asked(room, lab=colour.lab, name=name, within=0.0)
    assert set(named(found)) == {each for each, names in reads.items() if "red" in names}
    assert red


def test_words_for_a_colour():
    """A name, a value before it, a hex; anything else is refused."""
    assert colour_asked("reddish  Brown")[1] == ("reddish brown", None)
    assert colour_asked("dark grey")[1] == ("gray", "dark")
    assert colour_asked("#7a1f2b")[1] is None
    with pytest.raises(UsageError, match="no colour"):
        colour_asked("heathery")


def test_a_spot_has_the_colour_of_what_lies_there():
    """The middle of the red half of a picture is red; outside of it there is nothing."""
    pixels = np.zeros((300, 400, 3), np.uint8)
    pixels[:, :200] = (172, 33, 56)
    photo = Photo(name="a.jpg", sha256="0" * 64, pixels=pixels)
    assert difference(colour_at(photo, 100, 150).lab, colour_of_hex("#ac2138").lab) < 0.5
    with pytest.raises(UsageError, match="no spot"):
        colour_at(photo, 400, 10)


@pytest.mark.parametrize("cut", ["3", "6", "8", "10"])
def test_a_cut_that_keeps_a_stripe_whole_is_that_of_the_yields(room, cut):
    """The shelf and `yield` say the same of every bold stripe."""
    (width_mm,) = (each.width_mm for each in cut_table().cuts if each.name == cut)
    wanted = set()
    for name, sett in ROOM.items():
        for stripe in yields_of(cloth(*sett), cut_table().cuts).stripes:
            if any(c.cut.name == cut and c.state is State.WHOLE for c in stripe.cuts):
                wanted.add(name)
    assert set(named(asked(room, keeps_whole_mm=width_mm))) == wanted


def test_stripes_are_found_by_width(room):
    """A width, to 1/16 in; or all between two."""
    assert named(asked(room, width_mm=parse_widths("3 mm"))) == ["Harbour skirt", "Quarry kilt"]
    assert named(asked(room, width_mm=parse_widths("4 mm to 6 mm"))) == ["Harbour skirt"]
    assert named(asked(room, width_mm=parse_widths("80 mm"))) == []


def test_colour_and_stripe_must_be_of_one_stripe(room):
    """A white stripe of 3 mm and a red one of 5 mm: no red one of 3 mm."""
    red = {"lab": colour_of_hex(HEX["R"]).lab, "within": 6.0}
    assert named(asked(room, **red, width_mm=(4.5, 5.5))) == ["Harbour skirt"]
    assert named(asked(room, **red, width_mm=(2.5, 3.5))) == []


def test_words_are_found_in_names_notes_and_places(room):
    """Beginnings of words, in any order; marks that the search would read are no fault."""
    assert named(asked(room, words="HARB")) == ["Harbour skirt"]
    assert named(asked(room, words="chest thrif")) == ["Harbour skirt"]
    assert named(asked(room, words='kilt" OR *:')) == []
    assert named(asked(room, words="attic")) == ["Quarry kilt"]
    say(room, "Quarry kilt", place="top shelf")
    assert named(asked(room, words="attic")) == []
    with pytest.raises(UsageError, match="no words"):
        asked(room, words="***")


def test_kind_and_value_narrow(room):
    """Each must hold; with nothing asked all answer, by name."""
    kinds = {name: cloth(*sett).cloth.kind.value for name, sett in ROOM.items()}
    for kind in set(kinds.values()):
        assert set(named(asked(room, kind=kind))) == {n for n, k in kinds.items() if k == kind}
    light = {
        name
        for name, sett in ROOM.items()
        if any(b.reads.value == "light" for s in cloth(*sett).systems for b in s.bands)
    }
    assert set(named(asked(room, value="light"))) == light
    assert named(asked(room)) == sorted(ROOM)
    short = asked(room, most=2)
    assert (len(short.cloths), short.count) == (2, 4)


def test_overdyed_cloth_has_no_colours_to_be_found_by(room):
    """Its stripes are still as wide as they were, and words find it."""
    red = {"lab": colour_of_hex(HEX["R"]).lab, "within": 6.0}
    assert "Harbour skirt" in named(asked(room, **red))
    say(room, "Harbour skirt", overdyed_on="2026-06-01")
    assert "Harbour skirt" not in named(asked(room, **red))
    assert "Harbour skirt" not in named(asked(room, value="light"))
    assert "Harbour skirt" in named(asked(room, width_mm=(4.5, 5.5)))
    assert not asked(room, words="harbour").cloths[0].entry.colours_hold


def test_strips_are_counted_from_the_pieces(room):
    """By hand: 5 pieces of 500 x 300 mm, repeat 48 mm of blue 30, white 3, blue 10, red 5.

    Blue as wide as 30 mm holds (30 - 0.1 - 1.5875) / 6.35 = 4.46, so 4 strips; that of 10 mm
    (10 - 0.1 - 1.5875) / 6.35 = 1.3, so 1. (500 - 30) / 48 = 9.8 and (500 - 10) / 48 = 10.2, so
    9 and 10 times each. Across it is plain: 300 / 6.35 = 47.2. In all 5 · (36 + 10 + 47) = 465.
    """
    blue = {"lab": colour_of_hex(HEX["B"]).lab, "within": 1.0}
    (found,) = asked(room, **blue, at_least=465).cloths
    assert found.strips == 465
    assert asked(room, **blue, at_least=466).cloths == ()


def test_strips_that_keep_a_stripe_whole_are_one_a_repeat(room):
    """(500 - 9.525) / 48 = 10.2, so 10 in each of 5 pieces hold the red stripe whole in a #9."""
    red = {"lab": colour_of_hex(HEX["R"]).lab, "within": 1.0}
    (found,) = asked(room, **red, keeps_whole_mm=9.525, cut_mm=9.525, at_least=1).cloths
    assert (found.entry.name, found.strips) == ("Harbour skirt", 50)


def test_what_is_kept_for_rugs_is_not_counted(room):
    """A number of strips comes off; kept without a number, nothing is left."""
    plain = asked(room, words="harbour", at_least=1).cloths[0].strips
    assert plain == 5 * (500 // EIGHT_MM)
    say(room, "Harbour skirt", reserved=(Reserved(rug="runner", strips=90),))
    assert asked(room, words="harbour", at_least=1).cloths[0].strips == plain - 90
    say(room, "Harbour skirt", reserved=(Reserved(rug="runner", strips=None),))
    assert asked(room, words="harbour", at_least=1).cloths == ()


def test_cloth_of_unknown_amount_is_told_of(room):
    """It isn't an answer, but it isn't passed over in silence either."""
    found = asked(room, at_least=1)
    assert (named(found), found.amount_unknown) == (["Harbour skirt"], 3)
