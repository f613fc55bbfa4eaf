"""Glen checks: stripes of two threads by turns take turns with stripes of four (T13).

Along a line across the threads the shortest period is four threads long in some blocks and eight
in the others. Which one rules is asked of wavelets at every spot.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from plaidcut.stripes.profile import Floats, Profile

PERIODS_MM: Final = np.exp(np.arange(np.log(1.4), np.log(11.0), 0.04))
"""From four of the finest threads to eight of the coarsest (facts section 10), and on."""
TWOS_MM: Final = (1.5, 5.2)
"""Period of two dark threads and two light ones."""
WAVES: Final = 1.1
"""Standard deviation of a wavelet, of its period: about two periods long."""
NEAR: Final = 0.11
"""Share by which a spot's period may differ from its block's."""
LEAST_SHARE: Final = 0.12
"""Each of the two periods rules over this share of the cloth at least (drawn photos: two fours in
a repeat of 36 threads rule over 0.15, as the twos beside them reach into them) ..."""
TOGETHER: Final = 0.7
"""... and both together over this."""
EVEN: Final = (0.3, 0.7)
"""Share that is light: half of a glen check's threads are, of a ground with thin lines most. By
light and not by L*, which makes the light half of a blurred edge the broader one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Glen:
    """Blocks of twos and blocks of fours."""

    thread_mm: float
    """A quarter of the shorter period."""
    together: float
    """Share of the cloth that one of the two periods rules over."""


def glen_blocks(profile: Profile) -> Glen | None:
    """Whether a system's stripes are those of a glen check; None where they aren't."""
    tone = _tones(profile)
    light = (tone + 16) ** 3  # but for a factor, by the definition of L*
    low, high = np.quantile(light, (0.05, 0.95))
    if not EVEN[0] < float((light > (low + high) / 2).mean()) < EVEN[1]:
        return None
    rules = _ruling_period(tone, profile.step_mm)
    if not len(rules):
        return None
    best = None
    for shorter in PERIODS_MM[(TWOS_MM[0] < PERIODS_MM) & (TWOS_MM[1] > PERIODS_MM)]:
        shares = [float((np.abs(np.log(rules / (k * shorter))) < NEAR).mean()) for k in (1, 2)]
        if min(shares) >= LEAST_SHARE and (best is None or sum(shares) > best[0]):
            near = rules[np.abs(np.log(rules / shorter)) < NEAR]
            best = sum(shares), float(np.median(near))
    if best is None or best[0] < TOGETHER:
        return None
    return Glen(thread_mm=best[1] / 4, together=best[0])


def _tones(profile: Profile) -> Floats:
    """L* (N,) along what is surely seen, gaps filled with the mean."""
    first, last = profile.surely_seen
    tone = profile.lab[first : last + 1, 0]
    seen = profile.seen[first : last + 1] & np.isfinite(tone)
    return np.where(seen, tone, tone[seen].mean())


def _ruling_period(tone: Floats, step: float) -> Floats:
    """The period (N,) that is strongest at each spot seen, in mm."""
    from scipy import fft  # scipy.signal would convolve too, but takes a second to load

    longest = PERIODS_MM[-1]
    if len(tone) * step < 6 * longest:
        return np.empty(0)
    stds = WAVES * PERIODS_MM
    size = fft.next_fast_len(len(tone) + int(6 * stds[-1] / step) + 2)
    spectrum = fft.fft(tone - tone.mean(), size)
    strength = []
    for period, std in zip(PERIODS_MM, stds, strict=True):
        at = np.arange(-3 * std, 3 * std + step, step)
        wavelet = np.exp(-0.5 * (at / std) ** 2) * np.exp(2j * np.pi * at / period)
        wavelet -= wavelet.mean()
        turned = fft.ifft(spectrum * fft.fft(wavelet, size))
        middle = (len(wavelet) - 1) // 2
        strength.append(np.abs(turned[middle : middle + len(tone)]) / np.abs(wavelet).sum())
    inside = slice(round(longest / step), -round(longest / step))
    return np.asarray(PERIODS_MM[np.argmax(strength, axis=0)][inside])
