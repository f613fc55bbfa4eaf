"""The paper cutting guide, read back from its PDF."""

from itertools import pairwise

import pymupdf
import pytest

from plaidcut.cutting.both_ways import WhatToPlan, plan_both_ways
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.cutting.plan import EdgeKind
from plaidcut.reports.card_sheet import PT_PER_MM, Paper
from plaidcut.reports.guide import MARGIN_MM, OVERLAP_MM, guide_pdf_bytes, tiles_of
from tests.setts import cloth

TABLE = cut_table()
EIGHT = parse_cut("8", TABLE)
CLOTH = cloth("K31 Y3 G17 R2.5", "B40 W3")
TRUE_MM = 0.1


def planned(width_mm):
    """The plan of a piece, and its system, for the up strips."""
    plan = plan_both_ways(CLOTH, WhatToPlan(cut=EIGHT, piece_mm=(width_mm, 300.0), at=("U1", "X1")))
    return plan.ways[0], CLOTH.up


def drawn(pdf):
    """Each page's lines and rectangles as (left, right, top, bottom) in mm of the page."""
    return [
        [tuple(side / PT_PER_MM for side in drawing["rect"]) for drawing in page.get_drawings()]
        for page in pymupdf.open(stream=pdf, filetype="pdf")
    ]


def left_edges(page):
    """Where rectangles begin and vertical lines stand, in mm from the drawing's left."""
    return [left - MARGIN_MM for left, *_ in page]


def held(places, wanted):
    """Whether every wanted place is among those drawn, to a tenth of a millimetre."""
    return all(min(abs(place - each) for place in places) <= TRUE_MM for each in wanted)


@pytest.mark.parametrize("paper", list(Paper))
def test_bands_strips_and_tears_are_where_the_plan_has_them(paper):
    """Every edge of the plan, read back from the drawing, to 0.1 mm."""
    way, system = planned(150.0)
    (page,) = drawn(guide_pdf_bytes([(way, system)], paper=paper))
    places = left_edges(page)
    assert held(places, [strip.start_mm for strip in way.strips])
    assert held(places, [max(0.0, each.start_mm) for each in way.stretch.bands])
    lines = [left - MARGIN_MM for left, _, right, _ in page if right - left < 0.01]
    torn = [run.place.at_mm for run in way.runs if run.edge is not EdgeKind.AS_IT_IS]
    assert torn
    assert held(lines, torn)


def test_its_bars_are_100_mm_and_4_in():
    """What it is checked by is itself true."""
    way, system = planned(100.0)
    (page,) = drawn(guide_pdf_bytes([(way, system)]))
    widths = [right - left for left, _, right, _ in page]
    assert min(abs(width - 100.0) for width in widths) < 0.01
    assert min(abs(width - 101.6) for width in widths) < 0.01


def test_a_printer_s_shrinkage_is_made_up_for():
    """Drawn larger by what the printer loses, across and down."""
    way, system = planned(100.0)
    (page,) = drawn(guide_pdf_bytes([(way, system)], printed=(0.97, 0.98)))
    widths = [right - left for left, _, right, _ in page]
    assert min(abs(width * 0.97 - 100.0) for width in widths) < 0.01


def test_a_long_guide_goes_on_in_tiles_that_overlap():
    """Marks lie on each other in the middle of each overlap; nothing is lost between tiles."""
    way, system = planned(400.0)
    pages = drawn(guide_pdf_bytes([(way, system)]))
    tiles = tiles_of(400.0, 210.0 - 2 * MARGIN_MM)
    assert len(pages) == len(tiles) == 3
    for tile, after in pairwise(tiles):
        assert tile.end_mm - after.start_mm == pytest.approx(OVERLAP_MM)
    seen = [
        place + tile.start_mm
        for tile, page in zip(tiles, pages, strict=True)
        for place in left_edges(page)
    ]
    assert held(seen, [strip.start_mm for strip in way.strips])
    for (tile, after), (page, next_page) in zip(pairwise(tiles), pairwise(pages), strict=True):
        mark = tile.end_mm - OVERLAP_MM / 2
        assert held(left_edges(page), [mark - tile.start_mm])
        assert held(left_edges(next_page), [mark - after.start_mm])


def test_parts_are_told_to_be_joined_and_nothing_runs_off_the_paper():
    """A guide in parts says how they meet, one that fits doesn't; all words lie within margins."""
    for width_mm, joined in ((100.0, False), (400.0, True)):
        pages = pymupdf.open(stream=guide_pdf_bytes([planned(width_mm)]), filetype="pdf")
        for page in pages:
            assert ("cross on cross" in page.get_text()) == joined
            right = max(word[2] for word in page.get_text("words"))
            assert right / PT_PER_MM <= 210.0 - MARGIN_MM / 2


def test_its_font_has_every_character():
    """What a font lacks is drawn as a box, and read as nought."""
    pages = pymupdf.open(stream=guide_pdf_bytes([planned(400)]), filetype="pdf")
    words = "".join(page.get_text() for page in pages)
    assert "in" in words
    assert "\0" not in words


def test_the_same_plan_gives_the_same_bytes():
    """Nothing of the day or the machine gets in; it says what to do."""
    way, system = planned(150.0)
    pdf = guide_pdf_bytes([(way, system)])
    assert pdf == guide_pdf_bytes([(way, system)])
    words = pymupdf.open(stream=pdf, filetype="pdf")[0].get_text()
    for told in ("Print at 100 %", "check the bars below", "anew", "Mind the blades", "U1"):
        assert told in words
