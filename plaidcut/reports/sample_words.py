"""What a hooked sample says, in words."""

from __future__ import annotations

from plaidcut.reports.lengths_words import area_words
from plaidcut.rug.sample import Sample
from plaidcut.units import MM_PER_INCH, Units


def sample_words(sample: Sample, units: Units) -> str:
    """Her own figure, beside those of others."""
    published = sample.published
    strip_in = sample.multiplier / (sample.cut.width_mm / MM_PER_INCH)
    own = (
        f"You hook with {sample.multiplier:.2f} times as much wool as hooked area: "
        f"{area_words(sample.wool_mm2, units)} of wool in {area_words(sample.hooked_mm2, units)}"
    )
    own += f", {strip_in:.1f} in of {sample.cut.label} strip to the square inch."
    if published.low <= sample.multiplier <= published.high:
        beside = "inside"
    else:
        beside = "below" if sample.multiplier < published.low else "above"
    others = f"{published.low:.2g} to {published.high:.2g} times, by {published.source}"
    return f"{own}\nOthers take {others}; yours lies {beside} that."
