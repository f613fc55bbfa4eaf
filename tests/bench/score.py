"""Holding a measurement against the truth that lies beside a photo.

A true band is *found* when a whole measured band lies where it does: both edges and the
width within reach of the true ones, in the best of all placings of the measured bands
on the true repeat, turned round or not. A measured band that is no true one is
*invented*. So a band measured as two halves is one missed and two invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from plaidcut.stripes.measurement import Band, ThreadSystem

Floats = NDArray[np.float64]

EDGE_REACH_MM: Final = 0.6
"""An edge is found when it is measured within this distance of the true one ..."""
EDGE_REACH_SHARE: Final = 0.012
"""... and this share of the repeat, since a wrong scale adds up along it."""
WIDTH_REACH_SHARE: Final = 0.25
"""A band wider or narrower by more than this share (and by more than the reach of an
edge) is another band."""
COLOUR_WEIGHT: Final = 0.02
"""Millimetres of misplacement that one CIE L*a*b* unit counts for in choosing the match."""
COLOUR_OF_A_MISS: Final = 50.0
"""Difference of colour that a band counts with where it matches none."""
MISS_COST_MM: Final = 5.0
"""Misplacement that a band counts for which is missed or invented."""
STRETCHES: Final = (0.99, 0.995, 1.0, 1.005, 1.01)
"""Tried where no repeat was found: over many repeats a scale error adds up."""
CUTS_MM: Final = tuple(n * 25.4 / 32 for n in (3, 4, 5, 6, 7, 8, 10))
"""Widths of the cuts that strips are counted for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemScore:
    """One thread system held against its truth."""

    true_bands: int
    found: int
    invented: int
    width_error_mm: tuple[float, ...] = ()
    """Measured less true, of each band found."""
    stated_std_mm: tuple[float, ...] = ()
    """What the measurement says of these errors."""
    print_std_mm: tuple[float, ...] = ()
    """The part of it that allows for a printer's error: rendered cards have none."""
    colour_difference: tuple[float, ...] = ()
    """CIEDE2000 between the measured yarn and the true one."""
    repeat_error: float | None = None
    """Relative; None where there is no repeat in truth; 1 where it was missed."""
    cells: int = 0
    """Bands times cuts, and for how many of them the count of strips is right."""
    cells_right: int = 0
    mirror_right: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoScore:
    """One photo's outcome."""

    name: str
    outcome: str
    """``measured``, or the code of the refusal."""
    expected: str
    """``ok`` or ``refuse``."""
    accept: tuple[str, ...] = ()
    """The codes of a right refusal; none means any."""
    true_bands: int = 0
    systems: tuple[SystemScore, ...] = ()
    """Empty where it was refused."""
    scale_error: float | None = None
    """Relative, at the picture's centre."""
    white_known: bool = False
    """Whether the printed card lies in the picture, by which colours are judged."""
    seconds: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def right(self) -> bool:
        """Whether it was measured or refused as it should be."""
        if self.expected == "ok":
            return self.outcome == "measured"
        return self.outcome != "measured" and (not self.accept or self.outcome in self.accept)

    @property
    def missed_or_wrong(self) -> int:
        """Bands missed and bands invented; all are missed where it was refused."""
        if not self.systems:
            return self.true_bands
        return sum(s.true_bands - s.found + s.invented for s in self.systems)


def score_systems(
    systems: Sequence[ThreadSystem], truth: dict[str, Any], *, print_std: float = 0.0
) -> tuple[SystemScore, ...]:
    """Pair each measured system with the true one that runs its way, and score both.

    ``print_std`` is the relative uncertainty that was allowed for the card's print.
    """
    true_systems = [truth["warp"], truth["weft"]]
    up = systems[0].angle_px_deg
    if up is None:
        up = 90.0
    away = [abs((t["angle_px_deg"] - up + 90) % 180 - 90) for t in true_systems]
    order = (0, 1) if away[0] <= away[1] else (1, 0)
    pairs = zip(systems, (true_systems[k] for k in order), strict=True)
    return tuple(_score(system, true, print_std) for system, true in pairs)


def _score(system: ThreadSystem, true: dict[str, Any], print_std: float) -> SystemScore:
    true_width = np.array([b["width_mm"] for b in true["bands"]])
    true_lab = np.array([b["lab"] for b in true["bands"]])
    if true["repeat_mm"] is None:
        return _score_plain(system, true_lab[0])
    whole = [b for b in system.bands if not b.partial]
    match = _best_match(whole, true_width, true_lab, folded=system.repeat_mm is not None)
    pairs = [(whole[k], int(t)) for k, t in enumerate(match) if t >= 0]
    cells = [(b.width_mm, true_width[t], cut) for b, t in pairs for cut in CUTS_MM]
    right = sum(_count(width, cut) == _count(real, cut) for width, real, cut in cells)
    seen = sum(b.width_mm for b in whole) / true["repeat_mm"]
    repeats = max(1.0, seen) if system.repeat_mm is None else 1.0
    missed = system.repeat_mm is None
    return SystemScore(
        true_bands=len(true_width),
        found=len({t for _, t in pairs}),
        invented=round(int(np.sum(match < 0)) / repeats),
        width_error_mm=tuple(b.width_mm - true_width[t] for b, t in pairs),
        stated_std_mm=tuple(b.width_std_mm for b, _ in pairs),
        print_std_mm=tuple(print_std * b.width_mm for b, _ in pairs),
        colour_difference=tuple(_ciede2000(b.yarn.lab, true_lab[t]) for b, t in pairs),
        repeat_error=1.0 if missed else abs(system.repeat_mm / true["repeat_mm"] - 1),
        cells=len(true_width) * len(CUTS_MM),
        cells_right=round(right * min(1.0, len(true_width) / max(len(pairs), 1))),
        mirror_right=system.mirrored == true["mirrored"],
    )


def _score_plain(system: ThreadSystem, true_lab: Floats) -> SystemScore:
    """Score a system without stripes: it should have one band, whose width means nothing."""
    one = len(system.bands) == 1
    colour = (_ciede2000(system.bands[0].yarn.lab, true_lab),) if one else ()
    return SystemScore(
        true_bands=1, found=int(one), invented=len(system.bands) - 1, colour_difference=colour
    )


def _ciede2000(lab: Any, other: Any) -> float:
    from skimage.color import deltaE_ciede2000

    return float(deltaE_ciede2000(np.asarray(lab, float), np.asarray(other, float)))


def _count(width_mm: float, cut_mm: float) -> int:
    """Strips across a band: the outer two may reach over by an eighth, or 1/32 in, in all.

    Written anew here, so that a mistake in plaidcut's own counting can't hide itself.
    """
    reach = min(cut_mm / 8, 25.4 / 32)
    return int(np.floor((width_mm + reach + 1e-6) / cut_mm))


def _best_match(
    bands: Sequence[Band], true_width: Floats, true_lab: Floats, *, folded: bool
) -> NDArray[np.int_]:
    """For each measured band the index of the true one, or -1: the best of all placings."""
    if not bands:
        return np.empty(0, int)
    width = np.array([b.width_mm for b in bands])
    lab = np.array([b.yarn.lab for b in bands])
    best: tuple[float, NDArray[np.int_]] | None = None
    for turn in (1, -1):
        for stretch in (1.0,) if folded else STRETCHES:
            for start in range(len(true_width)):
                for anchor in range(min(len(width), 2 * len(true_width))):
                    cost, match = _place(
                        width[::turn] * stretch,
                        lab[::turn],
                        true_width,
                        true_lab,
                        start=start,
                        anchor=anchor,
                    )
                    if best is None or cost < best[0]:
                        best = (cost, match[::turn])
    assert best is not None
    return best[1]


def _place(
    width: Floats, lab: Floats, true_width: Floats, true_lab: Floats, *, start: int, anchor: int
) -> tuple[float, NDArray[np.int_]]:
    """Cost and match of one placing: band ``anchor`` begins where true band ``start`` does."""
    repeat = float(true_width.sum())
    true_begin = np.cumsum(true_width) - true_width
    end = np.cumsum(width)
    begin = end - width
    shift = true_begin[start] - begin[anchor]
    begin, end = begin + shift, end + shift
    turns, within = np.divmod((begin + end) / 2, repeat)
    t = np.searchsorted(true_begin, within, side="right") - 1
    edge = true_begin[t] + turns * repeat
    ends = np.abs([begin - edge, end - edge - true_width[t]])
    reach = EDGE_REACH_MM + EDGE_REACH_SHARE * repeat
    allowed = np.clip(WIDTH_REACH_SHARE * true_width[t], EDGE_REACH_MM, reach)
    fits = (ends.max(axis=0) <= reach) & (np.abs(width - true_width[t]) <= allowed)
    colour = np.linalg.norm(lab - true_lab[t], axis=1)
    cost = np.where(
        fits,
        ends.sum(axis=0) + COLOUR_WEIGHT * colour,
        MISS_COST_MM + COLOUR_WEIGHT * COLOUR_OF_A_MISS,
    ).sum()
    missing = len(true_width) - len(np.unique(t[fits]))
    return float(cost + MISS_COST_MM * missing), np.where(fits, t, -1)
