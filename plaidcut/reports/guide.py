"""The paper cutting guide: a strip of paper in true size that is laid along the cloth's edge.

It holds every band, tear, cut and strip of a plan. Where a repeat begins it says which band it is
to be laid on anew. Longer than a page, it goes on in tiles that overlap, with marks that meet. It
has its own bars to be checked by.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.plan import EdgeKind, WayPlan
from plaidcut.pictures.places import spread
from plaidcut.reports.card_sheet import PT_PER_MM, Paper, register_fonts
from plaidcut.reports.words import run_label
from plaidcut.scale.printing import CHECK_BAR_IN, CHECK_BAR_MM
from plaidcut.stripes.measurement import Direction, ThreadSystem
from plaidcut.units import MM_PER_INCH, Units, on_ruler

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MARGIN_MM: Final = 15.0
"""Blank around the drawing: what home printers can't reach."""

OVERLAP_MM: Final = 10.0
"""What two tiles have in common."""

TALL_MM: Final = 34.0
"""Height of the guide itself."""

TEXT_MM: Final = 2.6

NARROW_MM: Final = 3.0
"""A sliver of a strip at a tile's end has no room for its pile's letter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """What goes on one line of paper: from, to, in mm of the guide."""

    start_mm: float
    end_mm: float


def tiles_of(length_mm: float, room_mm: float) -> tuple[Tile, ...]:
    """Parts of a guide that fit a page's width, with an overlap.

    Examples
    --------
    >>> [(tile.start_mm, tile.end_mm) for tile in tiles_of(300.0, 180.0)]
    [(0.0, 180.0), (170.0, 300.0)]
    """
    found, start = [], 0.0
    while True:
        end = min(start + room_mm, length_mm)
        found.append(Tile(start_mm=start, end_mm=end))
        if end >= length_mm - 1e-9:
            return tuple(found)
        start = end - OVERLAP_MM


def guide_pdf_bytes(
    ways: list[tuple[WayPlan, ThreadSystem]],
    *,
    paper: Paper = Paper.A4,
    printed: tuple[float, float] = (1.0, 1.0),
    units: Units = Units.IN,
) -> bytes:
    """The guides of plans as a PDF file's bytes, in true size.

    Parameters
    ----------
    ways
        Plans, and the bands across each.
    paper
        Which paper.
    printed
        How large the printer draws, across and down the page: everything is drawn so much larger
        that it comes out true.
    units
        The unit that lengths are written in.

    Returns
    -------
    bytes
        A page for each tile; the same bytes for the same arguments.
    """
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    file = BytesIO()
    width, height = paper.size_mm
    canvas = Canvas(file, (width * PT_PER_MM, height * PT_PER_MM), invariant=True)
    canvas.setTitle("plaidcut cutting guide")
    canvas.setCreator("plaidcut")
    canvas.setViewerPreference("PrintScaling", "None")
    for way, system in ways:
        tiles = tiles_of(way.width_mm, width / printed[0] - 2 * MARGIN_MM)
        for number, tile in enumerate(tiles, 1):
            # from here on in millimetres of the cloth, from the drawing's upper left corner, y down
            canvas.saveState()
            canvas.translate(MARGIN_MM * PT_PER_MM, (height - MARGIN_MM) * PT_PER_MM)
            canvas.scale(PT_PER_MM / printed[0], PT_PER_MM / printed[1])
            _head(canvas, way, system, (number, len(tiles)), units)
            _tile(canvas, way, system, tile)
            _bars(canvas)
            canvas.restoreState()
            canvas.showPage()
    canvas.save()
    return file.getvalue()


GUIDE_TOP_MM: Final = 52.0
"""Where the guide's upper edge is, below the drawing's."""

BARS_TOP_MM: Final = 110.0


def _head(
    canvas: Canvas, way: WayPlan, system: ThreadSystem, part: tuple[int, int], units: Units
) -> None:
    """What it is, and what to do with it."""
    number, of = part
    canvas.setFont("card-bold", 5)
    repeats = system.repeat_mm is not None
    title = f"Cutting guide: strips running {way.direction.spoken}"
    canvas.drawString(0, -5, f"{title}, part {number} of {of}" if of > 1 else title)
    first = "left" if way.direction is Direction.UP else "upper"
    size = f"{on_ruler(way.width_mm, units)} across, {on_ruler(way.length_mm, units)} along"
    begins = run_label([way.stretch.bands[0].band.id], system)
    anew = run_label([system.bands[0].id], system)
    joined = ["Tape the parts together, cross on cross, before you cut them out."] if of > 1 else []
    lines = [
        "Print at 100 % and check the bars below with a ruler before you trust it.",
        *joined,
        f"Cut it out. Lay its left end on the piece's {first} edge, in {begins}: bands on bands.",
        *([f"Cloth gives: at each arrow lay it anew, {anew} on the cloth's."] if repeats else []),
        "Zigzag: tear. Broken line: cut with ruler and rotary cutter. Letters: piles.",
        f"The piece: {size}. Mind the blades.",
    ]
    canvas.setFont("card", TEXT_MM + 0.6)
    for row, line in enumerate(lines):
        canvas.drawString(0, -12 - 5 * row, line)


def _tile(canvas: Canvas, way: WayPlan, system: ThreadSystem, tile: Tile) -> None:
    """The guide itself: bands on top, strips below, tears and cuts through both."""
    top, middle, bottom = GUIDE_TOP_MM, GUIDE_TOP_MM + 14, GUIDE_TOP_MM + TALL_MM

    def x(at_mm: float) -> float:
        return min(max(at_mm, tile.start_mm), tile.end_mm) - tile.start_mm

    canvas.setLineWidth(0.2)
    names: list[tuple[float, str]] = []
    for lying in way.stretch.bands:
        if lying.end_mm > tile.start_mm and lying.start_mm < tile.end_mm:
            left, right = x(lying.start_mm), x(lying.end_mm)
            canvas.setFillColor(lying.band.reads.hex)
            canvas.rect(left, -middle, right - left, middle - top, stroke=1, fill=1)
            names.append(((left + right) / 2, lying.band.id))
    canvas.setFillGray(0)
    _names(canvas, names, -top + 1.2, tile.end_mm - tile.start_mm)
    for strip in way.strips:
        if strip.end_mm > tile.start_mm and strip.start_mm < tile.end_mm:
            left, right = x(strip.start_mm), x(strip.end_mm)
            canvas.rect(left, -bottom, right - left, bottom - middle, stroke=1, fill=0)
            canvas.setFont("card", TEXT_MM)
            if right - left >= NARROW_MM:
                canvas.drawCentredString((left + right) / 2, -middle - 5, strip.pile)
    canvas.setLineWidth(0.35)
    for at_mm, kind in _edges(way):
        if tile.start_mm <= at_mm <= tile.end_mm:
            _edge(canvas, x(at_mm), kind, (top, bottom + 4))
    canvas.setLineWidth(0.5)
    canvas.rect(0, -bottom, tile.end_mm - tile.start_mm, bottom - top, stroke=1, fill=0)
    if system.repeat_mm is not None:
        _anew(canvas, way, system, tile)
    _match_marks(canvas, way, tile)


def _names(canvas: Canvas, names: list[tuple[float, str]], line: float, wide: float) -> None:
    """Ids over their bands, none on another; as many as there is room for."""
    apart = 2.2 * TEXT_MM
    room = int(max(wide - apart, 0) // apart) + 1
    shown = names[:: -(-len(names) // room)]
    canvas.setFont("card", TEXT_MM)
    places = spread([at for at, _ in shown], apart=apart, low=0.0, high=max(wide, 1.0))
    for place, (_, name) in zip(places, shown, strict=True):
        canvas.drawCentredString(float(place), line, name)


def _anew(canvas: Canvas, way: WayPlan, system: ThreadSystem, tile: Tile) -> None:
    """Arrows where a repeat begins."""
    first = system.bands[0].id
    y = GUIDE_TOP_MM - 6
    for lying in way.stretch.bands:
        if lying.band.id == first and tile.start_mm <= lying.start_mm <= tile.end_mm:
            x = lying.start_mm - tile.start_mm
            path = canvas.beginPath()
            path.moveTo(x, -y - 1.5)
            path.lineTo(x - 1.2, -y + 1)
            path.lineTo(x + 1.2, -y + 1)
            path.close()
            canvas.drawPath(path, fill=1)


def _edges(way: WayPlan) -> Iterator[tuple[float, EdgeKind]]:
    for run in way.runs:
        if run.edge is not EdgeKind.AS_IT_IS:
            yield run.place.at_mm, run.edge


def _edge(canvas: Canvas, x: float, kind: EdgeKind, span: tuple[float, float]) -> None:
    """A tear as a zigzag about its line, a cut as a broken line."""
    top, bottom = span
    if kind is EdgeKind.TRIMMED:
        canvas.setDash(2, 1)
        canvas.line(x, -top, x, -bottom)
        canvas.setDash()
        return
    canvas.line(x, -top, x, -bottom)
    path = canvas.beginPath()
    path.moveTo(x, -top)
    for k in range(1, 20):
        path.lineTo(x + (0.7 if k % 2 else -0.7), -(top + (bottom - top) * k / 20))
    path.lineTo(x, -bottom)
    canvas.drawPath(path)


def _match_marks(canvas: Canvas, way: WayPlan, tile: Tile) -> None:
    """Crosses in the middle of an overlap, that lie on each other when tiles are joined."""
    canvas.setLineWidth(0.3)
    y = GUIDE_TOP_MM + TALL_MM + 8
    whole_mm = way.width_mm
    places = [
        (tile.start_mm + OVERLAP_MM / 2, tile.start_mm > 0),
        (tile.end_mm - OVERLAP_MM / 2, tile.end_mm < whole_mm - 1e-9),
    ]
    for at_mm, joins in places:
        if joins:
            x = at_mm - tile.start_mm
            canvas.line(x - 3, -y, x + 3, -y)
            canvas.line(x, -y + 3, x, -y - 3)


def _bars(canvas: Canvas) -> None:
    """Bars of 100 mm and 4 in to check the printer by."""
    canvas.setFont("card", TEXT_MM + 0.4)
    for row, (length_mm, label) in enumerate(
        (
            (CHECK_BAR_MM, f"{CHECK_BAR_MM:g} mm"),
            (CHECK_BAR_IN * MM_PER_INCH, f"{CHECK_BAR_IN:g} in"),
        )
    ):
        y = BARS_TOP_MM + 12 * row
        canvas.setFillGray(0)
        canvas.rect(0, -y, length_mm, 2, stroke=0, fill=1)
        canvas.drawString(length_mm + 3, -y + 0.2, label)
