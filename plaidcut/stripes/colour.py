"""Colours as people see and name them (CIE L*a*b*, D65, 2 degree observer)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Colour:
    """One colour: for arithmetic, for show and for speech."""

    lab: tuple[float, float, float]
    """CIE L*a*b*, D65."""
    hex: str
    """sRGB for show, ``#rrggbb``."""
    name: str
    """Everyday name, ISCC-NBS level 2: "reddish brown"."""
    value: str
    """The craft's value: light, medium or dark."""

    @property
    def spoken(self) -> str:
        """Value and name: "dark reddish brown"."""
        return f"{self.value} {self.name}"
