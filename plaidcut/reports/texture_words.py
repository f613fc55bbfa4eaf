"""What each cut makes of a texture, in words with numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.textures import NarrowestCut, StripTones, TextureStrips, TextureWay
from plaidcut.stripes.measurement import Kind, Measurement
from plaidcut.units import MM_PER_INCH

ALL_MIXED: Final = 0.995
"""Share from which a percentage rounds to 100."""

_BANDS: Final = {Kind.HOUNDSTOOTH: "check", Kind.SHEPHERDS_CHECK: "check", Kind.CHECK: "check"}
"""What a band of small checks is called; other cloth has bands."""

_WHY: Final = {
    "plain": "small cuts suit plain cloth",
    "texture": "many plaids, tweeds and herringbones fray when they are cut finer",
    "loose": "loosely woven cloth falls apart in strips under 1/4 in",
    "threads": "a finer one would hold fewer than four threads",
}


def texture_words(
    measurement: Measurement, strips: TextureStrips, *, own: Sequence[Cut] = ()
) -> tuple[str, ...]:
    """Sentences on how strips come out, and on the narrowest cut that will hold.

    Parameters
    ----------
    measurement, strips
        The cloth, and what every cut makes of it.
    own
        Cuts to speak of; else the narrowest and the widest that differ, and #8.
    """
    sentences = []
    if strips.is_texture and strips.ways:
        for way in strips.ways:
            sentences += _way_words(way, own, _BANDS.get(measurement.cloth.kind, "band"))
    elif strips.is_texture and measurement.cloth.strips_differ is not None:
        sentences.append(_no_way_words(measurement))
    return (*sentences, _narrowest_words(strips.narrowest))


def _way_words(way: TextureWay, own: Sequence[Cut], band: str) -> list[str]:
    """A sentence for each cut that is spoken of."""
    spoken = [each for each in way.cuts if each.cut in own]
    if not spoken:
        first_alike = next((each for each in way.cuts if each.alike), None)
        spoken = [each for each in (way.cuts[0], first_alike) if each is not None]
    along = f"Strips running {way.direction.spoken}"
    return [f"{along}: {_cut_words(each, way.band_mm, band)}." for each in dict.fromkeys(spoken)]


def _cut_words(each: StripTones, band_mm: float, band: str) -> str:
    spans = each.cut.width_mm / band_mm
    if spans < 1:
        size = f"a {each.cut.label} is narrower than one {band} ({_both_units(band_mm)})"
    else:
        size = f"a {each.cut.label} spans {spans:.1f} {band}s"
    if each.alike:
        return f"{size}: every strip reads alike, {each.reads.spoken}"
    if each.mixed >= ALL_MIXED:
        between = f"L* {each.darkest:.0f} to {each.lightest:.0f}"
        return f"{size}: every strip is mixed, {each.reads.spoken} ({between})"
    shares = ", ".join(
        f"{100 * share:.0f} % {words}"
        for share, words in (
            (each.light, "come light"),
            (each.mixed, "mixed"),
            (each.dark, "dark"),
        )
        if share >= 0.005
    )
    return f"{size}; of its strips {shares} (L* {each.darkest:.0f} to {each.lightest:.0f})"


def _no_way_words(measurement: Measurement) -> str:
    """Cloth without stripes: how little the direction matters."""
    up, across = measurement.cloth.strips_differ or (0.0, 0.0)
    colour = measurement.up.bands[0].reads.spoken
    what = "This herringbone" if measurement.cloth.kind is Kind.HERRINGBONE else "This cloth"
    differs = f"quarter-inch strips differ in lightness by {up:.1f} of 100 when cut up and down, "
    differs += f"by {across:.1f} when cut from side to side (standard deviation)"
    if max(up, across) <= 2:
        return f"{what} reads {colour} whichever way it is cut: {differs}. Sorting isn't worth it."
    return f"{what} reads {colour}, not quite evenly: {differs}."


def _narrowest_words(narrowest: NarrowestCut) -> str:
    why = _WHY[narrowest.why]
    tug = "Cut one strip and tug it: if it frays or parts, go a cut wider."
    if narrowest.cut is None:
        return f"None of these cuts may hold: {why}; take {_both_units(narrowest.floor_mm)}. {tug}"
    return f"The narrowest cut likely to hold is {narrowest.cut.label}: {why}. {tug}"


def _both_units(width_mm: float) -> str:
    return f"{width_mm:.1f} mm, {width_mm / MM_PER_INCH:.2f} in"
