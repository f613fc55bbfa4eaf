"""``card`` on the command line; what is drawn is tested with the drawing."""

import pymupdf
import pytest
from PIL import Image


@pytest.mark.parametrize(
    ("options", "size_mm"),
    [
        (["--paper", "a4"], (210, 297)),
        (["--paper", "letter"], (215.9, 279.4)),
        (["--units", "in"], (215.9, 279.4)),
        (["--units", "mm"], (210, 297)),
    ],
)
def test_the_page_has_the_paper_s_size(plaidcut, tmp_path, options, size_mm):
    """P03, P04: A4 or Letter as asked, else by the units that she reads in."""
    page = tmp_path / "card.pdf"
    answer = plaidcut("card", "--out", page, *options)
    assert answer.status == 0
    assert f"Wrote {page}" in answer.out
    with pymupdf.open(page) as pdf:
        assert len(pdf) == 1
        assert (pdf[0].rect.width, pdf[0].rect.height) == pytest.approx(
            [side * 72 / 25.4 for side in size_mm], abs=0.01
        )


def test_the_picture_is_the_card_alone(plaidcut, tmp_path):
    """The wallet card at 300 dots per inch is an ID-1 card's 85.60 x 53.98 mm (P01)."""
    picture = tmp_path / "card.png"
    answer = plaidcut("card", "--size", "wallet", "--picture", picture, "--dpi", "300", "--json")
    assert answer.document["files"] == [str(picture)]
    with Image.open(picture) as image:
        assert image.size == pytest.approx((85.60 / 25.4 * 300, 53.98 / 25.4 * 300), abs=0.5)


def test_what_the_printer_made_of_the_bars_is_heeded(plaidcut, tmp_path):
    """100 mm printed as 97 mm is 0.97, 4 in printed as 3.9 in is 0.975."""
    words = ["card", "--out", tmp_path / "card.pdf", "--json"]
    answer = plaidcut(*words, "--printed-width", "97 mm", "--printed-height", "3.9 in")
    assert answer.document["printed"] == pytest.approx([0.97, 0.975])
