"""The report on paper: the same content as the page, for A4 or Letter."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

from plaidcut.reports.card_sheet import PT_PER_MM, Paper, register_fonts
from plaidcut.reports.full_html import picture_data, small_enough
from plaidcut.reports.full_report import Figure, FullReport
from plaidcut.reports.words import HOW_COUNTED, NOT_ADDED, short_count

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

MARGIN_MM: Final = 18.0
HIGHEST_SHARE: Final = 0.9
"""Of the page's height, what a picture may take."""

TALL: Final = ("plan", "hooked")
"""Figures that may take a page; two of the others share one."""

HALF: Final = 0.5

CELL_PT: Final = 8
CELL_GAP_PT: Final = 5
WORDS_PT: Final = (76, 86, 72)
"""What a band's label, its width and how it reads take at least, beside its counts."""

INK: Final = "#1d1d20"
SOFT: Final = "#55555c"
LINE: Final = "#cfccc4"


def report_pdf_bytes(report: FullReport, *, paper: Paper = Paper.A4) -> bytes:
    """The report as a PDF file's bytes; the same bytes for the same report."""
    from reportlab import rl_config
    from reportlab.platypus import SimpleDocTemplate

    register_fonts()
    rl_config.useA85 = 0  # pictures as they are: written as text they take a second longer
    width, height = (PT_PER_MM * side for side in paper.size_mm)
    margin = MARGIN_MM * PT_PER_MM
    file = BytesIO()
    page = SimpleDocTemplate(
        file,
        pagesize=(width, height),
        leftMargin=margin,
        rightMargin=margin,
        topMargin=margin,
        bottomMargin=margin,
        title=f"{report.title}: strips and plan",
        creator="plaidcut",
        invariant=1,
    )
    room = (width - 2 * margin - 12, (height - 2 * margin) * HIGHEST_SHARE)
    page.build(_story(report, room), onFirstPage=_numbered, onLaterPages=_numbered)
    return file.getvalue()


def _numbered(canvas: Any, page: Any) -> None:  # noqa: ANN401 -- ReportLab's own
    """The page's number at its foot."""
    canvas.setFont("card", 8)
    canvas.drawCentredString(page.pagesize[0] / 2, 9 * PT_PER_MM, str(page.page))


def _story(report: FullReport, room: tuple[float, float]) -> list[Flowable]:
    """The report from top to bottom."""
    from reportlab.platypus import KeepTogether, Spacer

    styles = _styles()
    say = _Sayer(styles)
    story: list[Flowable] = [say("h1", report.title)]
    if report.made:
        story.append(say("soft", report.made))
    story += [say("answer", f"• {sentence}") for sentence in report.answer]
    story.append(say("body", " ".join(report.content.about)))
    story += [say("body", f"Caution: {each.message}") for each in report.plan.cautions]
    story.append(say("h2", "Before you cut"))
    story += [say("body", f"• {sentence}") for sentence in report.care]
    heading: list[Flowable] = [say("h2", "Pictures")]
    for figure in report.figures:
        high = room[1] if figure.name in TALL else room[1] * HALF
        image = _image(figure, (room[0], high))
        story.append(KeepTogether([*heading, image, say("soft", figure.caption), Spacer(1, 8)]))
        heading = []
    story.append(say("h2", "The order of cutting"))
    story += [say.ticked(sentence) for sentence in report.checklist]
    for way in report.plan.ways:
        story.append(say("h3", way.heading))
        story.append(say("body", f"Wanted: {way.wanted}"))
        story += [say.ticked(step) for step in way.steps]
        story.append(say("body", " ".join(way.compared)))
        rows = [["Pile", "Strips", "They hold", "They read"]]
        rows += [[row.pile.letter, row.count, row.holds, row.reads] for row in way.piles]
        story.append(_table(rows, say))
    story.append(say("h2", "Bands and strips"))
    for system in report.content.systems:
        story.append(say("h3", system.heading))
        story.append(say("body", " ".join(system.about)))
        if system.striped:
            heads = ["Band", "Width", "A strip reads", *(c.label for c in report.content.cuts)]
            rows = [heads]
            for row in system.rows:
                counts = [short_count(strip) for strip in row.strips]
                counts += [""] * (len(heads) - 3 - len(counts))
                rows.append([row.label, f"{row.width} ({row.inches} in)", row.reads, *counts])
            parts = _by_cuts(rows, room[0])
            story += [_table(part, say, widths) for part, widths in parts]
        story += [
            say("body", f"{stripe.label}, {stripe.width}. {stripe.advice}")
            for stripe in system.stripes
        ]
    story.append(say("soft", f"{HOW_COUNTED} {NOT_ADDED} ± holds 19 times in 20."))
    return story


class _Sayer:
    """Sentences in the report's styles, with what is not ours escaped."""

    def __init__(self, styles: dict[str, Any]) -> None:
        self.styles = styles

    def __call__(self, style: str, text: str) -> Flowable:
        from xml.sax.saxutils import escape

        from reportlab.platypus import Paragraph

        return Paragraph(escape(text), self.styles[style])

    def ticked(self, text: str) -> Flowable:
        """A step of the order of cutting, to be ticked."""
        from xml.sax.saxutils import escape

        from plaidcut.reports.tick_box import Ticked

        return Ticked(escape(text), self.styles["body"])


def _styles() -> dict[str, Any]:
    from reportlab.lib.styles import ParagraphStyle

    body = ParagraphStyle(
        "body", fontName="card", fontSize=9.5, leading=13.5, textColor=INK, spaceAfter=4
    )
    bold = "card-bold"
    return {
        "body": body,
        "soft": ParagraphStyle("soft", body, fontSize=8.5, leading=12, textColor=SOFT),
        "answer": ParagraphStyle("answer", body, fontSize=11.5, leading=16),
        "h1": ParagraphStyle("h1", body, fontName=bold, fontSize=18, leading=23, spaceAfter=6),
        "h2": ParagraphStyle(
            "h2", body, fontName=bold, fontSize=13, leading=17, spaceBefore=12, keepWithNext=1
        ),
        "h3": ParagraphStyle(
            "h3", body, fontName=bold, fontSize=10.5, leading=14, spaceBefore=8, keepWithNext=1
        ),
        "cell": ParagraphStyle("cell", body, fontSize=CELL_PT, leading=10, spaceAfter=0),
    }


def _by_cuts(
    rows: list[list[str]], wide_pt: float
) -> Iterator[tuple[list[list[str]], list[float]]]:
    """The table of bands and its columns' widths, in pieces where there are many cuts.

    Counts have the width of the longest, so that no number is broken; the words share the rest.
    """
    from reportlab.pdfbase.pdfmetrics import stringWidth

    words = len(WORDS_PT)
    wide = [
        max(stringWidth(cell, "card", CELL_PT) for cell in column) + CELL_GAP_PT
        for column in list(zip(*rows, strict=True))[words:]
    ]
    first = 0
    while first < len(wide):
        last = first + 1
        while last < len(wide) and sum(wide[first : last + 1]) + sum(WORDS_PT) <= wide_pt:
            last += 1
        counts = wide[first:last]
        share = (wide_pt - sum(counts)) / sum(WORDS_PT)
        part = [[*row[:words], *row[words + first : words + last]] for row in rows]
        yield part, [*(share * each for each in WORDS_PT), *counts]
        first = last


def _table(rows: list[list[str]], say: _Sayer, widths: list[float] | None = None) -> Flowable:
    from reportlab.platypus import Table

    cells = [[say("cell", cell) for cell in row] for row in rows]
    table = Table(cells, colWidths=widths, repeatRows=1, hAlign="LEFT", spaceAfter=8)
    table.setStyle(
        [
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), CELL_GAP_PT),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ]
    )
    return table


def _image(figure: Figure, room: tuple[float, float]) -> Flowable:
    from reportlab.platypus import Image

    height, width = small_enough(figure.picture).shape[:2]
    scale = min(room[0] / width, room[1] / height, 0.6)
    data = BytesIO(picture_data(figure))
    return Image(data, width * scale, height * scale, hAlign="LEFT")
