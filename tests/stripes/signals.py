"""Synthetic signals and profiles: stripes seen through a Gaussian blur, with noise."""

import numpy as np
from scipy.special import ndtr

from plaidcut.stripes.profile import Profile
from plaidcut.stripes.segment import Signal

INK = {
    "K": (0.012, 0.012, 0.014),
    "R": (0.36, 0.025, 0.035),
    "Y": (0.66, 0.44, 0.05),
    "B": (0.02, 0.05, 0.16),
    "G": (0.03, 0.13, 0.045),
    "W": (0.72, 0.68, 0.58),
    "N": (0.18, 0.17, 0.155),
    "T": (0.10, 0.05, 0.025),
}
"""Invented yarns, linear light: black, red, yellow, blue, green, white, grey, brown."""
DARK_CROSSING = np.array([0.006, 0.006, 0.007])


def bands(text, pitch_mm=1.0):
    """Letters and widths in millimetres of ``K4 R24``, each number times ``pitch_mm``."""
    words = text.split()
    return "".join(w[0] for w in words), np.array([float(w[1:]) * pitch_mm for w in words])


def light(at_mm, letters, widths_mm, blur_mm, *, circular):
    """Shares (N, 3) of bands at positions (N,); once, or again and again."""
    colours = np.array([INK[c] for c in letters]) / 2
    bounds = np.concatenate([[0.0], np.cumsum(widths_mm)])
    total = np.zeros((len(at_mm), 3))
    length = bounds[-1]
    turns = range(int(at_mm.min() // length) - 1, int(at_mm.max() // length) + 2)
    for turn in turns if circular else (0,):
        for k, colour in enumerate(colours):
            first, last = bounds[k] + turn * length, bounds[k + 1] + turn * length
            rise = ndtr((at_mm - first) / blur_mm) if circular or k else 1.0
            fall = ndtr((at_mm - last) / blur_mm) if circular or k < len(colours) - 1 else 0.0
            total += np.multiply.outer(rise - fall, colour)
    return total


def signal(
    text, *, step_mm=0.1, blur_mm=0.3, offset_mm=0.0, circular=True, noise=0.0, seed=0, pitch_mm=1.0
):
    """A signal of bands; ``noise`` is relative, one draw for each sample."""
    letters, widths = bands(text, pitch_mm)
    if circular:
        count = round(widths.sum() / step_mm)
        step_mm = widths.sum() / count
    else:
        count = int(widths.sum() / step_mm)
    at = step_mm * np.arange(count) - offset_mm
    share = light(at, letters, widths, blur_mm, circular=circular)
    draw = np.random.default_rng(seed).standard_normal((count, 1))
    return Signal(
        step_mm=step_mm,
        share=share * (1 + noise * draw),
        crossing=DARK_CROSSING,
        noise=np.full(count, 100 * noise / 3),
        circular=circular,
    )


def profile(
    text, length_mm, *, step_mm=0.2, blur_mm=0.3, start_mm=0.0, noise=0.0, drift=0.0, seed=0,
    pitch_mm=1.0,
):  # fmt: skip
    """A profile of bands repeated over ``length_mm``, its scale drifting by ``drift``, relative.

    The drift is a parabola: its scale is right in the middle and off by ``drift`` at the ends.
    """
    letters, widths = bands(text, pitch_mm)
    at = start_mm + step_mm * np.arange(round(length_mm / step_mm))
    unit = 2 * (at - start_mm) / length_mm - 1
    moved = at + drift * length_mm / 2 * (unit**3 - unit) / 2
    share = light(moved, letters, widths, blur_mm, circular=True)
    rng = np.random.default_rng(seed)
    share = share * (1 + noise * rng.standard_normal((len(at), 1)))
    return Profile(
        start_mm=start_mm,
        step_mm=step_mm,
        share=share,
        crossing=DARK_CROSSING,
        seen=np.ones(len(at), bool),
        along_mm=np.full(len(at), 150.0),
    )
