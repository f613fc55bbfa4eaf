"""A cutting plan drawn on its piece: the cloth as it lies, and below it the strips cut from it.

Widths are to scale. Strips have the colour that they read, and the letter of their pile; what is
in no strip is blank, with its width written in. Pieces too wide for the picture go on in a row
below; strips too long for it are broken off, as the zigzag says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final

import numpy as np

from plaidcut.cutting.both_ways import Plan
from plaidcut.cutting.plan import EdgeKind, WayPlan
from plaidcut.cutting.strip import Pile
from plaidcut.pictures.ink import DARK, LIGHT, Picture, Rgb, font_of, text_width_px
from plaidcut.pictures.places import spread
from plaidcut.stripes.measurement import Direction
from plaidcut.units import Units, is_nought, on_ruler

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

PAPER: Final[Rgb] = (250, 249, 246)
BLANK: Final = "#ffffff"
MARGIN_PX: Final = 40
PX_PER_MM: Final = 5.0
"""A #3 strip is then 12 px wide, and the letter of its pile just fits in."""
ROW_MM: Final = 320.0
"""Most cloth that goes in a row; rows are about as long as each other."""
CLOTH_PX: Final = 150
"""What is drawn of the cloth along the strips ..."""
STRIP_PX: Final = 240
"""... and of the strips."""
HEAD_PX: Final = 24
TEXT_PX: Final = 15
LINE_PX: Final = 24
"""Height of a line of words."""
JAG_PX: Final = 5
"""Half the breadth of a tear's line, and of the zigzag where strips are broken off."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where a row of a piece is drawn: ``across`` the strips and ``along`` them, in pixels."""

    pen: ImageDraw
    direction: Direction
    corner: tuple[float, float]

    def xy(self, across: float, along: float) -> tuple[float, float]:
        """A point of the picture."""
        x, y = (across, along) if self.direction is Direction.UP else (along, across)
        return self.corner[0] + x, self.corner[1] + y

    def box(
        self,
        across: tuple[float, float],
        along: tuple[float, float],
        fill: str,
        outline: str | Rgb = DARK,
    ) -> None:
        """A rectangle with a thin outline."""
        corners = self.xy(across[0], along[0]), self.xy(across[1], along[1])
        self.pen.rectangle(corners, fill=fill, outline=outline)

    def line(
        self, points: Sequence[tuple[float, float]], *, width: int = 3, casing: int = 0
    ) -> None:
        """A line through points across and along, in a light casing on each side."""
        line = [self.xy(*point) for point in points]
        if casing:
            self.pen.line(line, fill=LIGHT, width=width + 2 * casing, joint="curve")
        self.pen.line(line, fill=DARK, width=width, joint="curve")

    def words(self, across: float, along: float, text: str, fill: str | Rgb = DARK) -> None:
        """Words around a point."""
        self.pen.text(self.xy(across, along), text, fill=fill, font=font_of(TEXT_PX), anchor="mm")


def plan_picture(plan: Plan, *, units: Units = Units.IN) -> Picture:
    """Draw the plans of both directions.

    Parameters
    ----------
    plan
        What is cut from a piece.
    units
        The unit that widths are written in.

    Returns
    -------
    ndarray of uint8, shape (M, N, 3)
        sRGB.
    """
    from PIL import Image

    drawn = [Image.fromarray(_drawn(way, units)) for way in plan.ways]
    size = max(each.width for each in drawn), sum(each.height for each in drawn)
    sheet = Image.new("RGB", size, PAPER)
    top = 0
    for each in drawn:
        sheet.paste(each, (0, top))
        top += each.height
    return np.asarray(sheet)


def _drawn(way: WayPlan, units: Units) -> Picture:
    """The piece for one direction, row by row, under its heading and above its piles."""
    from PIL import Image, ImageDraw

    upright = way.direction is Direction.UP
    rows = _rows(way)
    beside_px = LINE_PX if upright else _widest(["9 31/32 in"]) + 8
    deep_px = 3.5 * beside_px + CLOTH_PX + STRIP_PX
    across_px = int(max(end - start for start, end in rows) * PX_PER_MM)
    heading = (
        f"Strips running {way.direction.spoken}, from a piece {on_ruler(way.width_mm, units)} "
        f"across and {on_ruler(way.length_mm, units)} along them"
    )
    piles = [(_pile_words(pile), pile.reads.hex) for pile in way.piles]
    notes = ["Widths are to scale; the strips are drawn shorter than they are."]
    head_px = int(1.6 * HEAD_PX + LINE_PX)
    body = (
        (across_px, int(deep_px) * len(rows)) if upright else (int(deep_px) * len(rows), across_px)
    )
    widths = [
        body[0],
        text_width_px(heading, HEAD_PX),
        _widest(notes),
        _widest([w for w, _ in piles]) + 44,
    ]
    image = Image.new(
        "RGB",
        (
            int(max(widths)) + 2 * MARGIN_PX,
            2 * MARGIN_PX + head_px + body[1] + LINE_PX * (len(piles) + 1),
        ),
        PAPER,
    )
    pen = ImageDraw.Draw(image)
    pen.text((MARGIN_PX, MARGIN_PX), heading, fill=DARK, font=font_of(HEAD_PX))
    pen.text((MARGIN_PX, MARGIN_PX + 1.5 * HEAD_PX), notes[0], fill=DARK, font=font_of(TEXT_PX))
    for number, row in enumerate(rows):
        shift = number * deep_px
        corner = (
            MARGIN_PX + (0 if upright else shift),
            MARGIN_PX + head_px + (shift if upright else 0),
        )
        _draw_row(_Sheet(pen, way.direction, corner), way, row, beside_px, units)
    top = MARGIN_PX + head_px + body[1] + LINE_PX / 2
    for words, colour in piles:
        pen.rectangle((MARGIN_PX, top, MARGIN_PX + 32, top + 16), fill=colour, outline=DARK)
        pen.text((MARGIN_PX + 44, top + 8), words, fill=DARK, font=font_of(TEXT_PX), anchor="lm")
        top += LINE_PX
    return np.asarray(image)


def _draw_row(
    sheet: _Sheet, way: WayPlan, row: tuple[float, float], beside_px: float, units: Units
) -> None:
    """A part of the piece: ids, cloth, tears and cuts, strips, widths of what is blank."""
    start_mm, end_mm = row
    reach_px = (end_mm - start_mm) * PX_PER_MM
    cloth = (beside_px, beside_px + CLOTH_PX)
    strips = (cloth[1] + beside_px, cloth[1] + beside_px + STRIP_PX)

    drawn = (strips[0], strips[1] + 2 * JAG_PX)  # as far as the zigzag reaches

    def px(at_mm: float) -> float:
        return min(max((at_mm - start_mm) * PX_PER_MM, 0.0), reach_px)

    ids: list[tuple[float, str]] = []
    for each in way.stretch.bands:
        if each.end_mm > start_mm and each.start_mm < end_mm:
            span = px(each.start_mm), px(each.end_mm)
            sheet.box(span, cloth, each.band.reads.hex)
            ids.append((sum(span) / 2, each.band.id))
    _spread_words(sheet, ids, beside_px / 2, reach_px)
    made: list[tuple[float, str]] = []
    for run in way.runs:
        at_px = px(run.place.at_mm)
        if run.edge is not EdgeKind.AS_IT_IS and start_mm <= run.place.at_mm < end_mm:
            torn = run.edge is EdgeKind.TORN
            straight = [(at_px, cloth[0]), (at_px, cloth[1])]
            sheet.line(_jagged(at_px, cloth) if torn else straight, casing=2)
            made.append((at_px, "tear" if torn else "cut"))
    _spread_words(sheet, made, cloth[1] + beside_px / 2, reach_px)
    blanks = [
        (low_mm, high_mm)
        for low_mm, high_mm in _blanks(way)
        if low_mm < end_mm and high_mm > start_mm and not is_nought(high_mm - low_mm, units)
    ]
    for low_mm, high_mm in blanks:
        sheet.box((px(low_mm), px(high_mm)), drawn, BLANK)
    for strip in way.strips:
        if strip.end_mm > start_mm and strip.start_mm < end_mm:
            span = px(strip.start_mm), px(strip.end_mm)
            sheet.box(span, drawn, strip.reads.hex, PAPER)
            ink = "#ffffff" if strip.reads.lab[0] < 55 else DARK
            sheet.words(sum(span) / 2, strips[0] + 20, strip.pile, ink)
    _break_off(sheet, reach_px, strips[1])
    widths = [
        ((px(low_mm) + px(high_mm)) / 2, on_ruler(high_mm - low_mm, units))
        for low_mm, high_mm in blanks
        if high_mm <= end_mm  # one that goes on in the next row has its width there
    ]
    _spread_words(sheet, widths, strips[1] + 0.8 * beside_px, reach_px)


def _rows(way: WayPlan) -> list[tuple[float, float]]:
    """The piece in parts that fit a row, about as long as each other; none ends inside a strip."""
    count = math.ceil(way.width_mm / ROW_MM)
    wanted = [way.width_mm * number / count for number in range(1, count)]
    return list(pairwise([0.0, *(_strip_s_end(way, at_mm) for at_mm in wanted), way.width_mm]))


def _strip_s_end(way: WayPlan, at_mm: float) -> float:
    """Where the strip ends that lies over a place; the place itself where none does."""
    over = (strip.end_mm for strip in way.strips if strip.start_mm < at_mm < strip.end_mm)
    return next(over, at_mm)


def _blanks(way: WayPlan) -> Iterator[tuple[float, float]]:
    """What goes into no strip: from, to, in mm."""
    end_mm = 0.0
    for run in way.runs:
        yield run.place.at_mm - run.blank_mm, run.place.at_mm
        end_mm = run.strips[-1].end_mm
    yield end_mm, way.width_mm


def _jagged(at_px: float, along: tuple[float, float]) -> list[tuple[float, float]]:
    """The line of a tear."""
    steps = np.linspace(along[0], along[1], 13)
    return [(at_px + (JAG_PX if k % 2 else -JAG_PX), step) for k, step in enumerate(steps)]


def _break_off(sheet: _Sheet, reach_px: float, at_px: float) -> None:
    """The zigzag at which strips are broken off, over their ends."""
    count = 2 * max(2, round(reach_px / 40)) + 1
    across = np.linspace(0, reach_px, count)
    points = [(x, at_px + (JAG_PX if k % 2 else -JAG_PX)) for k, x in enumerate(across)]
    below = [(reach_px + 2, at_px + 3 * JAG_PX), (-2, at_px + 3 * JAG_PX), (-2, at_px)]
    sheet.pen.polygon([sheet.xy(*point) for point in [*points, *below]], fill=PAPER)
    sheet.line(points, width=2)


def _spread_words(
    sheet: _Sheet, words: Sequence[tuple[float, str]], along: float, reach_px: float
) -> None:
    """Words beside a row, none on another; where there is no room for all, those that fit."""
    if not words:
        return
    upright = sheet.direction is Direction.UP
    apart = _widest([text for _, text in words]) + 8 if upright else TEXT_PX + 3
    room = int(max(reach_px - apart, 0) // apart) + 1
    shown = words if len(words) <= room else words[:: -(-len(words) // room)]
    places = spread(
        [at for at, _ in shown],
        apart=apart,
        low=min(apart, reach_px) / 2,
        high=max(reach_px - apart / 2, apart / 2),
    )
    for at, (_, text) in zip(places, shown, strict=True):
        sheet.words(float(at), along, text)


def _pile_words(pile: Pile) -> str:
    return f"{pile.letter}   {pile.count} of {pile.cut.label}: {pile.spoken}"


def _widest(lines: Sequence[str]) -> float:
    return max((text_width_px(line, TEXT_PX) for line in lines), default=0.0)
