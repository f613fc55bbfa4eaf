"""The report: page and paper from one content."""

from dataclasses import replace
from functools import lru_cache
from html.parser import HTMLParser

import pymupdf
import pytest
from tinyhtml5.parser import HTMLParser as HtmlParser

from plaidcut import tasks
from plaidcut.cutting.both_ways import WhatToPlan
from plaidcut.cutting.cuts import cut_table, parse_cut
from plaidcut.reports.card_sheet import Paper
from plaidcut.reports.full_html import html_text
from plaidcut.reports.full_pdf import report_pdf_bytes
from plaidcut.reports.tick_box import SIDE_PT
from plaidcut.reports.words import short_count
from plaidcut.stripes.measurement import Washed
from plaidcut.units import Units

EIGHT = parse_cut("8", cut_table())
VOID = {"meta", "img", "br", "link"}


@lru_cache
def reported(made="3 May"):
    """The report of the demo's skirt."""
    photo = tasks.demo_photo()
    cloth = tasks.measure(photo, tasks.HowToMeasure(washed=Washed.YES))
    plan = tasks.plan(cloth, WhatToPlan(cut=EIGHT))
    return tasks.report(
        cloth, tasks.yields(cloth), plan, photo=photo, own=EIGHT, units=Units.IN, made=made
    )


class Page(HTMLParser):
    """A page taken apart: tags balanced, headings, pictures, addresses."""

    def __init__(self):
        super().__init__()
        self.open, self.headings, self.pictures, self.addresses = [], [], [], []

    def handle_starttag(self, tag, attrs):
        """Note what opens."""
        held = dict(attrs)
        if tag not in VOID:
            self.open.append(tag)
        if tag in {"h1", "h2", "h3"}:
            self.headings.append(int(tag[1]))
        if tag == "img":
            self.pictures.append(held)
        self.addresses += [held[name] for name in ("src", "href") if name in held]

    def handle_endtag(self, tag):
        """What closes is what opened last."""
        assert self.open.pop() == tag


def test_the_page_is_whole_and_fetches_nothing():
    """Tags balance, headings go down by one, pictures have words, no address leads away."""
    page = Page()
    text = html_text(reported())
    page.feed(text)
    assert page.open == []
    assert page.headings[0] == 1
    assert all(b - a <= 1 for a, b in zip(page.headings, page.headings[1:], strict=False))
    assert page.headings.count(1) == 1
    assert len(page.pictures) == 7
    assert all(picture["alt"] and picture["width"] for picture in page.pictures)
    assert all(address.startswith("data:image/") for address in page.addresses)
    assert "http" not in text.split("<body>")[1].split("data:image")[0]
    assert '<html lang="en">' in text
    assert len(text) < 3e6


def test_the_page_is_valid_html():
    """An HTML5 parser that is not ours finds no fault, and does find one in a broken page."""
    parser = HtmlParser()
    parser.parse(html_text(reported()))
    assert parser.errors == []
    parser.parse("<!doctype html><p><b>bold</p>")
    assert parser.errors


def test_the_answer_comes_first_and_care_is_taken():
    """What cut keeps a stripe, before everything; blades, steam, dust and the checklist."""
    text = html_text(reported())
    first = text.index("is the narrowest cut that keeps")
    assert first < text.index("Before you cut") < text.index("<img")
    for told in ("razors", "Steam", "lint", "labels and local rules", "Edge torn to a thread?"):
        assert told in text
    assert text.index("Washed and dried?") < text.index("Tear out a piece")


def test_names_are_escaped():
    """A photo's name with markup in it stays a name."""
    from dataclasses import replace

    evil = replace(reported(), title="<script>alert(1)</script>.jpg")
    assert "<script>alert" not in html_text(evil)
    assert report_pdf_bytes(evil).startswith(b"%PDF")


def boxes_of(pages):
    """The boxes to tick."""
    return [
        drawing
        for page in pages
        for drawing in page.get_drawings()
        if drawing["rect"].width == drawing["rect"].height == pytest.approx(SIDE_PT, abs=1)
    ]


@pytest.mark.parametrize("paper", list(Paper))
def test_the_paper_says_what_the_page_says(paper):
    """A4 and Letter, page by page numbered; the same sentences; under 3 MB."""
    report = reported()
    pdf = report_pdf_bytes(report, paper=paper)
    pages = pymupdf.open(stream=pdf, filetype="pdf")
    width, height = paper.size_mm
    assert pages[0].rect.width * 25.4 / 72 == pytest.approx(width, abs=0.1)
    assert pages[0].rect.height * 25.4 / 72 == pytest.approx(height, abs=0.1)
    words = " ".join(" ".join(page.get_text() for page in pages).split())
    for sentence in (*report.answer, *report.checklist, report.made):
        assert sentence in words
    assert "\0" not in words, "a character that the fonts lack"
    boxes = boxes_of(pages)
    steps = [step for way in report.plan.ways for step in way.steps]
    assert len(boxes) == len(report.checklist) + len(steps)
    assert len(pdf) < 3e6
    assert sum(len(page.get_images()) for page in pages) == len(report.figures)


def test_a_step_longer_than_a_page_goes_on_overleaf_with_one_box():
    """As where a wide cloth is torn in a hundred places."""
    report = reported()
    before = pymupdf.open(stream=report_pdf_bytes(report), filetype="pdf")
    long = replace(report, checklist=(*report.checklist, "Tear here, and here. " * 400))
    after = pymupdf.open(stream=report_pdf_bytes(long), filetype="pdf")
    assert len(after) > len(before)
    assert len(boxes_of(after)) == len(boxes_of(before)) + 1


def test_the_same_input_gives_the_same_bytes():
    """Page and paper both; when it was made is an argument."""
    report = reported()
    assert html_text(report) == html_text(report)
    assert report_pdf_bytes(report) == report_pdf_bytes(report)
    assert "3 May" in html_text(report)


def test_typed_widths_have_a_report_too():
    """Without a photo there are no pictures of the cloth, and all the rest."""
    cloth = tasks.measure_by_hand("black 2 in, yellow 1/8 in")
    plan = tasks.plan(cloth, WhatToPlan(cut=EIGHT))
    report = tasks.report(cloth, tasks.yields(cloth), plan, photo=None, own=EIGHT)
    assert [figure.name for figure in report.figures] == ["bands", "plan", "yield"]
    assert "Widths typed by hand" in html_text(report)


@pytest.mark.parametrize("cuts", [11, 30])
def test_no_count_is_broken_on_paper(cuts):
    """Every count stands on one line, "14-16" not under each other, however many cuts there are."""
    widths = tuple(parse_cut(f"{2 + each / 4} mm", cut_table()) for each in range(cuts - 11))
    cloth = tasks.measure_by_hand("dark red 7 1/2 in, light brown 1/8 in")
    yields = tasks.yields(cloth, cuts=(*cut_table().cuts, *widths))
    plan = tasks.plan(cloth, WhatToPlan(cut=EIGHT))
    report = tasks.report(cloth, yields, plan, photo=None, own=EIGHT)
    pdf = report_pdf_bytes(report, paper=Paper.LETTER)
    words = [
        word[4]
        for page in pymupdf.open(stream=pdf, filetype="pdf")
        for word in page.get_text("words")
    ]
    counted = {short_count(strip) for strip in report.content.systems[0].rows[0].strips}
    assert any("-" in count and len(count) > 4 for count in counted)
    assert counted <= set(words)
