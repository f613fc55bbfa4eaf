"""The photo with its bands marked: what is said, where, and that it can be read."""

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plaidcut.photo import Photo
from plaidcut.pictures.annotated import annotated_photo
from plaidcut.pictures.annotation import SHOWN_PX, annotation_of
from plaidcut.pictures.ink import rgb_of_hex, text_width_px
from plaidcut.pictures.places import Box, spread
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.measurement import Direction, LeftOut, PhotoRecord
from plaidcut.units import Units
from tests.setts import cloth, system

PX_PER_MM = 4.0
SIZE = (1200, 900)


def traced(sett_system, *, turn_deg=0.0, size=SIZE):
    """The system with its edges traced over a photo in which it is turned by an angle."""
    angle = np.deg2rad((90.0 if sett_system.direction is Direction.UP else 0.0) + turn_deg)
    along = np.array([np.cos(angle), np.sin(angle)])
    over = np.array([-along[1], along[0]])
    if over[0 if sett_system.direction is Direction.UP else 1] < 0:
        over = -over
    ids = [band.id for band in sett_system.bands]
    starts = [band.start_mm for band in sett_system.bands]
    total = sum(band.width_mm for band in sett_system.bands)
    turns = range(-9, 10) if sett_system.repeat_mm else [0]
    edges = [
        ((start + turn * total) * PX_PER_MM, (ids[k - 1], ids[k]))
        for turn in turns
        for k, start in enumerate(starts)
        if sett_system.repeat_mm or k
    ]
    if not sett_system.repeat_mm:  # the cloth is seen from its first band to its last
        edges = [(at - total * PX_PER_MM / 2, beside) for at, beside in edges]
    center = np.array(size) / 2
    seen = [
        (center + np.outer(np.linspace(-450, 450, 40), along) + at * over, beside)
        for at, beside in sorted(edges, key=lambda item: item[0])
        if abs(at) < min(size) / 2
    ]
    return replace(
        sett_system,
        angle_px_deg=float(np.rad2deg(angle) % 180),
        edges_px=tuple(line for line, _ in seen),
        edge_bands=tuple(beside for _, beside in seen),
    )


def photographed(up, across="B20 W3", *, turn_deg=0.0, mark=None, left_out=(), size=SIZE, **how):
    """A measurement of a photo, with the card somewhere and regions left out."""
    systems = [
        traced(system(text, direction, **how), turn_deg=turn_deg, size=size)
        for text, direction in zip((up, across), Direction, strict=True)
    ]
    measured = cloth(*systems)
    scale = Scale(
        method=Method.CARD,
        size_px=size,
        plane_to_px=np.diag([PX_PER_MM, PX_PER_MM, 1.0]),
        lens=Lens.of_size(*size),
        relative_std=0.002,
        mark_px=mark,
    )
    return replace(
        measured,
        photo=PhotoRecord(name="x.jpg", width_px=size[0], height_px=size[1], sha256="0" * 64),
        scale=scale,
        cloth=replace(measured.cloth, left_out=tuple(left_out)),
    )


def grey_photo():
    """A photo of nothing."""
    return Photo(name="x.jpg", sha256="0" * 64, pixels=np.full((*SIZE[::-1], 3), 128, np.uint8))


def square(x, y, side):
    """A polygon (4, 2) about a point."""
    return np.array(
        [[x - side, y - side], [x + side, y - side], [x + side, y + side], [x - side, y + side]],
        float,
    )


letters = st.sampled_from("KWRBGYNT")
setts = st.lists(st.tuples(letters, st.floats(0.7, 40)), min_size=2, max_size=20).map(
    lambda items: " ".join(f"{letter}{width}" for letter, width in items)
)


@settings(max_examples=40)
@given(
    setts,
    setts,
    st.tuples(st.floats(-44, 44), st.booleans()),
    st.sampled_from([(1200, 900), (900, 1200), (600, 1300), (4000, 3000)]),
    st.sampled_from(Units),
)
def test_no_words_meet_or_run_off(up, across, lie, size, units):
    """Whatever the cloth and the photo, all words lie in the picture and apart, 26 px or more."""
    turn_deg, repeats = lie
    measured = photographed(
        up, across, turn_deg=turn_deg, repeats=repeats, size=size, mark=square(300, 300, 90)
    )
    plan = annotation_of(measured, size, units=units)
    whole = Box(0, 0, *plan.size_px)
    labels = [*plan.ids, *plan.listed, *plan.notes]
    assert all(label.box.within(whole) for label in labels)
    assert all(label.size_px >= 26 for label in labels)
    assert all(
        text_width_px(label.text, label.size_px) <= label.box.right - label.box.left
        for label in labels
    )
    assert not any(a.box.meets(b.box) for a, b in combinations(labels, 2))
    assert not any(label.box.meets(plan.photo_box) for label in [*plan.ids, *plan.listed])
    assert all(label.box.within(plan.photo_box) for label in plan.notes)


@settings(max_examples=30)
@given(setts, st.floats(-44, 44))
def test_every_line_leads_to_its_own_band(up, turn_deg):
    """The line from an id ends on the ribbon, across from the middle of that band."""
    measured = photographed(up, "B30", turn_deg=turn_deg)
    plan = annotation_of(measured, SIZE)
    for ribbon in plan.ribbons:
        middles = {each.band_id: each.middle_px for each in ribbon.shown}
        ends = {
            label.text: leader[-1] for label, leader in zip(plan.ids, plan.leaders, strict=True)
        }
        for band_id, end in ends.items():
            assert np.hypot(*(end - middles[band_id])) == pytest.approx(SHOWN_PX / 2)


@pytest.mark.parametrize("turn_deg", [-40.0, 0.0, 3.0, 44.0])
def test_the_ribbon_is_cut_where_the_bands_end(turn_deg):
    """On the ribbon a band is as broad as on the cloth, whatever way the photo is turned."""
    measured = photographed("K20 Y2.5 R10 W4", turn_deg=turn_deg)
    plan = annotation_of(measured, SIZE)
    scale = (plan.photo_box.right - plan.photo_box.left) / SIZE[0]
    up = plan.ribbons[0]
    assert {each.band_id for each in up.shown} == {"U1", "U2", "U3", "U4"}
    for each in up.segments:
        width_mm = np.hypot(*(each.end_px - each.start_px)) / scale / PX_PER_MM
        assert width_mm == pytest.approx(measured.up.band(each.band_id).width_mm, abs=0.01)


def test_one_repeat_is_shown_whole_and_in_order():
    """The broad part of the ribbon is neighbouring bands, each of the repeat once."""
    measured = photographed("K20 Y2.5 R10 W4")
    shown = annotation_of(measured, SIZE).ribbons[0].shown
    numbers = [int(each.band_id[1:]) for each in shown]
    assert sorted(numbers) == [1, 2, 3, 4]
    assert all((b - a) % 4 == 1 for a, b in pairwise(numbers))


def test_the_ribbon_keeps_off_the_card():
    """No band is shown where the card lies: nothing of the cloth is seen there."""
    card = square(600, 200, 190)
    plan = annotation_of(photographed("K20 Y2.5 R10 W4", mark=card), SIZE)
    hidden = Box(*plan.mark_px.min(axis=0), *plan.mark_px.max(axis=0))
    for ribbon in plan.ribbons:
        for each in ribbon.segments:
            x, y = each.middle_px
            assert not Box(x - 1, y - 1, x + 1, y + 1).meets(hidden)
    assert [label.text for label in plan.notes] == ["card"]


def test_every_band_is_listed_with_its_colour_and_width():
    """The list names each band, its colour and its width in her unit; bold ones and twins too."""
    measured = photographed("K30 Y2 R20", "B300", mirrored=True)
    for units, widths in ((Units.IN, ("1 3/16 in", "3/32 in")), (Units.MM, ("30.0 mm", "2.0 mm"))):
        words = [label.text for label in annotation_of(measured, SIZE, units=units).listed]
        assert f"U1  black  {widths[0]}" in words
        assert f"U2  yellow  {widths[1]}, bold" in words
        assert f"U4  yellow  {widths[1]}, bold" in words
        assert "Side to side: no stripes" in words


def test_left_out_regions_are_hatched_with_their_reason():
    """A hole is hatched, dark and light, and says that it is a hole."""
    hole = LeftOut(code="hole", outline_px=square(800, 600, 70))
    measured = photographed("K20 Y2.5 R10 W4", left_out=[hole])
    plan = annotation_of(measured, SIZE)
    assert [label.text for label in plan.notes] == ["hole"]
    picture = annotated_photo(grey_photo(), measured)
    (left, top), (right, bottom) = (
        plan.left_out_px[0].min(axis=0).astype(int),
        plan.left_out_px[0].max(axis=0).astype(int),
    )
    inside = picture[top:bottom, left:right].mean(axis=2)
    assert np.mean(inside < 60) > 0.1
    assert np.mean(inside > 220) > 0.1


def test_the_picture_shows_yarns_in_their_colours():
    """A band's own colour is on the ribbon and under its id, and the photo isn't changed."""
    measured = photographed("K20 Y6 R10 W4")
    photo = grey_photo()
    picture = annotated_photo(photo, measured)
    plan = annotation_of(measured, SIZE)
    assert picture.shape == (plan.size_px[1], plan.size_px[0], 3)
    assert np.all(photo.pixels == 128)
    yellow = np.all(picture == rgb_of_hex(measured.up.band("U2").yarn.hex), axis=2)
    segment = next(each for each in plan.ribbons[0].shown if each.band_id == "U2")
    x, y = segment.middle_px.round().astype(int)
    assert yellow[y, x]
    box = next(label.box for label in plan.ids if label.text == "U2")
    assert yellow[round(box.bottom) - 7, round((box.left + box.right) / 2)]


def test_a_photo_is_shown_at_phone_size():
    """Large photos are made smaller and small ones larger, to about 1300 px across."""
    for size in ((4000, 3000), (640, 480)):
        plan = annotation_of(photographed("K20 Y2", size=size), size)
        assert plan.photo_box.right - plan.photo_box.left == pytest.approx(1300, abs=1)


def test_widths_without_a_photo_cannot_be_traced():
    """A system whose edges weren't traced is listed, and has no ribbon."""
    plan = annotation_of(cloth("K20 Y2", "R3 W9"), SIZE)
    assert plan.ribbons == ()
    assert {label.text.split()[0] for label in plan.listed} >= {"U1", "U2", "X1", "X2"}


@given(
    st.lists(st.floats(0, 1000), max_size=12).map(sorted),
    st.floats(1, 60),
)
def test_spread_places_are_apart_and_nearest(wanted, apart):
    """Places keep order, spacing and bounds, and no shift of one brings it nearer."""
    places = spread(wanted, apart=apart, low=0, high=1000)
    assert np.all(np.diff(places) >= apart - 1e-6)
    assert np.all((places >= -1e-6) & (places <= 1000 + 1e-6))
    for k, place in enumerate(places):
        for moved in (place - 0.5, place + 0.5):
            free = (k == 0 or moved - places[k - 1] >= apart) and (
                k == len(places) - 1 or places[k + 1] - moved >= apart
            )
            if free and 0 <= moved <= 1000:
                assert abs(moved - wanted[k]) >= abs(place - wanted[k]) - 1e-6


def test_too_many_labels_are_refused():
    """More labels than there is room for can't be placed without overlap."""
    with pytest.raises(ValueError, match="don't fit"):
        spread(range(20), apart=10, low=0, high=100)
