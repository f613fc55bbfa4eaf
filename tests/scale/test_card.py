"""The scale from the card, against photos with known truth."""

from dataclasses import replace

import numpy as np
import pytest

from plaidcut.errors import NoScale, ScaleTooSmall, ScaleUncertain
from plaidcut.scale.card import MOST_STD, find_card
from plaidcut.scale.card_layout import CardSize, card_layout, marker_cells
from plaidcut.scale.card_plane import LIFT_MM
from plaidcut.scale.marker_fit import fit_marker
from plaidcut.scale.plane import Method
from plaidcut.scale.printing import PRINTED_RANGE
from plaidcut.scale.sighting import SeenMarker
from tests.scale.card_photos import Shot, light_of_srgb, photograph, plaid_ground

SMALL = (1200, 900)
EASY = Shot(photo_px=SMALL, px_per_mm=6.0, turn_deg=20, tilt_deg=6, at=(0.45, 0.55))


def photo_of(shot, **more):
    """The shot on a plaid that does its best to look like markers."""
    return photograph(shot, ground=plaid_ground(shot.photo_px, shot.px_per_mm, shot.seed), **more)


def error_at_card(scale, shot):
    """Relative error of the scale at the card's middle."""
    layout = card_layout(shot.size)
    truth = shot.truth()
    middle = truth.to_px([layout.width_mm / 2, layout.height_mm / 2])
    return float(scale.px_per_mm_at(middle) / truth.px_per_mm_at(middle)) - 1


def residual_px(scale):
    """How far the anchors lie from where the scale puts them, root mean square."""
    off = scale.to_px(scale.anchors_mm) - scale.anchors_px
    return float(np.sqrt(np.mean(off**2)))


SHOTS = {
    "straight": replace(EASY, turn_deg=0, tilt_deg=0),
    "upside down": replace(EASY, turn_deg=180, tilt_deg=3),
    "quarter turn": replace(EASY, turn_deg=-90, tilt_deg=12, tilt_axis_deg=80),
    "tilted by 25 degrees": replace(EASY, turn_deg=130, tilt_deg=25),
    "sheet": replace(EASY, size=CardSize.SHEET, px_per_mm=4.0, turn_deg=75, tilt_deg=10),
    "blurred": replace(EASY, blur_px=2.0, quality=75),
    "dark": replace(EASY, white=0.04, noise=0.003, quality=75),
    "light falling off": replace(EASY, falloff=0.7, white=0.9),
    "grainy": replace(EASY, noise=0.03),
    "barrel": replace(EASY, k1=-0.012, at=(0.3, 0.3)),
    "pincushion": replace(EASY, k1=0.012, at=(0.7, 0.6)),
    "sharp": replace(EASY, blur_px=0.0, px_per_mm=9.0, quality=None, noise=0.0),
    "overexposed": replace(EASY, white=1.4),
    "close": replace(EASY, px_per_mm=11.0, at=(0.5, 0.5)),
}


@pytest.mark.parametrize("name", SHOTS)
def test_scale_is_right(name):
    """The scale at the card is right to 0.1 %, the corners to 0.3 px, the tilt to 1.5 degrees."""
    shot = SHOTS[name]

    scale = find_card(photo_of(shot))

    assert scale.method is Method.CARD
    assert scale.size_px == shot.photo_px
    assert abs(error_at_card(scale, shot)) < 1e-3
    assert residual_px(scale) < 0.3
    assert scale.tilt_deg == pytest.approx(shot.tilt_deg, abs=1.5)
    outline_px = shot.truth().to_px(card_layout(shot.size).outline_mm)
    assert np.abs(scale.mark_px - outline_px).max() < 1.0
    assert np.abs(error_at_card(scale, shot)) < 3 * scale.relative_std


@pytest.mark.parametrize("hide", [(0,), (4,), (0, 5), (1, 2)])
def test_a_part_hidden_card_serves(hide):
    """With one or two markers under a thumb the others give the same scale."""
    scale = find_card(photo_of(EASY, hide=hide))

    assert len(scale.anchors_mm) == 4 * (6 - len(hide))
    assert abs(error_at_card(scale, EASY)) < 1e-3


def test_a_thread_over_an_edge_is_left_out():
    """A marker that is covered in part, and would be placed wrongly, has no say."""
    photo = photo_of(EASY).copy()
    x, y = np.rint(EASY.truth().to_px(card_layout(EASY.size).markers[4].box.corners_mm[1])).astype(
        int
    )
    photo[y - 12 : y + 12, x - 12 : x + 12] = 20

    scale = find_card(photo)

    assert len(scale.anchors_mm) == 20
    assert residual_px(scale) < 0.1


@pytest.mark.parametrize("tone", [0, 90, 255])
def test_a_marker_under_one_flat_tone(tone):
    """A marker that is wholly covered, or lost in glare, has no say."""
    photo = photo_of(EASY).copy()
    corners_px = EASY.truth().to_px(card_layout(EASY.size).markers[2].box.corners_mm)
    (left, top), (right, bottom) = np.rint([corners_px.min(axis=0), corners_px.max(axis=0)]).astype(
        int
    )
    photo[top - 20 : bottom + 20, left - 20 : right + 20] = tone

    scale = find_card(photo)

    assert len(scale.anchors_mm) == 20
    assert abs(error_at_card(scale, EASY)) < 1e-3


@pytest.mark.parametrize("at", [(0.82, 0.5), (0.5, 0.02), (0.0, 0.98)])
def test_a_card_cut_by_the_photos_edge(at):
    """A card of which a part lies outside the photo is measured by what is left, or refused."""
    shot = replace(EASY, at=at)
    try:
        scale = find_card(photo_of(shot))
    except NoScale:
        return

    assert 8 <= len(scale.anchors_mm) < 24
    assert abs(error_at_card(scale, shot)) < 3 * scale.relative_std


def test_a_marker_has_no_favourite_place_between_pixels():
    """Over a sweep of sub-pixel places a marker's corners are unbiased, to 0.02 px."""
    errors = []
    for step in range(12):
        shot = replace(
            EASY, photo_px=(400, 400), at=(0.5 + 0.6 * step / 4800, 0.5), turn_deg=3.0 * step,
            noise=0.0, quality=None, tilt_deg=0,
        )  # fmt: skip
        light = light_of_srgb(photograph(shot)[:, :, 1])
        box = card_layout(shot.size).markers[4].box
        corners_px = shot.truth().to_px(box.corners_mm)
        fit = fit_marker(light, (0, 0), SeenMarker(4, corners_px + [1.5, -1.2]))
        errors.append(fit.corners_px - corners_px)

    assert np.abs(np.mean(errors, axis=(0, 1))).max() < 0.005
    assert np.abs(errors).max() < 0.02


@pytest.mark.parametrize("ink_mm", [0.05, 0.1])
def test_spreading_ink_moves_no_corner(ink_mm):
    """Black that a printer draws too fat on every side leaves scale and corners alone."""
    shot = replace(EASY, ink_mm=ink_mm, px_per_mm=8.0, quality=None)

    scale = find_card(photo_of(shot))

    assert abs(error_at_card(scale, shot)) < 5e-4
    off = scale.anchors_px - shot.truth().to_px(scale.anchors_mm)
    assert np.abs(off).max() < 0.1


@pytest.mark.parametrize("gamma", [0.7, 1.4])
def test_the_cameras_own_tones_move_no_corner(gamma):
    """A tone curve that isn't sRGB's shifts all edges, and yet no corner."""
    shot = replace(EASY, blur_px=1.5, quality=None)
    photo = np.rint(255 * (photo_of(shot) / 255) ** gamma).astype(np.uint8)

    scale = find_card(photo)

    off = scale.anchors_px - shot.truth().to_px(scale.anchors_mm)
    assert np.abs(off).max() < 0.1


@pytest.mark.parametrize("blur_px", [0.5, 1.0, 2.0])
def test_blur_of_the_cards_edges(blur_px):
    """The blur that is stated is the photo's own, the pixel's width with it."""
    scale = find_card(photo_of(replace(EASY, blur_px=blur_px)))

    assert scale.mark_blur_px == pytest.approx(np.hypot(blur_px, 12**-0.5), rel=0.08)


def test_a_shrunk_print_is_put_right():
    """A card printed at 97 % and 98 % is read in true size when that is said, else 2.5 % off."""
    printed = (0.97, 0.98)
    photo = photo_of(EASY, printed=printed)

    told = find_card(photo, printed=printed)
    untold = find_card(photo)

    assert abs(error_at_card(told, EASY)) < 1e-3
    assert error_at_card(untold, EASY) == pytest.approx(np.sqrt(0.97 * 0.98) - 1, abs=2e-3)
    assert min(PRINTED_RANGE) < min(printed)


def test_white_is_the_papers_light():
    """The white patch gives the light on the card, in linear RGB, whatever its colour."""
    photo = photo_of(replace(EASY, quality=None))
    warm = np.rint(photo * np.array([1.0, 0.9, 0.7])).astype(np.uint8)

    for picture in (photo, warm):
        x, y = np.rint(
            EASY.truth().to_px(card_layout(EASY.size).white.corners_mm.mean(axis=0))
        ).astype(int)
        around = light_of_srgb(picture[y - 5 : y + 6, x - 5 : x + 6]).mean(axis=(0, 1))

        assert find_card(picture).white == pytest.approx(tuple(around), rel=0.02)


def test_white_is_not_guessed():
    """A white patch that is covered or overexposed gives no white."""
    covered = photo_of(EASY).copy()
    corners = EASY.truth().to_px(card_layout(EASY.size).white.corners_mm)
    (left, top), (right, bottom) = corners.min(axis=0).astype(int), corners.max(axis=0).astype(int)
    covered[top : bottom + 2, left : right + 2] = (120, 60, 40)

    assert find_card(covered).white is None
    assert find_card(photo_of(replace(EASY, white=1.4))).white is None


def test_stated_uncertainty_covers_bulging_cards_and_lenses():
    """Over cards that bulge a little under lenses of all kinds, errors are as large as stated.

    The card's print is true here, so its share is taken out of what is stated.
    """
    rng = np.random.default_rng(11)
    shares, lens_shares = [], []
    for seed in range(18):
        size = CardSize.SHEET if seed % 2 else CardSize.WALLET
        shot = Shot(
            size=size, photo_px=(800, 600), px_per_mm=float(rng.uniform(2.0, 2.9)),
            turn_deg=float(rng.uniform(0, 360)), tilt_deg=float(rng.uniform(0, 15)),
            tilt_axis_deg=float(rng.uniform(0, 360)), k1=float(rng.normal(0, 0.012)),
            curl_mm=float(abs(rng.normal(0, LIFT_MM))), blur_px=float(rng.uniform(0.5, 1.5)),
            focal_ratio=0.8, seed=seed,
        )  # fmt: skip
        scale = find_card(photograph(shot))
        own = np.sqrt(scale.relative_std**2 - 0.0014**2)
        shares.append(error_at_card(scale, shot) / own)
        lens_shares.append((scale.lens.k1 - shot.k1) / scale.lens_std)

    for share in (np.array(shares), np.array(lens_shares)):
        assert np.mean(np.abs(share) < 2) > 0.9
        assert 0.4 < np.sqrt(np.mean(share**2)) < 1.4


def test_a_sheet_that_fills_the_photo_tells_the_lens():
    """A large card sees the lens's bend; a small one leaves it as unknown as it was."""
    near = replace(EASY, size=CardSize.SHEET, px_per_mm=5.4, at=(0.5, 0.5), turn_deg=2, k1=0.015)
    far = replace(EASY, px_per_mm=3.0, k1=0.015)

    told, untold = find_card(photo_of(near)), find_card(photo_of(far))

    assert told.lens_std < 0.006
    assert told.lens.k1 == pytest.approx(0.015, abs=2.5 * told.lens_std)
    assert untold.lens_std == pytest.approx(0.012, rel=0.1)
    assert abs(untold.lens.k1) < 0.004


# ---- refusals -------------------------------------------------------------------------------


def test_plaid_alone_is_no_card():
    """Cloth full of dark squares holds no card."""
    for seed in range(4):
        ground = np.rint(255 * plaid_ground(SMALL, 6.0, seed) ** 0.45).astype(np.uint8)

        with pytest.raises(NoScale) as caught:
            find_card(ground)

        assert "--by-hand" in caught.value.hint


def test_one_marker_is_not_enough():
    """A card of which only one marker is in the photo gives no scale."""
    with pytest.raises(NoScale):
        find_card(photo_of(EASY, hide=(0, 1, 2, 3, 4)))


@pytest.mark.parametrize(("px_per_mm", "error"), [(1.5, ScaleTooSmall), (2.0, None)])
def test_a_card_too_small(px_per_mm, error):
    """Modules of 2.6 pixels are refused with the way on, modules of 3.5 pixels are measured."""
    shot = replace(EASY, px_per_mm=px_per_mm, tilt_deg=2, blur_px=0.6, quality=None)
    photo = photo_of(shot)

    if error is None:
        assert abs(error_at_card(find_card(photo), shot)) < 2e-3
    else:
        with pytest.raises(error, match="too small") as caught:
            find_card(photo)
        assert "closer" in caught.value.hint


@pytest.mark.parametrize("curl_mm", [3.0, 8.0, 14.0])
@pytest.mark.parametrize("tilt_deg", [0, 6, 12])
def test_an_arched_sheet(curl_mm, tilt_deg):
    """A large sheet that arches under any tilt is refused: it would be 1 to 2 % wrong."""
    shot = replace(EASY, size=CardSize.SHEET, photo_px=(1600, 1200), px_per_mm=5.0, at=(0.5, 0.5))
    with pytest.raises(ScaleUncertain):
        find_card(photo_of(replace(shot, curl_mm=curl_mm, tilt_deg=tilt_deg)))


@pytest.mark.parametrize(("curl_mm", "refused"), [(0.5, False), (4.0, True)])
def test_a_bent_card(curl_mm, refused):
    """A card that bulges is refused; one that nearly lies flat is measured, doubt and all."""
    shot = replace(EASY, photo_px=(1600, 1200), px_per_mm=8.0, curl_mm=curl_mm, at=(0.5, 0.5))
    photo = photo_of(shot)

    if refused:
        with pytest.raises(ScaleUncertain, match="flat") as caught:
            find_card(photo)
        assert "--corners" in caught.value.hint
    else:
        scale = find_card(photo)
        assert abs(error_at_card(scale, shot)) < 2 * scale.relative_std
        assert scale.relative_std < np.hypot(MOST_STD, 0.0014)


def two_cards(printed):
    """A sheet in one half of the photo and a wallet card, printed so, in the other."""
    sheet = replace(
        EASY, size=CardSize.SHEET, px_per_mm=3.0, tilt_deg=0, at=(0.3, 0.5), photo_px=(1500, 900)
    )
    wallet = replace(sheet, size=CardSize.WALLET, at=(0.8, 0.5), turn_deg=70)
    first = light_of_srgb(photograph(replace(sheet, quality=None, noise=0.0)))
    return sheet, photograph(wallet, ground=first, printed=printed)


def test_two_cards_that_agree():
    """Two cards printed in true size serve as one does, and no cloth is looked for on either."""
    sheet, photo = two_cards((1.0, 1.0))

    scale = find_card(photo)

    assert abs(error_at_card(scale, sheet)) < 1e-3
    (other,) = scale.other_marks_px
    assert np.linalg.norm(other.mean(axis=0) - scale.mark_px.mean(axis=0)) > 500


def test_two_cards_that_disagree():
    """A card printed at 94 % beside one in true size: one of them is wrong, and it says so."""
    _, photo = two_cards((0.94, 0.94))

    with pytest.raises(ScaleUncertain, match=r"disagree by [67] %"):
        find_card(photo)


def test_a_marker_that_is_not_there_is_not_found():
    """A fit that begins on plain paper finds no marker."""
    light = np.full((200, 200), 0.6, np.float32)
    corners_px = np.array([[60.0, 60], [130, 60], [130, 130], [60, 130]])

    fit = fit_marker(light, (0, 0), SeenMarker(1, corners_px))

    assert fit is None or fit.misfit > 0.5


@pytest.mark.parametrize(("dark_side", "within_px"), [(0.8, 0.002), (0.5, 0.005)])
def test_fit_recovers_a_marker_from_its_formula(dark_side, within_px):
    """A marker drawn by its own formula is found; light that falls by a third adds 0.004 px.

    That light is blurred along with the marker, which the fit leaves aside.
    """
    from scipy.ndimage import gaussian_filter

    fine, module = 8, 10
    cells = np.pad(marker_cells(9), 2).astype(float)
    ink = np.kron(cells, np.ones((module * fine, module * fine)))
    light = gaussian_filter(1 - 0.95 * ink, 1.2 * fine) * np.linspace(0.8, dark_side, ink.shape[1])
    light = light.reshape(11 * module, fine, 11 * module, fine)
    corners_px = np.array([[20, 20], [90, 20], [90, 90], [20, 90]]) - 0.5

    fit = fit_marker(
        light.mean(axis=(1, 3)).astype(np.float32), (0, 0), SeenMarker(9, corners_px + [2, -2])
    )

    np.testing.assert_allclose(fit.corners_px, corners_px, atol=within_px)
    assert fit.blur_px == pytest.approx(np.hypot(1.2, 12**-0.5), rel=0.01)
