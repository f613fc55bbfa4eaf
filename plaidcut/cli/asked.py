"""From options as they were typed to what the tasks take."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from plaidcut.cli.busy import busy
from plaidcut.cli.options import (
    AnswerOptions,
    ClothOptions,
    HandOptions,
    MeasureOptions,
    PrintedOptions,
    ScaleOptions,
    ShelfOptions,
)
from plaidcut.errors import NotFound, UsageError
from plaidcut.scale.printing import printed_ratio
from plaidcut.scale.ways import (
    ByCard,
    ByPoints,
    ByRectangle,
    ByRuler,
    Given,
    ScaleWay,
)
from plaidcut.settings import Settings, settings_path
from plaidcut.settings_file import open_settings
from plaidcut.sources import (
    Source,
    Sources,
    is_document,
    open_corrections,
    open_document,
    open_on_shelf,
    with_corrections,
)
from plaidcut.tasks import HowToMeasure, measure_by_hand
from plaidcut.typed_px import parse_numbers_px, parse_points_px
from plaidcut.units import parse_length, parse_size, unit_of

WAYS = "--rectangle, --id1, --ruler, --points or --px-per-mm"


def settings_of(answer: AnswerOptions) -> Settings:
    """The user's settings, with the units that were asked for."""
    try:
        settings = open_settings(answer.settings_file or settings_path())
    except NotFound:
        if answer.settings_file is not None:
            raise
        settings = Settings()
    return replace(settings, units=answer.units) if answer.units else settings


def settings_before(answer: AnswerOptions) -> Settings:
    """The user's settings before something is kept in a file that may not be there yet."""
    if answer.settings_file is not None and not answer.settings_file.exists():
        return replace(Settings(), units=answer.units) if answer.units else Settings()
    return settings_of(answer)


def printed_of(printed: PrintedOptions) -> tuple[float, float]:
    """How large the printer drew the card's page, across and down."""
    if printed.printed_width is None and printed.printed_height is None:
        return (1.0, 1.0)
    if printed.printed_width is None or printed.printed_height is None:
        msg = "Printers can shrink a page more one way than the other."
        raise UsageError(
            msg, hint="Measure a bar across and one down: --printed-width and --printed-height."
        )
    across, down = (
        printed_ratio(parse_length(text), inch_bar=unit_of(text) == "in")
        for text in (printed.printed_width, printed.printed_height)
    )
    return (across, down)


def scale_way(scale: ScaleOptions, printed: PrintedOptions) -> ScaleWay:
    """Where the scale is to be taken from.

    Raises
    ------
    UsageError
        If there are several ways, or half of one.
    """
    ways = (scale.rectangle, scale.id1 or None, scale.ruler, scale.points, scale.px_per_mm)
    if sum(way is not None for way in ways) > 1:
        msg = "The scale can be given in one way only."
        raise UsageError(msg, hint=f"Choose one of {WAYS}.")
    if scale.corners is not None and scale.rectangle is None and not scale.id1:
        msg = "--corners needs the size of the rectangle whose corners they are."
        raise UsageError(msg, hint='Add --rectangle "6 in x 4 in" or --id1.')
    if (scale.points is None) != (scale.apart is None):
        msg = "Two points need their distance, and a distance its two points."
        raise UsageError(msg, hint='Give both: --points 120,340,980,355 --apart "5 in".')
    if scale.rectangle is not None or scale.id1:
        return _rectangle(scale)
    if scale.ruler is not None:
        return ByRuler(unit=scale.ruler)
    if scale.points is not None and scale.apart is not None:
        x1, y1, x2, y2 = parse_numbers_px(scale.points, 4, example="--points 120,340,980,355")
        return ByPoints(points_xy_px=((x1, y1), (x2, y2)), apart_mm=parse_length(scale.apart))
    if scale.px_per_mm is not None:
        return Given(px_per_mm=scale.px_per_mm)
    return ByCard(printed=printed_of(printed))


def _rectangle(scale: ScaleOptions) -> ByRectangle:
    """The rectangle that was asked for."""
    corners = None
    if scale.corners is not None:
        example = "--corners 120,340 980,355 970,900 115,880"
        typed = (parse_numbers_px(text, 2, example=example) for text in scale.corners)
        corners = tuple((x, y) for x, y in typed)
    if scale.rectangle is None:
        return ByRectangle.id1(corners)
    return ByRectangle(size_mm=parse_size(scale.rectangle), corners_xy_px=corners)


def source_of(
    path: Path | None,
    how: MeasureOptions,
    settings: Settings,
    *,
    photo_path: Path | None = None,
    shelf: ShelfOptions | None = None,
) -> Source:
    """Measure the photo, open the document or the shelf, or take the widths typed; and correct it.

    A file of that name goes before a cloth on the shelf, which counts where ``shelf`` is given.

    Raises
    ------
    PlaidcutError
        If there is none of them, or more than one, or it can't be measured or corrected.
    """
    if how.corrections is None:
        return _as_measured(path, how, settings, photo_path, shelf)
    corrections = open_corrections(how.corrections)
    source = _as_measured(path, replace(how, corrections=None), settings, photo_path, shelf)
    return with_corrections(source, corrections, name=how.corrections.name)


def _as_measured(
    path: Path | None,
    how: MeasureOptions,
    settings: Settings,
    photo_path: Path | None,
    shelf: ShelfOptions | None,
) -> Source:
    """Measure the photo, open the document or the shelf, or take the widths that were typed."""
    if how.hand.by_hand is not None:
        return _by_hand(path, how.hand.by_hand, how)
    if how.hand != HandOptions():
        msg = "--across and --mirrored say more about --by-hand, which is missing."
        raise UsageError(msg)
    if path is None:
        msg = "There is no photo to measure."
        raise UsageError(msg, hint='Name its file, or type widths: --by-hand "red 1/2 in, ...".')
    kept = shelf is not None and not _is_there(path)
    if kept or is_document(path):
        if how != MeasureOptions():
            msg = f"{path.name} was measured before; options on how to measure come too late."
            raise UsageError(msg, hint="Leave them out, or give the photo instead.")
        if shelf is not None and kept:
            return _on_shelf(path, shelf, photo_path)
        return open_document(path, photo_path=photo_path)
    if photo_path is not None:
        msg = "--photo belongs to a document; SOURCE is a photo already."
        raise UsageError(msg, hint="Leave it out.")
    measuring = how_to_measure(how, settings)
    with busy(f"Measuring {path.name} ..."):
        return Sources().photo(path, measuring)


def shelf_of(shelf: ShelfOptions) -> Path:
    """Where the shelf is."""
    from plaidcut.shelf.opening import shelf_path

    return shelf.shelf or shelf_path()


def _is_there(path: Path) -> bool:
    """Whether there is a file or folder of that name."""
    try:
        return path.exists()
    except (OSError, ValueError):  # a name with a nought in it, or too long a one
        return False


def _on_shelf(path: Path, shelf: ShelfOptions, photo_path: Path | None) -> Source:
    """The cloth of that name on the shelf."""
    try:
        return open_on_shelf(str(path), shelf_of(shelf), photo_path=photo_path)
    except NotFound as error:
        msg = f'There is no file {path}, and no cloth called "{path}" on the shelf.'
        hint = "Check the name, and that the terminal is in the file's folder. "
        raise NotFound(msg, hint=f"{hint}{error.hint}") from error


def cloth_of(
    path: Path | None, how: MeasureOptions, settings: Settings, shelf: ShelfOptions
) -> Source:
    """The cloth of a garment: measured, opened or typed as by `source_of`."""
    if path is None and how.hand.by_hand is None:
        msg = "It isn't said which cloth the garment is of."
        hint = 'Say --cloth PHOTO, or type its bands; plain wool is --by-hand "grey 1 in".'
        raise UsageError(msg, hint=hint)
    return source_of(path, how, settings, shelf=shelf)


def how_to_measure(how: MeasureOptions, settings: Settings) -> HowToMeasure:
    """What the options say, and the settings where they say nothing."""
    narrowest, most = how.cloth.narrowest, how.cloth.max_megapixels
    outline = how.cloth.outline
    return HowToMeasure(
        scale=scale_way(how.scale, how.printed),
        narrowest_mm=settings.narrowest_mm if narrowest is None else parse_length(narrowest),
        warp=how.cloth.warp,
        washed=how.cloth.washed,
        max_megapixels=settings.max_megapixels if most is None else most,
        outline_xy_px=None
        if outline is None
        else parse_points_px(outline, least=3, example='--outline "90,80 2900,70 2950,2100"'),
    )


def _by_hand(path: Path | None, bands: str, how: MeasureOptions) -> Source:
    """Take the widths that were typed."""
    warp, washed = how.cloth.warp, how.cloth.washed
    heeded = MeasureOptions(cloth=ClothOptions(warp=warp, washed=washed), hand=how.hand)
    if path is not None or how != heeded:
        msg = "--by-hand needs no photo, no scale and no limits."
        raise UsageError(msg, hint="Leave them out, or leave --by-hand out.")
    measurement = measure_by_hand(
        bands, how.hand.across, mirrored=how.hand.mirrored, warp=warp, washed=washed
    )
    return Source(measurement=measurement)
