"""The ``plaidcut-yield`` document: strips per band, and the stripe table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Final, Literal

from pydantic import Field

import plaidcut
from plaidcut.cutting.strips import OVERHANG_MOST_MM, OVERHANG_SHARE, StripCount
from plaidcut.cutting.textures import TextureStrips
from plaidcut.cutting.yields import Section, State, StripeCut, StripeYield, Yields
from plaidcut.documents.parts import BandId, MadeBy, NotNegative, Part, Positive, Share
from plaidcut.documents.text import JsonObject, validated
from plaidcut.stripes.corrections import ByHand
from plaidcut.stripes.measurement import Direction

NAME: Final = "plaidcut-yield"
VERSION: Final = 1

Count = Annotated[int, Field(ge=0)]


class OverhangPart(Part):
    """How far the outer strips of a band may reach over its edges, in all."""

    share_of_cut: Share
    most_mm: NotNegative


class CutPart(Part):
    """One cut."""

    cut: str = Field(description="The trade's number, or the width as it was typed.")
    width_mm: Positive


class StripsPart(Part):
    """How many strips of one cut a width of cloth gives. Counts can't be added up."""

    cut: str
    count: Count = Field(description="The most that fit, reaching over by the overhang.")
    low: Count = Field(description="The same with the width less 2 standard uncertainties.")
    high: Count = Field(description="The same with the width and 2 standard uncertainties.")
    sure: Count = Field(description="All inside, however the edge wanders.")
    spare_mm: float = Field(description="Left over; negative where strips reach over.")


class BandPart(Part):
    """The strips of one band; none where its width isn't known or it never ends."""

    system: Direction
    band: BandId
    width_mm: Positive
    strips: list[StripsPart]
    by_hand: list[ByHand] = Field(default=[], description="What of the band a correction has set.")


class StripeCutPart(Part):
    """What one cut makes of a stripe."""

    cut: str
    state: State
    share: Share = Field(description="Part of the strip that is stripe.")
    kept: Share = Field(description="Part of the stripe that one strip holds.")
    margin_mm: float = Field(description="Ground on each side; negative when split.")
    plain_per_repeat: NotNegative | None = Field(description="Null without a repeat.")
    whole_per_repeat: NotNegative | None = Field(
        description="The most strips that each hold it whole; null without a repeat."
    )
    all_stripe: Count = Field(description="Strips that are all stripe, for sure.")


class StripePart(Part):
    """One stripe in every cut."""

    system: Direction
    bands: list[BandId]
    width_mm: Positive
    width_std_mm: NotNegative = Field(default=0.0, description="Standard uncertainty.")
    best_cut: str | None = Field(description="The narrowest cut that keeps it whole.")
    hand_width_mm: Positive | None = Field(
        description="Where no cut does, the width to cut or tear by hand."
    )
    cuts: list[StripeCutPart]


class SectionCutPart(Part):
    """What one cut makes of a section."""

    cut: str
    plain: Count = Field(description="Strips that fit, whatever they hold.")
    whole: Count | None = Field(description="Strips that each hold a stripe whole.")


class SectionPart(Part):
    """A part of the cloth, from one band to another."""

    system: Direction
    bands: list[BandId]
    width_mm: Positive
    stripes: list[list[BandId]] = Field(description="The stripes that lie whole in it.")
    cuts: list[SectionCutPart]


class TonesPart(Part):
    """How strips of one cut come out, wherever the first is cut; the shares add up to 1."""

    cut: str
    light: Share = Field(description="In the third next to the lightest band, by luminance.")
    mixed: Share
    dark: Share = Field(description="In the third next to the darkest band.")
    darkest: float = Field(description="L* of the darkest strip there can be.")
    lightest: float
    alike: bool = Field(description="Whether all of them read alike.")


class TextureWayPart(Part):
    """Strips along one thread direction."""

    system: Direction
    band_mm: Positive = Field(description="Mean width of its bands.")
    cuts: list[TonesPart]


class NarrowestPart(Part):
    """The narrowest cut likely to hold, as advice: cut one and tug it."""

    cut: str | None = Field(description="Null where none of the cuts is so wide.")
    floor_mm: Positive
    why: Literal["plain", "texture", "loose", "threads"]


class TexturePart(Part):
    """What the cuts make of the cloth as a texture."""

    is_texture: bool = Field(
        description="Whether its bands are no wider than cuts are, or it has none."
    )
    ways: list[TextureWayPart] = Field(description="Directions with a repeat.")
    narrowest: NarrowestPart


class YieldDocument(Part):
    """What a cloth yields. Lengths in mm."""

    document: Literal["plaidcut-yield"]
    version: Annotated[int, Field(ge=1)]
    made_by: MadeBy
    wander_mm: NotNegative = Field(description="How far an edge may stray.")
    overhang: OverhangPart
    cuts: list[CutPart] = Field(description="Narrowest first.")
    bands: list[BandPart] = Field(description="Counts are each band's alone.")
    stripes: list[StripePart]
    section: SectionPart | None
    texture: TexturePart | None = None


def to_document(yields: Yields, *, settings: Mapping[str, object] | None = None) -> JsonObject:
    """The document of a cloth's yields; settings as for the measurement's."""
    model = YieldDocument(
        document=NAME,
        version=VERSION,
        made_by=MadeBy(version=plaidcut.__version__, settings=dict(settings or {})),
        wander_mm=yields.wander_mm,
        overhang=OverhangPart(share_of_cut=OVERHANG_SHARE, most_mm=OVERHANG_MOST_MM),
        cuts=[CutPart(cut=cut.name, width_mm=cut.width_mm) for cut in yields.cuts],
        bands=[
            BandPart(
                system=each.direction,
                band=each.band.id,
                width_mm=each.band.width_mm,
                strips=[_strips_part(strip) for strip in each.strips],
                by_hand=list(each.band.by_hand),
            )
            for each in yields.bands
        ],
        stripes=[_stripe_part(stripe) for stripe in yields.stripes],
        section=None if yields.section is None else _section_part(yields.section),
        texture=_texture_part(yields.texture),
    )
    return model.model_dump(mode="json")


def check_document(document: Mapping[str, object]) -> YieldDocument:
    """The document as its model; FileTrouble names the field that is missing or wrong."""
    return validated(YieldDocument, NAME, document)


def _strips_part(strip: StripCount) -> StripsPart:
    return StripsPart(
        cut=strip.cut.name,
        count=strip.count,
        low=strip.low,
        high=strip.high,
        sure=strip.sure,
        spare_mm=strip.spare_mm,
    )


def _stripe_part(stripe: StripeYield) -> StripePart:
    return StripePart(
        system=stripe.direction,
        bands=list(stripe.bands),
        width_mm=stripe.width_mm,
        width_std_mm=stripe.width_std_mm,
        best_cut=None if stripe.best_cut is None else stripe.best_cut.name,
        hand_width_mm=stripe.hand_width_mm,
        cuts=[_stripe_cut_part(each) for each in stripe.cuts],
    )


def _stripe_cut_part(each: StripeCut) -> StripeCutPart:
    return StripeCutPart(
        cut=each.cut.name,
        state=each.state,
        share=each.share,
        kept=each.kept,
        margin_mm=each.margin_mm,
        plain_per_repeat=each.plain_per_repeat,
        whole_per_repeat=each.whole_per_repeat,
        all_stripe=each.all_stripe,
    )


def _texture_part(texture: TextureStrips) -> TexturePart:
    narrowest = texture.narrowest
    return TexturePart.model_validate(
        {
            "is_texture": texture.is_texture,
            "ways": [
                {
                    "system": way.direction,
                    "band_mm": way.band_mm,
                    "cuts": [
                        {
                            "cut": each.cut.name,
                            "light": each.light,
                            "mixed": each.mixed,
                            "dark": each.dark,
                            "darkest": each.darkest,
                            "lightest": each.lightest,
                            "alike": each.alike,
                        }
                        for each in way.cuts
                    ],
                }
                for way in texture.ways
            ],
            "narrowest": {
                "cut": None if narrowest.cut is None else narrowest.cut.name,
                "floor_mm": narrowest.floor_mm,
                "why": narrowest.why,
            },
        }
    )


def _section_part(section: Section) -> SectionPart:
    return SectionPart(
        system=section.direction,
        bands=list(section.bands),
        width_mm=section.width_mm,
        stripes=[list(stripe) for stripe in section.stripes],
        cuts=[
            SectionCutPart(cut=each.strips.cut.name, plain=each.strips.count, whole=each.whole)
            for each in section.cuts
        ],
    )
