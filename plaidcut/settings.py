"""The user's settings: one small TOML file, never required.

Nothing here reads the file: the command line does, and hands its text over.
No stage knows of settings either; what they need is passed to them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from plaidcut.cutting.aims import ORDER, parse_order
from plaidcut.cutting.cuts import Cut, CutTable, Numbering, check_cut_width, cut_table, parse_cut
from plaidcut.cutting.handling import LEAST_TEAR_MM, LEAST_TRIM_MM, Handling
from plaidcut.cutting.plan import Planning
from plaidcut.cutting.yields import WANDER_TORN_MM
from plaidcut.errors import NotFound, UsageError
from plaidcut.photo import MAX_MEGAPIXELS
from plaidcut.rug.coverage import MULTIPLIER_RANGE
from plaidcut.rug.rows import ROWS_RANGE
from plaidcut.rug.supply_file import Habits
from plaidcut.stripes.measure import NARROWEST_MM
from plaidcut.tables import above_zero, count_of, length_of, length_or_zero_of, one_of, read_toml
from plaidcut.units import Units, parse_length, ruler_step_mm

USUAL_CUT: Final = "8"
"""The most used cut (trade pages)."""

_HINT: Final = "Mend the file, or take it away: plaidcut works without one."


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a user would otherwise type again and again."""

    units: Units = Units.IN
    """The unit that lengths are shown in."""
    cut: Cut | None = None
    """Her cut: answers begin with it."""
    narrowest_mm: float = NARROWEST_MM
    """Bands narrower than this aren't looked for."""
    wander_mm: float = WANDER_TORN_MM
    """How far an edge may stray from where it was aimed."""
    least_trim_mm: float = LEAST_TRIM_MM
    """The least that ruler and rotary cutter trim off."""
    least_tear_mm: float = LEAST_TEAR_MM
    """The narrowest piece that tears off cleanly."""
    max_megapixels: float = MAX_MEGAPIXELS
    """Larger pictures are refused."""
    cuts: CutTable = field(default_factory=cut_table)
    """The cuts that there are."""
    own_widths_mm: Mapping[str, float] = field(default_factory=dict, compare=False)
    """What her own cutter cuts, by cut; in the table of cuts already."""
    coverage: Mapping[str, float] = field(default_factory=dict)
    """Her own wool over hooked area, by cut."""
    rows_per_inch: Mapping[str, float] = field(default_factory=dict)
    """Her own rows to the inch, by cut."""

    @property
    def own_cut(self) -> Cut:
        """Her cut, or the most used where she has none."""
        return self.cut or parse_cut(USUAL_CUT, self.cuts)

    def cuts_beside(self, own: Cut) -> tuple[Cut, ...]:
        """A cut, and those next to it in the table."""
        narrower = [cut for cut in self.cuts.cuts if cut.width_mm < own.width_mm]
        wider = [cut for cut in self.cuts.cuts if cut.width_mm > own.width_mm]
        return (own, *narrower[-1:], *wider[:1])

    def planning(
        self,
        *,
        by_eye: bool = False,
        wander: str | None = None,
        least_trim: str | None = None,
        least_tear: str | None = None,
        order: str | None = None,
    ) -> Planning:
        """How plans are looked for: as typed, else as her settings say.

        Raises
        ------
        UsageError, BadLength
            If something can't be read.
        """
        handling = Handling(
            by_eye=by_eye,
            wander_mm=_or_setting(wander, self.wander_mm),
            least_trim_mm=_or_setting(least_trim, self.least_trim_mm),
            least_tear_mm=_or_setting(least_tear, self.least_tear_mm),
        )
        return Planning(
            handling=handling,
            order=ORDER if order is None else parse_order(order),
            step_mm=ruler_step_mm(self.units),
        )

    def habits(self, cut: Cut) -> Habits:
        """What bears on a rug whose areas take a cut unless they name another."""
        return Habits(
            cut=cut,
            table=self.cuts,
            coverage=self.coverage,
            rows_per_inch=self.rows_per_inch,
        )


def _or_setting(typed: str | None, setting_mm: float) -> float:
    return setting_mm if typed is None else parse_length(typed, zero=True)


def settings_path() -> Path:
    """Where the settings file is, if there is one: the platform's usual place.

    Raises
    ------
    NotFound
        If there is no home folder.
    """
    import platformdirs

    try:
        return platformdirs.user_config_path("plaidcut", appauthor=False) / "settings.toml"
    except (RuntimeError, OSError) as error:
        msg = "There is no home folder to look for settings in."
        raise NotFound(msg, hint="Name the file with --settings FILE.") from error


def parse_settings(text: str, *, file_name: str) -> Settings:
    """Read settings from the text of their file; what it leaves out stays as always.

    Parameters
    ----------
    text
        TOML, as ``docs/reference/settings.md`` describes it.
    file_name
        What errors call the file.

    Raises
    ------
    FileTrouble
        If it isn't TOML, or a field is unknown or can't be what it is set to.
    """
    read = read_toml(text, file_name=file_name, hint=_HINT)
    read.check_names(
        "units",
        "cut",
        "narrowest",
        "wander",
        "least_trim",
        "least_tear",
        "max_megapixels",
        "cuts",
        "coverage",
        "rows_per_inch",
    )
    coverage, rows = read.table("coverage"), read.table("rows_per_inch")
    own = read.table("cuts")
    own.check_names("numbering", "widths", "per_pass")
    widths, per_pass = own.table("widths"), own.table("per_pass")
    own_mm = {name: widths.required(name, _cut_width) for name in widths.values}
    cuts = cut_table(
        own.field("numbering", one_of(Numbering), Numbering.STEPPED),
        own_mm,
        {name: per_pass.field(name, count_of, 0) for name in per_pass.values},
    )
    known = {cut.name for cut in cuts.cuts}
    for table in (coverage, rows, per_pass):
        for name in table.values:
            if name not in known:
                msg = f'there is no cut called "{name}".'
                hint = "Write its number alone, or give its width under [cuts.widths]."
                raise table.fault(name, UsageError(msg, hint=hint))
    return Settings(
        units=read.field("units", one_of(Units), Units.IN),
        cut=read.field("cut", lambda value: parse_cut(str(value), cuts), None),
        narrowest_mm=read.field("narrowest", length_of, NARROWEST_MM),
        wander_mm=read.field("wander", length_or_zero_of, WANDER_TORN_MM),
        least_trim_mm=read.field("least_trim", length_or_zero_of, LEAST_TRIM_MM),
        least_tear_mm=read.field("least_tear", length_or_zero_of, LEAST_TEAR_MM),
        max_megapixels=read.field("max_megapixels", above_zero, MAX_MEGAPIXELS),
        cuts=cuts,
        own_widths_mm=own_mm,
        coverage={name: coverage.required(name, _multiplier) for name in coverage.values},
        rows_per_inch={name: rows.required(name, _rows_per_inch) for name in rows.values},
    )


def with_setting(text: str, path: Sequence[str], value: str | float | None) -> str:
    """The text of a settings file with one field changed; all else stays as it was.

    Parameters
    ----------
    text
        The file as it is, valid; empty where there is none.
    path
        The tables that it lies in, and its name: ``("cuts", "widths", "8")``.
    value
        What it is set to; None takes it out.
    """
    import tomlkit

    document = tomlkit.parse(text)
    *tables, name = path
    table: Any = document
    for each in tables:
        table = table.setdefault(each, tomlkit.table())
    if value is None:
        table.pop(name, None)
    else:
        table[name] = value
    return tomlkit.dumps(document)


def _multiplier(value: object) -> float:
    """Read wool over hooked area."""
    return _between(above_zero(value), *MULTIPLIER_RANGE)


def _rows_per_inch(value: object) -> float:
    """Read rows to the inch."""
    return _between(above_zero(value), *ROWS_RANGE)


def _between(figure: float, low: float, high: float) -> float:
    if not low <= figure <= high:
        msg = f"it must be from {low:g} to {high:g}, not {figure:g}."
        raise UsageError(msg)
    return figure


def _cut_width(value: object) -> float:
    """Read the width of a cut."""
    width_mm = length_of(value)
    check_cut_width(width_mm, str(value))
    return width_mm
