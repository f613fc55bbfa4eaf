"""Finding cloths again: narrowed by the database, compared exactly, the best first."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, replace
from sqlite3 import Connection
from typing import Final

import numpy as np

from plaidcut.errors import UsageError
from plaidcut.shelf.near import box_around
from plaidcut.shelf.store import entries
from plaidcut.shelved import BandSeen, Found, FoundCloth, Wanted
from plaidcut.stripes.colour import difference, spoken_colour
from plaidcut.stripes.measurement import Direction
from plaidcut.stripes.runs import TOLERANCE_MM

Fits = dict[int, float]
"""How well cloths fit, by id: 0 is best."""

_IN_BOX: Final = (
    "(lightness BETWEEN :l_low AND :l_high AND a BETWEEN :a_low AND :a_high "
    "AND b BETWEEN :b_low AND :b_high)"
)
_NAMED: Final = "(name = :name AND (:named_value IS NULL OR value = :named_value))"

_HOLDS: Final = "instr({}.bands, '\"' || band.band || '\"')"
"""Whether a stripe, whose bands are a list in JSON, holds a band."""

_HOLD: Final = "cloth_id NOT IN (SELECT id FROM cloth WHERE NOT colours_hold)"

_SIDE: Final = "CASE direction WHEN 'up' THEN piece.width_mm ELSE piece.height_mm END"

_IN_BAND: Final = """SELECT cloth_id, SUM(piece.count * CASE
        WHEN NOT striped THEN CAST(({side} + :hair) / :cut AS INTEGER)
        WHEN partial OR repeat_mm IS NULL THEN 0
        ELSE MAX(0, CAST(
            (band.width_mm - 2 * width_std_mm - 2 * :wander + :hair) / :cut AS INTEGER))
            * MAX(0, CAST(({side} - band.width_mm + :hair) / repeat_mm AS INTEGER))
        END)
    FROM band JOIN piece USING (cloth_id)
    WHERE {bands} GROUP BY cloth_id"""
"""Strips that are nothing but the bands in question. However a piece was torn, it holds each band
whole as often as whole repeats fit into what is left beside one."""

_OF_STRIPE: Final = """SELECT cloth_id, SUM(piece.count
        * CASE WHEN :whole THEN 1 ELSE MAX(0, CAST(
            (stripe.width_mm - 2 * width_std_mm - 2 * :wander + :hair) / :cut AS INTEGER)) END
        * CASE WHEN repeat_mm IS NULL THEN 0 ELSE MAX(0, CAST(
            ({side} - MAX(:whole * :cut, stripe.width_mm) + :hair) / repeat_mm AS INTEGER)) END
        ) AS strips
    FROM stripe JOIN piece USING (cloth_id)
    WHERE {stripes} GROUP BY cloth_id, stripe.rowid"""
"""Strips that keep a stripe whole, one a repeat at least; else strips that are all stripe."""

_PLAIN: Final = """SELECT cloth_id, MAX(
        SUM(count * CAST((width_mm + :hair) / :cut AS INTEGER)),
        SUM(count * CAST((height_mm + :hair) / :cut AS INTEGER)))
    FROM piece GROUP BY cloth_id"""
"""Strips of whatever, cut edge to edge the way that gives more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What is asked of bands and stripes, as conditions of the database; None where nothing is."""

    values: dict[str, object]
    bands: str | None
    stripes: str | None


def find(connection: Connection, wanted: Wanted) -> Found:
    """The cloths that fit, the best first.

    A cloth that was overdyed since it was measured has no colours, so it never answers where a
    colour or a value is asked for.

    Raises
    ------
    UsageError
        If the words have no letters to look for.
    """
    fits: list[Fits] = []
    if wanted.words is not None:
        fits.append(_by_words(connection, wanted.words))
    if wanted.kind is not None:
        fits.append(_fits(connection, "SELECT id, 0 FROM cloth WHERE kind = ?", (wanted.kind,)))
    near: dict[int, list[tuple[float, int]]] | None = None
    if wanted.lab is not None:
        near = _near(connection, wanted)
        scale = max(wanted.within, TOLERANCE_MM)
        fits.append({key: min(rows)[0] / scale for key, rows in near.items()})
        rows = json.dumps([row for rows in near.values() for _, row in rows])
        _keep_rows(connection, "near", "SELECT value FROM json_each(:rows)", {"rows": rows})
    asked = _asked(wanted, coloured=near is not None)
    if near is None and asked.bands is not None:
        query = f"SELECT DISTINCT cloth_id, 0 FROM band WHERE {asked.bands}"  # noqa: S608
        fits.append(_fits(connection, query, asked.values))
    if asked.stripes is not None:
        fits.append(_by_stripe(connection, wanted, asked))
        asked = replace(asked, stripes="stripe.rowid IN (SELECT id FROM temp.wide)")
    both = _all_of(connection, fits)
    unknown, strips = 0, {}
    if wanted.at_least is not None:
        strips = _strips(connection, wanted, asked)
        unknown = sum(key not in strips for key in both)
        both = {key: fit for key, fit in both.items() if strips.get(key, 0) >= wanted.at_least}
    ordered = _best_first(connection, both)
    answers = []
    for key in ordered[: wanted.most]:
        off = None if near is None else min(near[key])[0]
        answer = _answer(connection, key, asked)
        answers.append(replace(answer, fit=both[key], difference=off, strips=strips.get(key)))
    return Found(count=len(ordered), cloths=tuple(answers), amount_unknown=unknown)


def _fits(connection: Connection, query: str, values: object) -> Fits:
    """Ids and fits that a query gives."""
    return dict(connection.execute(query, values).fetchall())  # type: ignore[arg-type]


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


def _near(connection: Connection, wanted: Wanted) -> dict[int, list[tuple[float, int]]]:
    """How far off the bands are that read as asked for, and their rows, by cloth."""
    lab = wanted.lab or (0.0, 0.0, 0.0)
    box = box_around(lab, wanted.within)
    name, value = wanted.name or (None, None)
    values: dict[str, object] = {"name": name, "named_value": value, "value": wanted.value}
    for axis, (low, high) in zip(("l", "a", "b"), (box.lightness, box.a, box.b), strict=True):
        values |= {f"{axis}_low": float(low), f"{axis}_high": float(high)}
    narrowed = [_IN_BOX] if name is None else [_IN_BOX, _NAMED]
    of_value = "value = :value" if wanted.value is not None else "1"
    by_row = {
        row[0]: row
        for condition in narrowed  # each has an index that holds all that is wanted of it
        for row in connection.execute(
            f"SELECT rowid, cloth_id, lightness, a, b, {_NAMED} FROM band "  # noqa: S608
            f"WHERE {condition} AND {of_value} AND {_HOLD}",
            values,
        )
    }
    if not by_row:
        return {}
    rows = list(by_row.values())
    seen = np.array(rows, float)
    apart = difference(seen[:, 2:5], lab)
    found: dict[int, list[tuple[float, int]]] = {}
    for k in np.flatnonzero((apart <= wanted.within) | (seen[:, 5] == 1)).tolist():
        row, cloth_id, *_ = rows[k]
        found.setdefault(cloth_id, []).append((float(apart[k]), row))
    return found


def _keep_rows(connection: Connection, table: str, query: str, values: dict[str, object]) -> None:
    """Note which rows answer where the next questions can look them up."""
    connection.execute(f"DROP TABLE IF EXISTS temp.{table}")
    connection.execute(f"CREATE TEMP TABLE {table} (id INTEGER PRIMARY KEY)")
    connection.execute(f"INSERT INTO temp.{table} {query}", values)


def _asked(wanted: Wanted, *, coloured: bool) -> _Asked:
    """The conditions on bands and on stripes; a stripe must hold one of the bands."""
    values: dict[str, object] = {"hair": TOLERANCE_MM, "wander": wanted.wander_mm}
    bands = stripes = None
    if coloured:
        bands = "band.rowid IN (SELECT id FROM temp.near)"
    elif wanted.value is not None:
        values["value"] = wanted.value
        bands = f"band.value = :value AND band.{_HOLD}"
    conditions = []
    if wanted.width_mm is not None:
        values["low"], values["high"] = wanted.width_mm
        conditions.append("stripe.width_mm BETWEEN :low - :hair AND :high + :hair")
    if wanted.keeps_whole_mm is not None:
        values["keeps"] = wanted.keeps_whole_mm
        conditions.append(
            "stripe.width_mm + 2 * stripe.width_std_mm + 2 * :wander <= :keeps + :hair"
        )
    if conditions and coloured:  # from the few bands that are near to their stripes
        conditions.append(
            "stripe.rowid IN (SELECT own.rowid FROM temp.near "  # noqa: S608 -- our own words
            "CROSS JOIN band ON band.rowid = near.id CROSS JOIN stripe AS own "
            f"ON own.cloth_id = band.cloth_id AND {_HOLDS.format('own')})"
        )
    elif conditions and bands is not None:
        conditions.append(
            "EXISTS (SELECT 1 FROM band WHERE band.cloth_id = stripe.cloth_id "  # noqa: S608
            f"AND {_HOLDS.format('stripe')} AND {bands})"
        )
    if conditions:
        stripes = " AND ".join(conditions)
    return _Asked(values=values, bands=bands, stripes=stripes)


def _by_stripe(connection: Connection, wanted: Wanted, asked: _Asked) -> Fits:
    """Cloths with such a bold stripe, by how far its width is off the middle of what is asked."""
    off, values = "0", dict(asked.values)
    if wanted.width_mm is not None:
        low, high = wanted.width_mm
        values |= {"middle": (low + high) / 2, "half": max((high - low) / 2, TOLERANCE_MM)}
        off = "MIN(ABS(width_mm - :middle) / :half)"
    rows = f"SELECT rowid FROM stripe WHERE {asked.stripes}"  # noqa: S608
    _keep_rows(connection, "wide", rows, asked.values)
    query = (
        f"SELECT cloth_id, {off} FROM stripe JOIN temp.wide "  # noqa: S608
        "ON stripe.rowid = wide.id GROUP BY cloth_id"
    )
    return _fits(connection, query, values)


def _all_of(connection: Connection, fits: list[Fits]) -> Fits:
    """The cloths that answer to everything, their fits added; all where nothing was asked."""
    if not fits:
        return _fits(connection, "SELECT id, 0 FROM cloth", ())
    common = set(fits[0]).intersection(*fits[1:])
    return {key: sum(each[key] for each in fits) for key in common}


def _strips(connection: Connection, wanted: Wanted, asked: _Asked) -> dict[int, int]:
    """Strips at least of what was asked for, of cloths of which pieces are known, less those kept.

    Something kept for a rug without a number is all of it.
    """
    values = asked.values | {
        "cut": wanted.cut_mm,
        "whole": int(wanted.keeps_whole_mm is not None),
    }
    strips = {key: 0 for (key,) in connection.execute("SELECT DISTINCT cloth_id FROM piece")}
    if asked.stripes is not None:
        query = _OF_STRIPE.format(side=_SIDE, stripes=asked.stripes)
    elif asked.bands is not None:
        query = _IN_BAND.format(side=_SIDE, bands=asked.bands)
    else:
        query = _PLAIN
    for key, count in connection.execute(query, values):
        strips[key] = max(strips[key], int(count))
    for key, rug_strips, number, counted in connection.execute(
        "SELECT cloth_id, SUM(strips), COUNT(*), COUNT(strips) FROM reserved GROUP BY cloth_id"
    ):
        if key in strips:
            strips[key] = max(0, strips[key] - rug_strips) if number == counted else 0
    return strips


def _best_first(connection: Connection, fits: Fits) -> list[int]:
    """Ids by fit; those that fit alike by name."""
    named = dict(connection.execute("SELECT id, key FROM cloth").fetchall()) if fits else {}
    return sorted(fits, key=lambda cloth_id: (fits[cloth_id], named[cloth_id]))


def _answer(connection: Connection, cloth_id: int, asked: _Asked) -> FoundCloth:
    """One cloth that fits, with the row of bands in which most of what fits lies."""
    (entry,) = entries(connection, [cloth_id])
    values = asked.values | {"cloth": cloth_id}
    fitting: set[str] = set()
    if asked.bands is not None:
        query = f"SELECT band FROM band WHERE cloth_id = :cloth AND {asked.bands}"  # noqa: S608
        fitting |= {band for (band,) in connection.execute(query, values)}
    if asked.stripes is not None:
        query = (
            "SELECT each.value FROM stripe JOIN json_each(stripe.bands) AS each "  # noqa: S608
            f"WHERE cloth_id = :cloth AND {asked.stripes}"
        )
        of_stripes = {band for (band,) in connection.execute(query, values)}
        fitting = (fitting & of_stripes) or of_stripes
    rows = connection.execute(
        "SELECT direction, band, width_mm, hex, name, value FROM band "
        "WHERE cloth_id = ? ORDER BY number",
        (cloth_id,),
    ).fetchall()
    ways = {
        way: tuple(
            BandSeen(
                id=band,
                width_mm=width_mm,
                reads=spoken_colour(name, value),
                hex=shown,
                fits=band in fitting,
            )
            for direction, band, width_mm, shown, name, value in rows
            if direction == way.value
        )
        for way in Direction
    }
    best = max(Direction, key=lambda way: (sum(b.fits for b in ways[way]), len(ways[way])))
    return FoundCloth(entry=entry, direction=best, bands=ways[best])
