"""Holding a measurement against the truth that lies beside a photo."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from plaidcut.stripes.measurement import Measurement, ThreadSystem

EDGE_REACH_MM = 0.6
"""An edge is found when it is measured within this distance of the true one ..."""
EDGE_REACH_SHARE = 0.012
"""... and this share of the repeat, since a wrong scale adds up along it."""
COLOUR_WEIGHT = 0.02
"""Millimetres of misplacement that one CIE L*a*b* unit counts for in choosing the match."""
CUTS_MM = tuple(n * 25.4 / 32 for n in (3, 4, 5, 6, 7, 8, 10))


@dataclass(frozen=True)
class SystemScore:
    """One thread system held against its truth."""

    true_bands: int
    found: int
    invented: int
    width_error_mm: tuple[float, ...] = ()
    stated_std_mm: tuple[float, ...] = ()
    colour_difference: tuple[float, ...] = ()
    repeat_error: float | None = None
    """Relative; None where there is no repeat in truth; 1 where it was missed."""
    cells: int = 0
    cells_right: int = 0
    mirror_right: bool = True


@dataclass(frozen=True)
class PhotoScore:
    """One photo's outcome."""

    name: str
    outcome: str
    """``measured``, or the code of the refusal."""
    expected: str
    """``ok`` or ``refuse``."""
    accept: tuple[str, ...] = ()
    systems: tuple[SystemScore, ...] = ()
    scale_error: float | None = None
    seconds: float = 0.0
    notes: tuple[str, ...] = field(default=())

    @property
    def right(self) -> bool:
        """Whether it was measured or refused as it should be."""
        if self.expected == "ok":
            return self.outcome == "measured"
        return self.outcome != "measured" and (not self.accept or self.outcome in self.accept)


def score_systems(measured: Measurement, truth: dict[str, Any]) -> tuple[SystemScore, ...]:
    """Pair each measured system with the true one that runs its way, and score both."""
    true_systems = [truth["warp"], truth["weft"]]
    up = measured.up.angle_px_deg
    if up is None:
        up = 90.0
    away = [abs((t["angle_px_deg"] - up + 90) % 180 - 90) for t in true_systems]
    order = (0, 1) if away[0] <= away[1] else (1, 0)
    pairs = zip(measured.systems, (true_systems[k] for k in order), strict=True)
    return tuple(_score(system, true) for system, true in pairs)


def _score(system: ThreadSystem, true: dict[str, Any]) -> SystemScore:
    true_width = np.array([b["width_mm"] for b in true["bands"]])
    true_lab = np.array([b["lab"] for b in true["bands"]])
    if true["repeat_mm"] is None:
        return _score_plain(system, true_width, true_lab)
    match = _best_match(system, true_width, true_lab)
    whole = [b for b in system.bands if not b.partial]
    found = {int(t) for t in match if t >= 0}
    pairs = [(k, int(t)) for k, t in enumerate(match) if t >= 0]
    error = tuple(whole[k].width_mm - true_width[t] for k, t in pairs)
    cells = [(whole[k].width_mm, true_width[t], cut) for k, t in pairs for cut in CUTS_MM]
    right = sum(_count(width, cut) == _count(real, cut) for width, real, cut in cells)
    repeats = 1.0
    if system.repeat_mm is None and whole:
        repeats = max(1.0, sum(b.width_mm for b in whole) / true["repeat_mm"])
    return SystemScore(
        true_bands=len(true_width),
        found=len(found),
        invented=round(int(np.sum(match < 0)) / repeats),
        width_error_mm=error,
        stated_std_mm=tuple(whole[k].width_std_mm for k, _ in pairs),
        colour_difference=tuple(
            _ciede2000(whole[k].yarn.lab, true_lab[t]) for k, t in pairs
        ),
        repeat_error=1.0
        if system.repeat_mm is None
        else abs(system.repeat_mm / true["repeat_mm"] - 1),
        cells=len(true_width) * len(CUTS_MM),
        cells_right=right if len(pairs) <= len(true_width) else round(right * len(true_width) / len(pairs)),
        mirror_right=system.mirrored == true["mirrored"],
    )


def _score_plain(
    system: ThreadSystem, true_width: np.ndarray, true_lab: np.ndarray
) -> SystemScore:
    one = len(system.bands) == 1
    colour = (_ciede2000(system.bands[0].yarn.lab, true_lab[0]),) if one else ()
    return SystemScore(
        true_bands=1, found=int(one), invented=len(system.bands) - 1, colour_difference=colour
    )


def _ciede2000(lab: Any, other: Any) -> float:
    from skimage.color import deltaE_ciede2000

    return float(deltaE_ciede2000(np.asarray(lab, float), np.asarray(other, float)))


def _count(width_mm: float, cut_mm: float) -> int:
    """Strips across a band by design section 6, written anew here."""
    reach = min(cut_mm / 8, 25.4 / 32)
    return int(np.floor((width_mm + reach + 1e-6) / cut_mm))


def _best_match(system: ThreadSystem, true_width: np.ndarray, true_lab: np.ndarray) -> np.ndarray:
    """For each whole measured band the index of the true one, or -1: the best of all placings."""
    whole = [b for b in system.bands if not b.partial]
    if not whole:
        return np.empty(0, int)
    width = np.array([b.width_mm for b in whole])
    lab = np.array([b.yarn.lab for b in whole])
    repeat = float(true_width.sum())
    stretches = (1.0,) if system.repeat_mm is not None else (0.99, 0.995, 1.0, 1.005, 1.01)
    best: tuple[float, np.ndarray] | None = None
    for turn in (1, -1):
        for stretch in stretches:
            for start in range(len(true_width)):
                for anchor in range(min(len(width), 2 * len(true_width))):
                    cost, match = _place(
                        width[::turn] * stretch, lab[::turn], true_width, true_lab, repeat, start, anchor
                    )
                    if best is None or cost < best[0]:
                        best = (cost, match[::turn])
    assert best is not None
    return best[1]


def _place(
    width: np.ndarray,
    lab: np.ndarray,
    true_width: np.ndarray,
    true_lab: np.ndarray,
    repeat: float,
    start: int,
    anchor: int,
) -> tuple[float, np.ndarray]:
    """Cost and match of one placing: band ``anchor`` begins where true band ``start`` does."""
    begin = np.concatenate([[0.0], np.cumsum(width)])
    true_begin = np.cumsum(true_width) - true_width
    begin = begin - begin[anchor] + true_begin[start]
    count = len(true_width)
    reach = EDGE_REACH_MM + EDGE_REACH_SHARE * repeat
    match = np.full(len(width), -1)
    cost = 0.0
    for k in range(len(width)):
        middle = (begin[k] + begin[k + 1]) / 2
        turns, within = divmod(middle, repeat)
        t = int(np.searchsorted(true_begin, within, side="right") - 1)
        edge = true_begin[t] + turns * repeat
        ends = abs(begin[k] - edge), abs(begin[k + 1] - edge - true_width[t])
        apart = abs(width[k] - true_width[t])
        allowed = min(reach, max(EDGE_REACH_MM, 0.25 * true_width[t]))
        if max(ends) <= reach and apart <= allowed:
            match[k] = t % count
            cost += sum(ends) + COLOUR_WEIGHT * float(np.linalg.norm(lab[k] - true_lab[t]))
        else:
            cost += 5.0 + COLOUR_WEIGHT * 50
    missing = count - len({int(t) for t in match if t >= 0})
    return cost + 5.0 * missing, match
