"""The card's page: true size on paper, the same bytes every time, and what to do in words."""

import numpy as np
import pymupdf
import pytest

from plaidcut.pictures.card_picture import card_picture
from plaidcut.reports.card_sheet import CORRECTION, STEPS, Paper, card_pdf_bytes
from plaidcut.scale.card import find_card
from plaidcut.scale.card_layout import CardSize

EVERY = [(size, paper) for size in CardSize for paper in Paper]


def page_of(*, size=CardSize.WALLET, paper=Paper.A4, printed=(1.0, 1.0)):
    """The page, opened."""
    document = pymupdf.open(stream=card_pdf_bytes(size, paper=paper, printed=printed))
    assert len(document) == 1
    return document[0]


def printed_page(page, *, dpi=200, ratio=(1.0, 1.0)):
    """The page as a printer that shrinks it would lay it on paper, as a picture."""
    grid = pymupdf.Matrix(dpi / 72 * ratio[0], dpi / 72 * ratio[1])
    pixels = page.get_pixmap(matrix=grid, alpha=False)
    return np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.width, 3)


@pytest.mark.parametrize(("size", "paper"), EVERY)
def test_the_card_is_in_true_size(size, paper):
    """The card on the page, read like any card in a photo, has the page's own resolution."""
    scale = find_card(printed_page(page_of(size=size, paper=paper)))

    assert float(scale.px_per_mm_at(scale.mark_px.mean(axis=0))) == pytest.approx(
        200 / 25.4, rel=3e-4
    )
    width_px, height_px = np.ptp(scale.mark_px, axis=0)
    assert width_px / height_px == pytest.approx(
        85.60 / 53.98 if size is CardSize.WALLET else 1.5, rel=1e-3
    )


def test_a_corrected_page_comes_out_true():
    """A page drawn for a printer that shrinks by 94 % and 96 % leaves it in true size."""
    page = page_of(size=CardSize.SHEET, printed=(0.94, 0.96))

    scale = find_card(printed_page(page, ratio=(0.94, 0.96)))

    assert np.ptp(scale.mark_px, axis=0) * 25.4 / 200 == pytest.approx((180, 120), rel=5e-4)


def test_a_shrunk_page_is_put_right_when_measuring():
    """A page that was shrunk is measured right once its bars' ratios are given."""
    picture = printed_page(page_of(size=CardSize.SHEET), ratio=(0.94, 0.96))

    right = find_card(picture, printed=(0.94, 0.96))

    assert right.px_per_mm == pytest.approx(200 / 25.4, rel=5e-4)
    np.testing.assert_allclose(
        np.ptp(right.mark_px, axis=0) * 25.4 / 200, [169.2, 115.2], rtol=5e-4
    )


def bar_lengths_mm(page, words):
    """Lengths of the black-and-white bars that stand before these words, wherever they run."""
    lengths = []
    drawings = [np.array([*d["rect"]]) * 25.4 / 72 for d in page.get_drawings() if d["type"] == "s"]
    for found in page.search_for(words):
        middle = np.array([(found.x0 + found.x1) / 2, (found.y0 + found.y1) / 2]) * 25.4 / 72
        for x0, y0, x1, y1 in drawings:
            across, down = x1 - x0, y1 - y0
            beside = across > 90 and y0 - 1 < middle[1] < y1 + 1 and 0 < middle[0] - x1 < 12
            below = down > 90 and x0 - 1 < middle[0] < x1 + 1 and 0 < middle[1] - y1 < 12
            if beside or below:
                lengths.append(max(across, down) + 0.2)  # the frame's line is 0.2 mm inside
    return lengths


@pytest.mark.parametrize("paper", list(Paper))
def test_check_bars_are_true_both_ways(paper):
    """The page has a 100 mm and a 4 in bar across and the same down."""
    page = page_of(paper=paper)

    assert bar_lengths_mm(page, "100 mm") == pytest.approx([100, 100], abs=0.05)
    assert bar_lengths_mm(page, "4 in") == pytest.approx([101.6, 101.6], abs=0.05)


@pytest.mark.parametrize(("size", "paper"), EVERY)
def test_the_page_says_what_to_do(size, paper):
    """Five short steps stand on the page, with a word about the scissors."""
    text = page_of(size=size, paper=paper).get_text()

    assert len(STEPS) == 5
    assert all(step in text for step in STEPS)
    assert all(line in text for line in CORRECTION)
    assert "scissors" in text
    assert "both across and down" in text or "across and down" in text


def test_a_corrected_page_says_so():
    """A page drawn for one printer says by how much, and that measure needs no more."""
    text = page_of(printed=(0.97, 1.0)).get_text()

    assert "103.1 %" in text
    assert "measure" in text
    assert "--printed-width" not in text


@pytest.mark.parametrize("printed", [(1.0, 1.0), (0.94, 0.94)])
@pytest.mark.parametrize(("size", "paper"), EVERY)
def test_nothing_lies_where_printers_do_not_reach(size, paper, printed):
    """All ink keeps 7 mm from the page's edges, corrected or not."""
    page = printed_page(page_of(size=size, paper=paper, printed=printed), dpi=72)
    rows, columns = np.nonzero(page.min(axis=2) < 250)
    margin = 7 / 25.4 * 72

    assert min(rows.min(), columns.min()) > margin
    assert page.shape[0] - rows.max() > margin
    assert page.shape[1] - columns.max() > margin


def test_the_page_is_drawn_in_lines_not_pixels():
    """The PDF holds no raster picture, and its text is text."""
    page = page_of(size=CardSize.SHEET)

    assert page.get_images() == []
    assert "plaidcut scale card" in page.get_text()


def test_the_same_page_is_the_same_bytes():
    """Drawn twice, the PDF is the same, byte for byte; another card is another."""
    first = card_pdf_bytes(CardSize.WALLET)

    assert first == card_pdf_bytes(CardSize.WALLET)
    assert first != card_pdf_bytes(CardSize.SHEET)


@pytest.mark.parametrize("size", list(CardSize))
def test_page_and_picture_show_one_card(size):
    """The card cut out of the page is the card of the picture, mark for mark."""
    import cv2

    page = printed_page(page_of(size=size), dpi=300)
    scale = find_card(page)
    picture = card_picture(size, dpi=150)
    height, width = picture.shape[:2]
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32) - 0.5
    warp = cv2.getPerspectiveTransform(scale.mark_px.astype(np.float32), corners)
    blurred = cv2.GaussianBlur(page, (0, 0), 1.0)
    cut = cv2.warpPerspective(blurred, warp, (width, height), flags=cv2.INTER_LINEAR)

    inner = np.s_[6:-6, 6:-6]  # the line to cut along is the page's alone
    off = np.abs(cut[inner].astype(float) - cv2.GaussianBlur(picture, (0, 0), 0.7)[inner])

    assert off.mean() < 4
    assert np.corrcoef(cut[inner].ravel(), picture[inner].ravel())[0, 1] > 0.97
