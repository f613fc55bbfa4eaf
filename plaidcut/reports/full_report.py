"""The whole report: one content, from which the page and the paper are made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from plaidcut.cutting.both_ways import Plan
from plaidcut.cutting.cuts import Cut
from plaidcut.cutting.yields import StripeYield, Yields
from plaidcut.pictures.annotated import annotated_photo
from plaidcut.pictures.band_row import band_row
from plaidcut.pictures.charts import Bar, Chart, bar_chart
from plaidcut.pictures.ink import Picture
from plaidcut.pictures.laid_straight import Straight, laid_straight
from plaidcut.pictures.plan_picture import plan_picture
from plaidcut.pictures.sorting import sortable
from plaidcut.pictures.strip_cuts import cut_strips
from plaidcut.pictures.swatches import ROUGH, strips_sheet, swatch_sheet
from plaidcut.reports.content import ReportContent, report_content
from plaidcut.reports.plan_content import PlanContent, plan_content
from plaidcut.reports.texture_words import texture_words
from plaidcut.reports.words import run_label
from plaidcut.stripes.measurement import Direction, Measurement
from plaidcut.units import Units

if TYPE_CHECKING:
    from plaidcut.photo import Photo

CHECKLIST: Final = (
    "Washed and dried? Then measured?",
    "Edge torn to a thread?",
    "One test pass cut, and compared with the stripe?",
)
"""What a list of cutting opens with."""

CARE: Final = (
    (
        "Steam: it burns; keep face and hands out of it, and let the iron's maker's instructions "
        "go before anything said here."
    ),
    (
        "Dyes and moth treatments: follow the labels and local rules; ventilate, wear gloves, and "
        "keep pots and tools apart from food."
    ),
)
"""Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figure:
    """A picture with what it shows."""

    name: str
    """Of its file, without the ending."""
    picture: Picture
    caption: str
    alt: str
    """For those who can't see it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FullReport:
    """All that a report says and shows."""

    title: str
    answer: tuple[str, ...]
    """First of all."""
    figures: tuple[Figure, ...]
    content: ReportContent
    plan: PlanContent
    checklist: tuple[str, ...]
    care: tuple[str, ...]
    made: str
    """When it was made, as given; nothing where it wasn't."""


def full_report(
    measurement: Measurement,
    yields: Yields,
    plan: Plan,
    *,
    photo: Photo | None,
    own: Cut,
    units: Units = Units.IN,
    made: str = "",
) -> FullReport:
    """Put everything together.

    Parameters
    ----------
    measurement, yields, plan
        The cloth, its strips in every cut, and the plan of a piece.
    photo
        Its photo; without it there are no pictures of the cloth itself.
    own
        Her cut.
    units
        The unit that lengths are shown in.
    made
        When it was made, as it shall be shown: the same input gives the same report.
    """
    content = report_content(measurement, yields, units=units, own=[own])
    told = plan_content(measurement, plan, units=units)
    return FullReport(
        title=content.title,
        answer=tuple(_answers(measurement, yields, plan)),
        figures=tuple(_figures(measurement, yields, plan, photo=photo, own=own, units=units)),
        content=content,
        plan=told,
        checklist=CHECKLIST,
        care=(*content.safety, *CARE),
        made=made,
    )


def _answers(measurement: Measurement, yields: Yields, plan: Plan) -> list[str]:
    """What she wants to know first."""
    found = []
    for stripe in yields.stripes:
        label = run_label(stripe.bands, measurement.system(stripe.direction))
        if stripe.best_cut is not None:
            found.append(f"{stripe.best_cut.label} is the narrowest cut that keeps {label} whole.")
        else:
            found.append(f"No cut of the table keeps {label} whole.")
    for way in plan.ways:
        strips, whole = len(way.strips), way.score.whole
        found.append(
            f"A piece as planned gives {strips} strips running {way.direction.spoken}"
            + (f", {whole} with a wanted stripe whole." if way.wishes.keep else ".")
        )
    return found


def _figures(
    measurement: Measurement,
    yields: Yields,
    plan: Plan,
    *,
    photo: Photo | None,
    own: Cut,
    units: Units,
) -> list[Figure]:
    found = []
    if photo is not None and measurement.scale is not None:
        found.append(
            Figure(
                name="marked",
                picture=annotated_photo(photo, measurement, units=units),
                caption="The photo with its bands marked.",
                alt="The photo; each band of one repeat has its number, colour and width.",
            )
        )
    found += [
        Figure(
            name="bands",
            picture=band_row(measurement, units=units),
            caption="One repeat in the colours that strips read; a bar stands over bold stripes.",
            alt="Rows of bands in their colours, to scale, over a ruler.",
        ),
        Figure(
            name="plan",
            picture=plan_picture(plan, units=units),
            caption="Where the piece is torn, and the strips that come of it.",
            alt="The piece with its tears, and below it each strip with its pile's letter.",
        ),
    ]
    if photo is not None and measurement.scale is not None:
        found += _of_the_cloth(laid_straight(photo, measurement), yields, own, measurement)
    found += [_yield_chart(stripe, measurement) for stripe in yields.stripes[:1]]
    return found


def _of_the_cloth(
    cloth: Straight, yields: Yields, own: Cut, measurement: Measurement
) -> list[Figure]:
    """Pictures made of the cloth's own pixels."""
    cuts = yields.cuts
    texture = " ".join(texture_words(measurement, yields.texture, own=[own]))
    return [
        Figure(
            name="strips",
            picture=strips_sheet(cloth, own),
            caption=f"The cloth cut into {own.label} strips, with nothing lined up.",
            alt="Strips of the cloth side by side, as they come and sorted from light to dark.",
        ),
        Figure(
            name="hooked",
            picture=swatch_sheet(cloth, cuts),
            caption=f"Roughly what they look like hooked. {ROUGH}",
            alt="Swatches of loops in straight rows and in a spiral, for all cuts and both ways.",
        ),
        Figure(
            name="sorting",
            picture=bar_chart(_sorting_chart(cloth, cuts)),
            caption="Can I sort them? How much of the colours' variation lies between strips. "
            + texture,
            alt="For each cut and direction a bar: high, strips can be sorted by colour.",
        ),
    ]


def _sorting_chart(cloth: Straight, cuts: Sequence[Cut]) -> Chart:
    laid = {Direction.UP: cloth, Direction.ACROSS: cloth.turned()}
    bars = []
    for cut in cuts:
        for series, (_, each) in enumerate(laid.items()):
            found = sortable(cut_strips(each, cut.width_mm))
            if found is not None:
                words = f"{100 * found.share:.0f} %: {found.spoken}"
                bars.append(Bar(label=cut.label, value=found.share, words=words, series=series))
    return Chart(
        heading="Can I sort the strips by colour?",
        bars=tuple(bars),
        most=1.0,
        series=tuple(f"running {direction.spoken}" for direction in laid),
    )


def _yield_chart(stripe: StripeYield, measurement: Measurement) -> Figure:
    label = run_label(stripe.bands, measurement.system(stripe.direction))
    bars = tuple(
        Bar(
            label=each.cut.label,
            value=each.whole_per_repeat or 0.0,
            words=f"{each.whole_per_repeat or 0:.2g} whole a repeat, {each.state.value}",
        )
        for each in stripe.cuts
    )
    most = max((bar.value for bar in bars), default=1.0) or 1.0
    return Figure(
        name="yield",
        picture=bar_chart(Chart(heading=f"Strips that keep {label} whole", bars=bars, most=most)),
        caption="How many strips of each cut keep the stripe whole in one repeat.",
        alt="A bar for each cut: how many strips a repeat keep the stripe whole.",
    )
