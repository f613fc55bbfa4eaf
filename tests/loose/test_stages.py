"""The stages of measuring strips, on pictures whose truth is plain geometry."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from plaidcut.cloth.view import PlaneView
from plaidcut.loose.edge_fit import fit_face_edge
from plaidcut.loose.ends import ends_on_ground, is_stepped
from plaidcut.loose.ground import Foreground, apart
from plaidcut.loose.lanes import edge_lines
from plaidcut.loose.middle import BEYOND_MM, LINE_STEP_MM, middle_lines
from plaidcut.loose.pieces import Piece
from plaidcut.loose.thickness import THICK_MM, Eye, eye_over, side_seen_mm
from plaidcut.scale.plane import Lens, Method, Scale
from plaidcut.stripes.colour import lab_of_linear_rgb

PX = 4.0


def bars(*boxes):
    """A mask (240, 400) at 4 px/mm with boxes (left, top, right, bottom) of it set."""
    mask = np.zeros((240, 400), bool)
    for left, top, right, bottom in boxes:
        mask[top:bottom, left:right] = True
    return mask


def test_a_bar_has_one_middle_line():
    """It runs along the middle, a little past both ends."""
    ((line, half),) = middle_lines(bars((40, 100, 360, 124)), PX)
    assert np.abs(line[:, 1] - (100 + 123) / 2 / PX).max() < 0.3
    assert half == pytest.approx(3.0, abs=0.3)
    assert line[:, 0].min() < 40 / PX + BEYOND_MM
    assert line[:, 0].max() > 360 / PX - BEYOND_MM


def test_a_cross_has_four():
    """Lines are parted where they fork."""
    assert len(middle_lines(bars((20, 110, 380, 130), (190, 10, 210, 230)), PX)) == 4


def test_nothing_has_none():
    """An empty table has no middle lines."""
    assert middle_lines(bars(), PX) == []


def test_edges_that_run_on_are_traced():
    """Two steps of colour along a line are two edges, where they are; noise is none."""
    across = np.arange(-60, 61) * 0.1
    rng = np.random.default_rng(3)
    lab = 50 + 30 * (ndtr((across + 2.03) / 0.15) - ndtr((across - 3.11) / 0.15))
    picture = np.repeat(lab[None], 80, axis=0)[..., None] * [1.0, 0.2, 0.1]
    picture = picture + rng.normal(0, 0.1, picture.shape)
    edges = edge_lines(picture.astype(np.float32), across)
    assert [round(float(np.median(edge.across_mm)), 1) for edge in edges] == [-2.0, 3.1]
    assert all(len(edge.rows) == 80 for edge in edges)


def on_ground(lying):
    """What lies on the ground, from a mask at 4 px/mm."""
    shape = lying.shape
    rgb = np.zeros((*shape, 3), np.float32)
    size_mm = np.array(shape[::-1]) / PX
    return Foreground(
        view=PlaneView(
            box_mm=np.array([[0.0, 0.0], size_mm]),
            px_per_mm=PX,
            rgb=rgb,
            framed=np.ones(shape, bool),
        ),
        ground_lab=rgb,
        marked=np.zeros(shape, bool),
        lying=lying,
        limit=7.0,
    )


def lane(left_mm, right_mm, middle_mm, width_mm):
    """A piece measured along a straight line from left to right."""
    x = np.arange(left_mm, right_mm, LINE_STEP_MM)
    edge = np.full(len(x), width_mm / 2)
    return Piece(
        line_mm=np.column_stack([x, np.full(len(x), middle_mm)]),
        low_mm=-edge,
        high_mm=edge,
        rgb=np.zeros((len(x), 3)),
        doubt_mm=np.zeros(len(x)),
    )


@pytest.mark.parametrize("ahead_mm", [-8, -3, 0, 3, 8])
@pytest.mark.parametrize("at_left", [True, False])
def test_an_end_set_back_in_half_its_width_is_of_two_strips(ahead_mm, at_left):
    """Two strips of 6 mm seen as one of 12: the step where they end tells, if there is one."""
    step = round(ahead_mm * PX)
    left, right = (60 + step, 320) if at_left else (60, 320 + step)
    lying = on_ground(bars((60, 96, 320, 120), (left, 120, right, 144)))
    piece = lane(24.0, 70.0, 30.0, 12.0)
    assert is_stepped([piece], lying) == (ahead_mm != 0)


def test_an_end_cut_askew_is_one_strip():
    """Scissors that went across at 45 degrees leave no step; nor does a yarn that has come off."""
    mask = bars((40, 96, 360, 144))
    for row in range(96, 144):
        mask[row, : 40 + row - 96] = False
    assert not is_stepped([lane(24.0, 80.0, 30.0, 12.0)], on_ground(mask))
    yarn = bars((40, 96, 360, 144), (20, 96, 40, 99))
    assert not is_stepped([lane(14.0, 80.0, 30.0, 12.0)], on_ground(yarn))


def test_what_runs_on_beneath_another_strip_or_out_of_the_picture_does_not_end():
    """It tells nothing of a step either."""
    mask = bars((40, 96, 360, 144), (20, 20, 60, 220))
    piece = lane(16.0, 80.0, 30.0, 12.0)
    assert not is_stepped([piece], on_ground(mask))
    assert not ends_on_ground(
        lane(16.0, 80.0, 30.0, 12.0), on_ground(bars((0, 96, 360, 144))), last=False
    )


@settings(max_examples=25, deadline=None)
@given(
    st.floats(-0.3, 0.3),
    st.sampled_from([(0.5, 0.12, 0.1), (0.03, 0.05, 0.1)]),
    st.floats(0.0, 0.4),
    st.floats(0.4, 0.8),
)
def test_the_edge_of_the_face_is_found(place_mm, face, side_mm, side_light):
    """However broad and dark the cut side beside it shows: within 0.08 mm of where it is."""
    offsets = np.arange(-1.4, 1.3 + 1.3 * side_mm, 0.05)
    out, blur = offsets - place_mm, 0.12
    past, foot = ndtr(out / blur), ndtr((out - side_mm) / blur)
    ground = np.array([0.45, 0.44, 0.42])
    light = (1 - past)[:, None] * face + ((past - foot) * side_light)[:, None] * face
    light = (
        light + (foot * (1 - 0.3 * np.exp(-np.maximum(out - side_mm, 0) / 0.4)))[:, None] * ground
    )
    rows = np.repeat(light[None], 20, axis=0).astype(np.float32)
    edge = fit_face_edge(rows, offsets, np.full(20, side_mm), blur_mm=blur)
    # a dark side in a bright one's place shifts the edge by part of its breadth, at most
    assert np.abs(edge.place_mm - place_mm).max() < 0.08 + 0.3 * side_mm


@pytest.mark.parametrize("thick_mm", [0.75, 1.0, 1.3])
def test_the_breadth_of_the_cut_side_tells_the_thickness(thick_mm):
    """A foot that stands out further than usual is of thicker wool, not of a wider face."""
    face, ground, blur, usual_mm = np.array([0.3, 0.06, 0.06]), 0.42, 0.12, 0.5
    offsets = np.arange(-1.4, 2.0, 0.05)
    past, foot = ndtr(offsets / blur), ndtr((offsets - usual_mm * thick_mm) / blur)
    corner = 1 - 0.25 * np.exp(-np.maximum(offsets - usual_mm * thick_mm, 0) / 0.4)
    rounded = (1 - past) * (1 - 0.25 * np.exp(np.minimum(offsets, 0) / 0.2))
    light = (rounded + 0.62 * (past - foot))[:, None] * face + (foot * corner)[:, None] * ground
    rows = np.repeat(light[None], 20, axis=0).astype(np.float32)
    edge = fit_face_edge(rows, offsets, np.full(20, usual_mm), blur_mm=blur)
    assert edge.thick_mm == pytest.approx(thick_mm * THICK_MM, abs=0.12)
    assert np.abs(edge.place_mm).max() < 0.08


def test_an_edge_that_hardly_any_row_shows_is_not_told():
    """One row of twenty within the photo tell nothing: no place, the usual thickness."""
    offsets = np.arange(-1.4, 2.0, 0.05)
    rows = np.full((20, len(offsets), 3), np.nan, np.float32)
    rows[:1] = np.where(offsets < 0, 0.3, 0.6)[None, :, None]
    edge = fit_face_edge(rows, offsets, np.full(20, 0.5), blur_mm=0.12)
    assert np.isnan(edge.place_mm).all()
    assert edge.thick_mm == THICK_MM


@settings(max_examples=40, deadline=None)
@given(
    st.tuples(*[st.floats(0.08, 0.9)] * 3),
    st.floats(0.3, 1.0),
)
def test_a_shadow_is_told_by_its_darkness_alone(rgb, light):
    """CIE 1976: less light moves a colour along one line, so it counts once, not as a colour."""
    ground = lab_of_linear_rgb(np.array([rgb]))
    shaded = lab_of_linear_rgb(np.array([rgb]) * light)
    assert apart(shaded, ground) == pytest.approx(np.linalg.norm(shaded - ground), rel=0.02)


def test_another_colour_counts_more_than_a_shadow():
    """As far off in L*a*b*, but bluer: further from the ground than any shade of it."""
    ground = np.array([[40.0, 10.0, 20.0]])
    bluer = ground + [0.0, 0.0, -6.0]
    darker = ground - 6.0 * np.array([56.0, 10.0, 20.0]) / np.linalg.norm([56.0, 10.0, 20.0])
    assert apart(darker, ground)[0] == pytest.approx(6.0)
    assert apart(bluer, ground)[0] > 1.5 * 6.0


def seen_from(height_mm, tilt_deg, foot_mm=(20.0, -10.0)):
    """The scale of a camera over a point of the plane, tilted about the picture's x axis."""
    width, height, focal = 4000, 3000, 0.77 * 4000
    inner = np.array([[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]])
    tilt = np.radians(tilt_deg)
    turn = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    eye = np.array([*foot_mm, -height_mm])
    matrix = inner @ np.column_stack([turn[:, 0], turn[:, 1], -turn @ eye])
    return Scale(
        method=Method.CARD,
        size_px=(width, height),
        plane_to_px=matrix / matrix[2, 2],
        lens=Lens.of_size(width, height),
        relative_std=0.001,
    )


@pytest.mark.parametrize("tilt_deg", [0.0, 12.0])
def test_the_camera_stands_where_it_stood(tilt_deg):
    """From the plane's homography follows the point below the camera, and its height."""
    eye = eye_over(seen_from(350.0, tilt_deg))
    assert eye.height_mm == pytest.approx(350.0, rel=0.02)
    assert eye.foot_mm == pytest.approx((20.0, -10.0), abs=3.0)


def test_a_scan_has_no_camera():
    """Nothing is set off by its height on a flatbed."""
    scale = Scale(
        method=Method.GIVEN,
        size_px=(100, 100),
        plane_to_px=np.eye(3),
        lens=Lens.of_size(100, 100),
        relative_std=0.0,
    )
    assert eye_over(scale) is None
    assert side_seen_mm(None, np.zeros((3, 2)), np.ones((3, 2))).tolist() == [0.0] * 3


def test_the_side_towards_the_camera_is_the_one_seen():
    """By similar triangles: thickness times the way to the foot over the height."""
    eye = Eye(foot_mm=(0.0, 0.0), height_mm=300.0)
    edges, outwards = np.array([[60.0, 5.0], [66.0, 5.0]]), np.array([[-1.0, 0.0], [1.0, 0.0]])
    near, far = side_seen_mm(eye, edges, outwards)
    assert near == pytest.approx(THICK_MM * 60 / 300)
    assert far == pytest.approx(-THICK_MM * 66 / 300)
