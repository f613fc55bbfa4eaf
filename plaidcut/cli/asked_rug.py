"""From options on gaps and samples, as they were typed, to what the tasks take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from plaidcut.cli.asked import scale_way, source_of
from plaidcut.cli.asked_cuts import cut_of
from plaidcut.cli.busy import busy
from plaidcut.cli.options import MeasureOptions, PrintedOptions, ScaleOptions, ShelfOptions
from plaidcut.cutting.garment_file import parse_garment
from plaidcut.errors import UsageError
from plaidcut.files import read_text
from plaidcut.photo import load_photo
from plaidcut.rug.answer import Rug
from plaidcut.rug.gaps import Gap, check_inside, gap_between
from plaidcut.rug.needs import Need, Supply
from plaidcut.rug.rug_file import counted_supply, parse_rug
from plaidcut.rug.supply_file import GarmentSupply, garment_of, hooked_of
from plaidcut.rug.typed import one_area, with_left
from plaidcut.scale.ways import take_scale
from plaidcut.settings import Settings
from plaidcut.typed_px import parse_numbers_px
from plaidcut.units import parse_length


def gaps_of(
    width: str | None,
    photo: Path | None,
    points: Sequence[str],
    scale: ScaleOptions,
    printed: PrintedOptions,
) -> list[Gap]:
    """The gaps that were typed or shown on a photo.

    Raises
    ------
    UsageError
        If there is none, or a photo without points or the other way round.
    PlaidcutError
        If the photo has no scale.
    """
    if (photo is None) != (not points):
        msg = "A photo of the pattern needs two points of each gap, and points their photo."
        raise UsageError(msg, hint="Give both: --photo pattern.jpg --gap 120,340,180,345.")
    if photo is None and width is None:
        msg = "There is no gap to fill."
        raise UsageError(msg, hint='Type its width: plaidcut rows "3/4 in".')
    found = [] if width is None else [Gap(width_mm=parse_length(width))]
    if photo is not None:
        picture = load_photo(photo)
        known = take_scale(picture.pixels, scale_way(scale, printed))
        for text in points:
            x1, y1, x2, y2 = parse_numbers_px(text, 4, example="--gap 120,340,180,345")
            check_inside(((x1, y1), (x2, y2)), picture.size_px)
            found.append(gap_between(((x1, y1), (x2, y2)), known))
    return found


def rug_of(
    path: Path | None,
    typed: tuple[str | None, str | None, str | None],
    *,
    hooked: str | None,
    left: Sequence[str],
    settings: Settings,
    shelf: ShelfOptions,
) -> Rug:
    """The rug of a file, its garments measured and counted; or one area that was typed.

    Raises
    ------
    PlaidcutError
        If there is neither or both, or something of it can't be read, measured or planned.
    """
    habits = settings.habits(cut_of(typed[1], settings))
    area, _, wool = typed  # a cut goes with a file too: it is that of areas that name none
    if (path is None) != (area is not None and wool is not None) or (path and (area or wool)):
        msg = "A rug is a file, or one area and the wool for it."
        raise UsageError(msg, hint='Name one: rug.toml, or --area "12 x 12 in" --wool "1 yd".')
    if path is None:
        rug = one_area(str(typed[0]), str(typed[2]), habits)
    else:
        file = parse_rug(read_text(path), file_name=path.name, habits=habits)
        supplies = [
            _measured(supply, file.needs, path.parent, settings, shelf)
            if isinstance(supply, GarmentSupply)
            else supply
            for supply in file.supplies
        ]
        rug = Rug(name=file.name, needs=file.needs, supplies=tuple(supplies), reserve=file.reserve)
    for text in left:
        rug = with_left(rug, text)
    return rug if hooked is None else replace(rug, hooked=hooked_of(hooked))


def _measured(
    supply: GarmentSupply,
    needs: tuple[Need, ...],
    folder: Path,
    settings: Settings,
    shelf: ShelfOptions,
) -> Supply:
    """A garment's strips, counted for what the areas want of it."""
    beside = folder / supply.cloth
    cloth = beside if beside.exists() else Path(supply.cloth)  # which may be a name on the shelf
    source = source_of(cloth, MeasureOptions(), settings, shelf=shelf)
    garment = garment_of(
        supply, lambda name: parse_garment(read_text(folder / name), file_name=name.name)
    )
    with busy(f"Cutting {supply.name} on paper ..."):
        return counted_supply(supply, garment, source.measurement, needs, settings.cuts)
