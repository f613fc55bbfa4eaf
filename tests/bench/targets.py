"""What the figures must be, by suite."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Target:
    """A figure, and between which values it must lie."""

    figure: str
    least: float = float("-inf")
    most: float = float("inf")
    about: str = ""
    """Which goal it belongs to, where there are several."""

    def met(self, value: float) -> bool:
        """Whether the figure suffices; one that is unknown doesn't."""
        return self.least <= value <= self.most

    def mark(self, value: float) -> str:
        """``yes`` or ``NO`` with the bounds."""
        bounds = [f">= {self.least:g}" if self.least > float("-inf") else ""]
        bounds += [f"<= {self.most:g}" if self.most < float("inf") else ""]
        words = [self.about, *bounds, "yes" if self.met(value) else "NO"]
        return f"[{' '.join(word for word in words if word)}]"


INTERVALS: Final = Target("95 % intervals that hold, but for print %", least=90, most=98)

EASY: Final = (
    Target("found %", 96, about="first"),
    Target("invented %", most=4, about="first"),
    Target("width error median mm", most=0.10, about="first"),
    Target("width error 95th percentile mm", most=0.35, about="first"),
    Target("repeat error median %", most=0.6, about="first"),
    Target("scale error median %", most=0.4),
    Target("strip counts right %", least=96),
    Target("found %", 99, about="full"),
    Target("invented %", most=1, about="full"),
    Target("width error median mm", most=0.06, about="full"),
    Target("width error 95th percentile mm", most=0.20, about="full"),
    Target("repeat error median %", most=0.25, about="full"),
    Target("to measure: refused %", most=0),
    INTERVALS,
)
"""``first``: flat cloth measured at all; ``full``: as well as it can be."""

HARD: Final = (
    Target("found %", 97),
    Target("invented %", most=4),
    Target("width error median mm", most=0.12),
    Target("width error 95th percentile mm", most=0.35),
    Target("repeat error median %", most=0.5),
    Target("yarn CIEDE2000 median, card", most=5),
    Target("to measure: refused %", most=100 / 12),
    INTERVALS,
)

PHOTOS: Final = (
    *(t for t in HARD if t.figure not in {"yarn CIEDE2000 median, card", "to measure: refused %"}),
    Target("to measure: refused %", most=0),
    Target("to refuse: refused rightly %", least=100),
)
"""Photos with an index card on cloth that lies as it does: the hard suite's figures."""

REJECT: Final = (
    Target("to measure: refused %", most=0),
    Target("to refuse: refused rightly %", least=100),
)

SUITES: Final = {"easy": EASY, "hard": HARD, "reject": REJECT}

TIMES_BETTER: Final = Target("missed or wrong, times", least=3)
"""How many times as many bands the plain pipeline misses or invents, on the hard suite."""

TIMES: Final = Target("times the reference", most=3)
"""Wall time at 12 megapixels, over that of the reference process."""
LARGER: Final = Target("times the first size", most=4)
"""Wall time at 48 megapixels over that at 12."""
MEMORY: Final = Target("bytes a pixel above the imports", most=16)
"""Peak memory at 12 and at 48 megapixels."""
HELP: Final = Target("times the import of typer", most=2)
"""Wall time of ``plaidcut --help``."""
