"""Finding cloths again: narrowed by the database, compared exactly, the best first."""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass, field, replace
from sqlite3 import Connection
from typing import Final, NamedTuple

import numpy as np

from plaidcut.errors import UsageError
from plaidcut.shelf.near import box_around
from plaidcut.shelf.store import entries
from plaidcut.shelved import BandSeen, Found, FoundCloth, Wanted
from plaidcut.stripes.colour import Colour, difference
from plaidcut.stripes.measurement import Direction
from plaidcut.stripes.runs import TOLERANCE_MM

Fits = dict[int, float]
"""How well cloths fit, by id: 0 is best."""

_IN_BOX: Final = (
    "(lightness BETWEEN :l_low AND :l_high AND a BETWEEN :a_low AND :a_high "
    "AND b BETWEEN :b_low AND :b_high)"
)
_NAMED: Final = "(name = :name AND (:named_value IS NULL OR value = :named_value))"

_SIDE: Final = "CASE direction WHEN 'up' THEN piece.width_mm ELSE piece.height_mm END"

_IN_BAND: Final = f"""SELECT cloth_id, SUM(piece.count * CASE
        WHEN NOT striped THEN CAST(({_SIDE} + :hair) / :cut AS INTEGER)
        WHEN partial OR repeat_mm IS NULL THEN 0
        ELSE MAX(0, CAST(
            (band.width_mm - 2 * width_std_mm - 2 * :wander + :hair) / :cut AS INTEGER))
            * MAX(0, CAST(({_SIDE} - band.width_mm + :hair) / repeat_mm AS INTEGER))
        END)
    FROM band JOIN piece USING (cloth_id)
    WHERE band.rowid IN (SELECT value FROM json_each(:rows)) GROUP BY cloth_id"""  # noqa: S608 -- no words but our own
"""Strips that are nothing but the bands in question. However a piece was torn, it holds each band
whole as often as whole repeats fit into what is left beside one."""

_OF_STRIPE: Final = f"""SELECT cloth_id, SUM(piece.count
        * CASE WHEN :whole THEN 1 ELSE MAX(0, CAST(
            (stripe.width_mm - 2 * width_std_mm - 2 * :wander + :hair) / :cut AS INTEGER)) END
        * CASE WHEN repeat_mm IS NULL THEN 0 ELSE MAX(0, CAST(
            ({_SIDE} - MAX(:whole * :cut, stripe.width_mm) + :hair) / repeat_mm AS INTEGER)) END
        ) AS strips
    FROM stripe JOIN piece USING (cloth_id)
    WHERE stripe.rowid IN (SELECT value FROM json_each(:rows)) GROUP BY cloth_id, stripe.rowid"""  # noqa: S608
"""Strips that keep a stripe whole, one a repeat at least; else strips that are all stripe."""

_PLAIN: Final = """SELECT cloth_id, MAX(
        SUM(count * CAST((width_mm + :hair) / :cut AS INTEGER)),
        SUM(count * CAST((height_mm + :hair) / :cut AS INTEGER)))
    FROM piece GROUP BY cloth_id"""
"""Strips of whatever, cut edge to edge the way that gives more."""


class _Row(NamedTuple):
    """A band or a stripe that answers."""

    off: float
    """How far: CIEDE2000 of a band, share of the tolerance of a stripe's width; else 0."""
    row: int
    direction: str
    bands: tuple[str, ...]


Rows = dict[int, list[_Row]]
"""By cloth."""


@dataclass(slots=True)
class _Seen:
    """Which rows of the cloths answer."""

    bands: Rows = field(default_factory=dict)
    stripes: Rows = field(default_factory=dict)


def find(connection: Connection, wanted: Wanted) -> Found:
    """The cloths that fit, the best first.

    A cloth that was overdyed since it was measured has no colours, so it never answers where a
    colour or a value is asked for.

    Raises
    ------
    UsageError
        If the words have no letters to look for.
    """
    seen = _Seen()
    asked: list[Fits] = []
    if wanted.words is not None:
        asked.append(_by_words(connection, wanted.words))
    if wanted.kind is not None:
        rows = connection.execute("SELECT id FROM cloth WHERE kind = ?", (wanted.kind,))
        asked.append({cloth_id: 0.0 for (cloth_id,) in rows})
    coloured = wanted.lab is not None or wanted.value is not None
    if coloured:
        seen.bands = _by_band(connection, wanted)
        scale = max(wanted.within, TOLERANCE_MM)
        asked.append({key: min(rows).off / scale for key, rows in seen.bands.items()})
    if wanted.width_mm is not None or wanted.keeps_whole_mm is not None:
        seen.stripes = _by_stripe(connection, wanted, seen.bands if coloured else None)
        asked.append({key: min(rows).off for key, rows in seen.stripes.items()})
    fits = _all_of(connection, asked)
    unknown, strips = 0, {}
    if wanted.at_least is not None:
        strips = _strips(connection, wanted, seen)
        unknown = sum(key not in strips for key in fits)
        fits = {key: fit for key, fit in fits.items() if strips.get(key, 0) >= wanted.at_least}
    ordered = _best_first(connection, fits)
    return Found(
        count=len(ordered),
        cloths=tuple(
            replace(_answer(connection, key, seen, wanted), fit=fits[key], strips=strips.get(key))
            for key in ordered[: wanted.most]
        ),
        amount_unknown=unknown,
    )


def _by_words(connection: Connection, words: str) -> Fits:
    """Cloths in whose name, note or place all words begin one."""
    tokens = re.findall(r"\w+", words)
    if not tokens:
        msg = f'"{words}" has no words to look for.'
        raise UsageError(msg)
    query = " ".join(f'"{token}"*' for token in tokens)
    rows = connection.execute("SELECT rowid FROM words WHERE words MATCH ? ORDER BY rank", (query,))
    ids = [cloth_id for (cloth_id,) in rows]
    return {cloth_id: place / len(ids) for place, cloth_id in enumerate(ids)}


def _by_band(connection: Connection, wanted: Wanted) -> Rows:
    """Bands of which strips read as asked for."""
    narrowed, values = "1", _named(wanted)
    if wanted.lab is not None:
        box = box_around(wanted.lab, wanted.within)
        reach = (box.lightness, box.a, box.b)
        for axis, middle, off in zip(("l", "a", "b"), wanted.lab, reach, strict=True):
            values |= {f"{axis}_low": middle - off, f"{axis}_high": middle + off}
        narrowed = f"({_IN_BOX} OR {_NAMED})" if wanted.name is not None else _IN_BOX
    value = "value = :value" if wanted.value is not None else "1"
    rows = connection.execute(
        f"SELECT cloth_id, rowid, direction, band, lightness, a, b, {_NAMED} "  # noqa: S608
        f"FROM band WHERE {narrowed} AND {value} "
        "AND cloth_id NOT IN (SELECT id FROM cloth WHERE NOT colours_hold)",
        values,
    ).fetchall()
    apart = np.zeros(len(rows))
    if wanted.lab is not None and rows:
        apart = difference(np.array([row[4:7] for row in rows]), wanted.lab)
    found: Rows = {}
    for (key, row, direction, band, *_, named), off in zip(rows, apart.tolist(), strict=True):
        if off <= wanted.within or named:
            found.setdefault(key, []).append(_Row(off, row, direction, (band,)))
    return found


def _named(wanted: Wanted) -> dict[str, object]:
    name, value = wanted.name or (None, None)
    return {"name": name, "named_value": value, "value": wanted.value}


def _by_stripe(connection: Connection, wanted: Wanted, bands: Rows | None) -> Rows:
    """Bold stripes as wide as asked for; with one of some bands in them, where there are any."""
    low, high = wanted.width_mm or (0.0, math.inf)
    middle, half = (low + high) / 2, max((high - low) / 2, TOLERANCE_MM)
    rows = connection.execute(
        "SELECT cloth_id, rowid, direction, width_mm, bands FROM stripe "
        "WHERE width_mm BETWEEN :low AND :high "
        "AND (:cut IS NULL OR width_mm + 2 * width_std_mm + 2 * :wander <= :cut + :hair)",
        {
            "low": low - TOLERANCE_MM,
            "high": high + TOLERANCE_MM,
            "cut": wanted.keeps_whole_mm,
            "wander": wanted.wander_mm,
            "hair": TOLERANCE_MM,
        },
    )
    found: Rows = {}
    for key, row, direction, width_mm, text in rows:
        ids = tuple(json.loads(text))
        if bands is None or any(each.bands[0] in ids for each in bands.get(key, ())):
            off = 0.0 if wanted.width_mm is None else abs(width_mm - middle) / half
            found.setdefault(key, []).append(_Row(off, row, direction, ids))
    return found


def _all_of(connection: Connection, asked: list[Fits]) -> Fits:
    """The cloths that answer to everything, their fits added; all where nothing was asked."""
    if not asked:
        return {cloth_id: 0.0 for (cloth_id,) in connection.execute("SELECT id FROM cloth")}
    common = set(asked[0]).intersection(*asked[1:])
    return {key: sum(fits[key] for fits in asked) for key in common}


def _strips(connection: Connection, wanted: Wanted, seen: _Seen) -> dict[int, int]:
    """Strips at least of what was asked for, of cloths of which pieces are known, less those kept.

    Something kept for a rug without a number is all of it.
    """
    known: dict[str, object] = {
        "cut": wanted.cut_mm,
        "wander": wanted.wander_mm,
        "hair": TOLERANCE_MM,
        "whole": int(wanted.keeps_whole_mm is not None),
    }
    strips = {key: 0 for (key,) in connection.execute("SELECT DISTINCT cloth_id FROM piece")}
    rows = seen.stripes or seen.bands
    if rows:
        query = _OF_STRIPE if seen.stripes else _IN_BAND
        known["rows"] = json.dumps([each.row for some in rows.values() for each in some])
    else:
        query = _PLAIN
    for key, count in connection.execute(query, known):
        strips[key] = max(strips[key], int(count))
    for key, rug_strips, number, counted in connection.execute(
        "SELECT cloth_id, SUM(strips), COUNT(*), COUNT(strips) FROM reserved GROUP BY cloth_id"
    ):
        if key in strips:
            strips[key] = max(0, strips[key] - rug_strips) if number == counted else 0
    return strips


def _best_first(connection: Connection, fits: Fits) -> list[int]:
    """Ids by fit; those that fit alike by name."""
    named = dict(connection.execute("SELECT id, key FROM cloth")) if fits else {}
    return sorted(fits, key=lambda cloth_id: (fits[cloth_id], named[cloth_id]))


def _answer(
    connection: Connection,
    cloth_id: int,
    seen: _Seen,
    wanted: Wanted,
) -> FoundCloth:
    """One cloth that fits, with the row of bands in which the best of them lies."""
    (entry,) = entries(connection, [cloth_id])
    bands = sorted(seen.bands.get(cloth_id, []))
    stripes = sorted(seen.stripes.get(cloth_id, []))
    fitting = {band for each in (*bands, *stripes) for band in each.bands}
    if stripes or bands:
        direction = (stripes or bands)[0].direction
    else:
        (direction,) = connection.execute(
            "SELECT direction FROM band WHERE cloth_id = ? GROUP BY direction "
            "ORDER BY COUNT(*) DESC, direction DESC",
            (cloth_id,),
        ).fetchone()
    rows = connection.execute(
        "SELECT band, width_mm, hex, name, value, lightness, a, b FROM band "
        "WHERE cloth_id = ? AND direction = ? ORDER BY number",
        (cloth_id, direction),
    )
    return FoundCloth(
        entry=entry,
        difference=bands[0].off if wanted.lab is not None and bands else None,
        direction=Direction(direction),
        bands=tuple(
            BandSeen(
                id=band,
                width_mm=width_mm,
                reads=Colour(lab=tuple(lab), hex=shown, name=name, value=value).spoken,
                hex=shown,
                fits=band in fitting,
            )
            for band, width_mm, shown, name, value, *lab in rows
        ),
    )
