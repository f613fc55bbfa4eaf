"""A sentence on paper with a box before it to tick: drawn, as few fonts have one."""

from __future__ import annotations

from typing import Final

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

SIDE_PT: Final = 7.5
INDENT_PT: Final = 15.0


class Ticked(Paragraph):  # type: ignore[misc] # reportlab is not typed
    """A paragraph that hangs beside its box."""

    boxed = True

    def __init__(self, text: str | None, style: ParagraphStyle, **rest: object) -> None:
        own = ParagraphStyle(f"{style.name}-ticked", style, leftIndent=INDENT_PT)
        super().__init__(text, own, **rest)

    def split(self, width: float, height: float) -> list[Paragraph]:
        """Part it at the foot of a page; only the first part has the box."""
        parts: list[Paragraph] = super().split(width, height)
        for part in parts[1:]:
            part.boxed = False
        return parts

    def draw(self) -> None:
        """Draw the words, and the box with its foot on their first line."""
        super().draw()
        if self.boxed:
            self.canv.setLineWidth(0.7)
            self.canv.rect(0, self.height - self.style.fontSize, SIDE_PT, SIDE_PT)
