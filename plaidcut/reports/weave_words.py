"""What was seen of single threads, in words."""

from __future__ import annotations

from typing import Final

from plaidcut.cloth.lattice import Structure
from plaidcut.stripes.finer import out_of_square
from plaidcut.stripes.measurement import Kind, Measurement, ThreadPitch, ValueShares, WeaveRecord
from plaidcut.units import MM_PER_INCH

SQUARE_WITHIN: Final = 0.05
"""Share by which a check may be longer than wide without it being said (chosen here)."""


def weave_words(measurement: Measurement) -> list[str]:
    """Sentences on the threads, on a small check's shape, and on value."""
    cloth, sentences = measurement.cloth, []
    if cloth.weave is not None:
        sentences += _threads(cloth.weave)
    ratio = out_of_square(measurement.up, measurement.across)
    if cloth.kind is Kind.CHECK and ratio is not None and ratio > 1 + SQUARE_WITHIN:
        up_mm, across_mm = measurement.up.repeat_mm or 0.0, measurement.across.repeat_mm or 0.0
        way = "from side to side" if up_mm > across_mm else "up and down"
        sentences.append(
            f"Its checks aren't square: {100 * (ratio - 1):.0f} % longer {way}, so strips of the "
            "two directions give other counts."
        )
    if cloth.values is not None:
        sentences.append(value_words(cloth.values))
    return sentences


def value_words(values: ValueShares) -> str:
    """How much of the cloth is light, medium and dark."""
    shares = [
        f"{100 * share:.0f} % {name}"
        for name, share in (
            ("light", values.light),
            ("medium", values.medium),
            ("dark", values.dark),
        )
        if share >= 0.01
    ]
    return f"By value, thread by thread: {', '.join(shares)}."


def _threads(weave: WeaveRecord) -> list[str]:
    sentences = []
    woven = _woven(weave)
    if weave.up is not None and weave.across is not None:
        counts = f"{_per_inch(weave.up)} threads to the inch side by side running up and down, "
        counts += f"{_per_inch(weave.across)} running from side to side"
        sentences.append(f"{woven}: {counts}." if woven else f"Seen were {counts}.")
    elif woven:
        sentences.append(f"{woven}.")
    if weave.check_threads is not None:
        up, across = weave.check_threads
        threads = f"{up}" if up == across else f"{up} by {across}"
        sentences.append(f"One check is {threads} threads of a colour.")
    if weave.columns is not None:
        width = weave.columns.width_mm
        sentences.append(
            f"Its columns run {weave.columns.along.spoken} and are {width:.1f} mm "
            f"({width / MM_PER_INCH:.2f} in) wide."
        )
    return sentences


def _woven(weave: WeaveRecord) -> str:
    if weave.structure is Structure.PLAIN:
        return "Plain weave"
    if weave.structure is Structure.HERRINGBONE:
        return "A twill that turns round in columns"
    if weave.structure is Structure.TWILL:
        way = "" if weave.twill is None else f" whose lines rise to the {weave.twill.value}"
        return f"A twill{way}"
    return ""


def _per_inch(pitch: ThreadPitch) -> str:
    """Threads to the inch with their ±, which holds 19 times in 20: ``36.2 ± 0.4``."""
    return f"{pitch.per_inch:.1f} ± {2 * pitch.per_inch * pitch.std_mm / pitch.mm:.1f}"
