"""The answer to "is it enough?" in words."""

from __future__ import annotations

from collections.abc import Sequence

from plaidcut.cutting.lengths import LIKED_MM
from plaidcut.cutting.yardage import OUNCE_G, WASHED_YARD_MM, washed_piece, weight_of_area
from plaidcut.rug.answer import AreaAnswer, Mend, MendKind, RugAnswer, Verdict
from plaidcut.rug.match import COVERED
from plaidcut.units import Units, on_ruler


def answer_sentence(answer: RugAnswer, units: Units) -> str:
    """The answer first, in one sentence."""
    what = "what is left to hook" if answer.rug.hooked else "the whole rug"
    if answer.verdict is Verdict.ENOUGH:
        return f"Enough: the wool covers {what}, even if you use as much as anybody is known to."
    if answer.verdict is Verdict.PROBABLY:
        return f"Probably: the wool covers {what} if you hook as most do, but not if you pack it."
    if answer.verdict is Verdict.IF_LOW:
        return f"Only if you hook low and loosely: then the wool just covers {what}."
    short = [area for area in answer.areas if area.short_mm > 0]
    missing = "; ".join(_missing(area, units) for area in short)
    return f"Short: {missing}."


def _missing(area: AreaAnswer, units: Units) -> str:
    strips = max(1, round(area.short_mm / LIKED_MM))
    wool = _wool_of(area)
    return (
        f"{area.need.name} lacks about {strips} {area.need.cut.label} "
        f"strip{'s' if strips > 1 else ''} of {on_ruler(LIKED_MM, units)}{wool}"
    )


def _wool_of(area: AreaAnswer) -> str:
    """Which wool it wants."""
    wants = area.need.wants
    what = "-".join(dict.fromkeys((wants.stripe or ("",))[:: max(1, len(wants.stripe) - 1)]))
    what = what or wants.band or (wants.colour.spoken if wants.colour else wants.value or "")
    of = f" of {wants.supply}" if wants.supply else ""
    return f" ({what}{of})" if what else of


def to_buy(area: AreaAnswer, units: Units) -> str:
    """What typical hooking takes of wool, as it is sold: washed, by the yard and by weight."""
    wool_mm2 = area.takes_mm[1] * area.need.cut.width_mm
    low_g, high_g = weight_of_area(wool_mm2)
    weight = (
        f"{low_g / OUNCE_G:.1f} to {high_g / OUNCE_G:.1f} oz"
        if units is Units.IN
        else f"{low_g:.0f} to {high_g:.0f} g"
    )
    piece = washed_piece(wool_mm2)
    if piece is not None:
        return f"{piece} yd of washed wool (32 x 52 in to the yard) holds what is typical, {weight}"
    yards = wool_mm2 / (WASHED_YARD_MM[0] * WASHED_YARD_MM[1])
    return f"typical are {yards:.1f} yd of washed wool (32 x 52 in to the yard), {weight}"


def mend_sentence(mend: Mend) -> str:
    """One way out."""
    if mend.kind is MendKind.NARROWER and mend.cut is not None:
        return f"{mend.need}: cut {mend.cut.label} instead; it is covered then."
    if mend.kind is MendKind.FEWER_ROWS:
        return f"{mend.need}: {mend.rows} rows are covered."
    if mend.kind is MendKind.OTHER_STRIPES:
        of = f" of {mend.supply}" if mend.supply else ""
        return f"{mend.need}: take any strips{of}, not only those you named."
    if mend.kind is MendKind.BLEND:
        share = f"{100 * (mend.share or 0):.0f} %"
        return f"{mend.need}: blend in {share} of {mend.supply}, from the start and evenly."
    return f"{mend.need}: as much again of {mend.supply} would do."


def covered_words(covered: Sequence[float]) -> str:
    """``all``, ``all to 84 %``."""
    words = ["all" if share >= COVERED else f"{100 * share:.0f} %" for share in covered]
    return words[0] if words[0] == words[-1] else f"{words[0]} to {words[-1]}"
