"""The shelf on the terminal, readable at 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from plaidcut.reports.terminal import heading_of, table_of
from plaidcut.reports.words import KIND_WORDS
from plaidcut.shelved import About, Entry, Failed, Found, FoundCloth, Pieces, Weave
from plaidcut.stripes.measurement import Direction, Kind
from plaidcut.units import Units, on_ruler, ruler_inches

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

ROW_WIDE: Final = 60
"""Characters of a row of bands."""

_WAY: Final = {Direction.UP: "up and down", Direction.ACROSS: "side to side"}

OVERDYED: Final = "It was overdyed since it was measured, so its colours don't count."


def print_shelf(entries: Sequence[Entry], console: Console, *, units: Units) -> None:
    """Write the list of cloths on a console."""
    from rich.text import Text

    if not entries:
        console.print(Text("The shelf is empty."))
        return
    console.print(heading_of(f"{_count(len(entries), 'cloth')} on the shelf"))
    table = table_of("Cloth", "Kind", "How much", "Where")
    for column in table.columns:
        column.no_wrap = False
    for entry in entries:
        table.add_row(
            *(Text(entry.name), entry.kind),
            *(Text(amount_words(entry.about, units)), Text(entry.about.place)),
        )
    console.print(table, highlight=False)


def print_entry(entry: Entry, console: Console, *, units: Units) -> None:
    """Write what is known of one cloth on a console."""
    from rich.text import Text

    console.print(heading_of(entry.name))
    for line in entry_lines(entry, units):
        console.print(Text(line), highlight=False)


def print_removed(entry: Entry, console: Console) -> None:
    """Say that a cloth is gone."""
    from rich.text import Text

    console.print(Text(f'"{entry.name}" is off the shelf.'))


def print_added(
    added: Sequence[str], there: Sequence[str], failed: Sequence[Failed], console: Console
) -> None:
    """Say what came onto the shelf and what didn't."""
    from rich.text import Text

    if added:
        console.print(Text(f"On the shelf now: {', '.join(added)}."))
    if there:
        console.print(Text(f"On the shelf before: {', '.join(there)}."))
    if failed:
        console.print(heading_of(f"Not measured: {_count(len(failed), 'photo')}"))
    for each in failed:
        console.print(Text(f"{each.file}: {each.message}\n  {each.hint}"))
    if not added and not there and not failed:
        console.print(Text("Nothing came onto the shelf."))


def print_checked(
    cloths: int, mended: Sequence[str], left: Sequence[str], console: Console
) -> None:
    """Say what a check has mended, and what it could not."""
    from rich.text import Text

    console.print(Text(f"Looked at {_count(cloths, 'cloth')}."))
    for heading, lines in (("Mended", mended), ("Not to be mended", left)):
        if lines:
            console.print(heading_of(heading))
        for line in lines:
            console.print(Text(f"- {line}"))
    if not mended and not left:
        console.print(Text("All is well."))


def print_found(found: Found, console: Console, *, units: Units) -> None:
    """Write what was found on a console, the best first, each with its row of bands."""
    from rich.text import Text

    if not found.cloths:
        console.print(Text("No cloth on the shelf fits."))
    for each in found.cloths:
        console.print(Text(f"\n{each.entry.name}", style="bold"))
        for line in _found_lines(each):
            console.print(Text(line), highlight=False)
        if console.color_system in {"256", "truecolor"}:  # sixteen colours would mislead
            console.print(row_of(each))
        console.print(Text(_bands_line(each, units)), highlight=False)
    told = len(found.cloths)
    if told and found.count > told:
        console.print(Text(f"\nThe best {told} of {found.count}; more with --most."))
    if found.amount_unknown:
        console.print(
            Text(
                f"\n{_count(found.amount_unknown, 'cloth')} fit but for the amount: how large the "
                "pieces are isn't known. Say so with plaidcut shelf set NAME --pieces."
            )
        )


def cloths_words(number: int) -> str:
    """How many cloths."""
    return _count(number, "cloth")


def row_of(found: FoundCloth) -> Text:
    """The row of bands in the colours that strips read, wide as the bands are."""
    from rich.text import Text

    row = Text()
    whole_mm = sum(band.width_mm for band in found.bands)
    for band in found.bands:
        wide = max(1, round(ROW_WIDE * band.width_mm / whole_mm))
        row.append(" " * wide, style=f"on {band.hex}")
    return row


def amount_words(about: About, units: Units) -> str:
    """How much there is, in words."""
    said = [_pieces_words(each, units) for each in about.pieces]
    if about.garments is not None:
        said.append(_count(about.garments, "garment"))
    if about.weight_g is not None:
        said.append(f"{about.weight_g:.0f} g")
    return ", ".join(said)


def entry_lines(entry: Entry, units: Units) -> Iterator[str]:
    """What is known of a cloth, a line each."""
    about = entry.about
    if about.note:
        yield about.note
    if amount := amount_words(about, units):
        yield f"How much: {amount}."
    if about.place:
        yield f"Where: {about.place}."
    weave = "" if about.weave is Weave.UNKNOWN else about.weave.value
    if made := [each for each in (about.fibre, weave) if each]:
        yield f"Of: {', '.join(made)}."
    if about.washed_on is not None:
        yield f"Washed on {about.washed_on}."
    if about.overdyed_on is not None:
        yield f"Overdyed on {about.overdyed_on}."
    if not entry.colours_hold:
        yield f"{OVERDYED} Measure it anew: plaidcut shelf add PHOTO --again --name NAME."
    yield from _used_lines(about)
    yield f"Measured on {entry.measured_on}, on the shelf since {entry.added_on}."


def _used_lines(about: About) -> Iterator[str]:
    for each in about.taken:
        yield f"Cut on {each.on}: {each.how_much}, for {each.what}."
    for kept in about.reserved:
        much = "all of it" if kept.strips is None else _count(kept.strips, "strip")
        yield f"Kept for {kept.rug}: {much}."


def _found_lines(found: FoundCloth) -> Iterator[str]:
    parts = [KIND_WORDS[Kind(found.entry.kind)].capitalize()]
    if found.entry.about.place:
        parts.append(found.entry.about.place)
    if found.difference is not None:
        parts.append(f"colour {found.difference:.1f} off")
    if found.strips is not None:
        parts.append(f"at least {_count(found.strips, 'strip')}")
    parts += [f"kept for {each.rug}" for each in found.entry.about.reserved]
    yield f"{', '.join(parts)}."
    if not found.entry.colours_hold:
        yield OVERDYED


def _bands_line(found: FoundCloth, units: Units) -> str:
    """The bands in words: those that fit, or all where none was asked for by itself."""
    shown = [band for band in found.bands if band.fits] or list(found.bands)
    bands = ", ".join(f"{b.reads} {on_ruler(b.width_mm, units)} ({b.id})" for b in shown)
    return f"Bands running {_WAY[found.direction]}: {bands}."


def _pieces_words(pieces: Pieces, units: Units) -> str:
    if units is Units.IN:
        size = f"{ruler_inches(pieces.width_mm)} x {ruler_inches(pieces.height_mm)} in"
    else:
        size = f"{pieces.width_mm:.0f} x {pieces.height_mm:.0f} mm"
    return f"{pieces.count} of {size}"


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
