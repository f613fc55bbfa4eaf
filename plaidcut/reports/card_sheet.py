"""The page that the scale card is printed from: a PDF in true size."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Final

from plaidcut.pictures.card_picture import font_file
from plaidcut.scale.card_layout import Box, CardLayout, CardSize, card_layout
from plaidcut.scale.printing import CHECK_BAR_IN, CHECK_BAR_MM
from plaidcut.units import MM_PER_INCH

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


class Paper(StrEnum):
    """Papers that the page is laid out for."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height, upright (ISO 216; ANSI/ASME Y14.1 size A)."""
        return (210.0, 297.0) if self is Paper.A4 else (215.9, 279.4)


PT_PER_MM: Final = 72 / MM_PER_INCH
"""PDF points per millimetre, exact."""

CONTENT_MM: Final = 180.0
"""Width of what is drawn, centred on the page: within what home printers can reach."""

TOP_MM: Final = 20.0
"""Where the drawing begins, below the page's top edge."""

CARD_TOP_MM: Final = 140.0
"""Where the card begins, below the page's top edge."""

MIDDLE_MM: Final = 140.0
"""The drawing's middle, below the page's top edge: what a correction enlarges it from."""

STEPS: Final = (
    "Print at 100 % (“actual size”, not “fit to page”) on stiff paper.",
    "Measure the bars with a ruler, across and down: 100 mm and 4 in.",
    "Cut the card out along its grey outline. Mind the scissors.",
    "Lay washed, dried cloth out flat, and the card flat on it, near its stripes.",
    "Photograph from straight above, with the whole card in the picture.",
)
"""What to do, on the page itself."""

CORRECTION: Final = (
    "A bar came out shorter or longer? Print again at 100 %. If that",
    "does not help, tell plaidcut what you measured, for example",
    '--printed-width "97 mm" of the bars across the page and',
    '--printed-height "98 mm" of the bars down the page: with',
    "“card” to draw the page anew, or with “measure” to use it as it is.",
)
"""What to do with a printer that does not keep the size."""


def register_fonts() -> None:
    """Let ReportLab know the lettering that ships, as ``card`` and ``card-bold``."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, bold in (("card", False), ("card-bold", True)):
        pdfmetrics.registerFont(TTFont(name, font_file(bold=bold)))


def card_pdf_bytes(
    size: CardSize, *, paper: Paper = Paper.A4, printed: tuple[float, float] = (1.0, 1.0)
) -> bytes:
    """The printable page with the scale card, as a PDF file's bytes.

    Parameters
    ----------
    size
        Which card.
    paper
        Which paper.
    printed
        How large the printer draws, across and down the page
        (`~plaidcut.scale.printing.printed_ratio`): the whole page is drawn
        so much larger that card and bars come out true.

    Returns
    -------
    bytes
        Vector PDF of one page; the same bytes for the same arguments.
    """
    from io import BytesIO

    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    file = BytesIO()
    width, height = paper.size_mm
    canvas = Canvas(file, (width * PT_PER_MM, height * PT_PER_MM), invariant=True)
    canvas.setTitle(f"plaidcut scale card, {size} size")
    canvas.setCreator("plaidcut")
    canvas.setViewerPreference("PrintScaling", "None")
    # From here on in millimetres from the middle of the page's top edge, y up.
    canvas.translate(width / 2 * PT_PER_MM, (height - MIDDLE_MM) * PT_PER_MM)
    canvas.scale(PT_PER_MM / printed[0], PT_PER_MM / printed[1])
    canvas.translate(0, MIDDLE_MM)

    layout = card_layout(size)
    _draw_steps(canvas, f"plaidcut · {size} size · for {paper.title()} paper")
    _draw_bars(canvas, printed)
    canvas.translate(-layout.width_mm / 2, -CARD_TOP_MM)
    _draw_card(canvas, layout)
    canvas.save()
    return file.getvalue()


def _draw_steps(canvas: Canvas, subtitle: str) -> None:
    """Title, and what to do."""
    left = -CONTENT_MM / 2
    canvas.setFont("card-bold", 7.5)
    canvas.drawString(left, -TOP_MM - 5.5, "Scale card")
    canvas.setFont("card", 3.6)
    canvas.drawString(left, -TOP_MM - 12, subtitle)
    for number, step in enumerate(STEPS, start=1):
        baseline = -TOP_MM - 17 - 7 * number
        canvas.setFont("card-bold", 4)
        canvas.drawString(left, baseline, str(number))
        canvas.setFont("card", 4)
        canvas.drawString(left + 6, baseline, step)


def _draw_bars(canvas: Canvas, printed: tuple[float, float]) -> None:
    """The check bars across and down the page, and what to do when they are not true."""
    left, right = -CONTENT_MM / 2, CONTENT_MM / 2
    for x, y, turn in ((left, -86, 0), (right - 4, -TOP_MM, -90)):
        canvas.saveState()
        canvas.translate(x, y)
        canvas.rotate(turn)
        _draw_check_bars(canvas)
        canvas.restoreState()
    lines: tuple[str, ...] = CORRECTION
    if printed != (1.0, 1.0):
        wide, high = (100 / ratio for ratio in printed)
        lines = (
            f"Drawn {wide:.1f} % wide and {high:.1f} % high for your printer, at its same setting:",
            "the bars should now measure true. Don’t give the correction again to “measure”.",
        )
    canvas.setFont("card", 3.3)
    for number, text in enumerate(lines):
        canvas.drawString(left, -100 - 5.2 * number, text)


def _draw_check_bars(canvas: Canvas) -> None:
    """From the origin to the right a bar of 100 mm and a bar of 4 in below it, with their names."""
    high = 3.5
    canvas.setFont("card", 3.2)
    canvas.setLineWidth(0.2)
    for bottom, length, blocks, name in (
        (0.4, CHECK_BAR_MM, 10, f"{CHECK_BAR_MM:g} mm"),
        (-0.4 - high, CHECK_BAR_IN * MM_PER_INCH, 8, f"{CHECK_BAR_IN:g} in"),
    ):
        canvas.rect(0.1, bottom + 0.1, length - 0.2, high - 0.2)
        for start in range(0, blocks, 2):
            block = length / blocks
            canvas.rect(start * block, bottom, block, high, stroke=0, fill=1)
        canvas.drawString(length + 1.8, bottom + 0.7, name)


def _draw_card(canvas: Canvas, layout: CardLayout) -> None:
    """The card from the origin to the right and down, and the line to cut along."""
    canvas.setLineWidth(0.2)
    canvas.setStrokeGray(0.6)
    canvas.rect(0, -layout.height_mm, layout.width_mm, layout.height_mm)
    by_tone: dict[int, list[Box]] = {}
    for box in layout.boxes():
        by_tone.setdefault(box.tone, []).append(box)
    for tone, boxes in by_tone.items():
        path = canvas.beginPath()  # one path, so that no seams show between neighbours
        for box in boxes:
            path.rect(box.x_mm, -box.y_mm - box.height_mm, box.width_mm, box.height_mm)
        canvas.setFillGray(tone / 255)
        canvas.drawPath(path, stroke=0, fill=1)
    canvas.setFillGray(0)
    draw = {"left": canvas.drawString, "middle": canvas.drawCentredString}
    for words in layout.words:
        canvas.setFont("card-bold" if words.bold else "card", words.size_mm)
        draw[words.align](words.x_mm, -words.baseline_mm, words.text)
