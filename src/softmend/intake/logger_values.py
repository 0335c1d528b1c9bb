"""The readings of each logger of a file: numbers, units, UTC, and lines that are no readings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.intake.logger_clock import Clock
from softmend.intake.logger_columns import (
    LOGGER_NAME,
    READ,
    Column,
    Meaning,
    label_of,
    loggers_of,
    meaning_of,
    unit_of,
)
from softmend.intake.logger_doubts import (
    begun_again,
    lacking,
    mostly_aside,
    odd_values,
    refuse_mixed_degrees,
)
from softmend.intake.logger_numbers import decimal_of, glued_unit, is_missing, number, split_unit
from softmend.intake.logger_stamps import NOT_STATED
from softmend.intake.logger_table import FileTable, Line
from softmend.intake.logger_zone import check_zone, fixed_name, summer_time_seen, to_utc, zone_in

if TYPE_CHECKING:
    from softmend.intake.logger import Stated

Array = NDArray[np.float64]
Series = tuple[str, Array, dict[Meaning, Array]]


@dataclass(frozen=True, slots=True)
class Values:
    """What `read_values` found, for the record to be made of."""

    clock: Clock
    columns: tuple[Column, ...]
    decimal: str
    zone: str
    zone_from: str
    temperature_unit: str
    unsure: tuple[str, ...]
    notes: tuple[str, ...]
    set_aside: tuple[tuple[Line, str], ...]
    series: tuple[Series, ...]


def read_values(table: FileTable, lines: Sequence[Line], clock: Clock, told: Stated) -> Values:
    """Return the readings of every logger in a table whose times are known."""
    unsure: list[str] = []
    notes: list[str] = []
    timed = np.isfinite(clock.seconds)
    cut = _is_cut(table, lines)
    aside = [
        (line, "no time was recognised in it")
        for line, ok in zip(lines, timed, strict=True)
        if not ok
    ]
    if cut and timed[-1]:
        aside.append((lines[-1], "the file breaks off in it"))
        timed[-1] = False
    rows = [line.cells for line, ok in zip(lines, timed, strict=True) if ok]
    clock = replace(
        clock,
        seconds=clock.seconds[timed],
        offset_min=clock.offset_min[timed],
        labels=tuple(x for x, ok in zip(clock.labels, timed, strict=False) if ok),
    )
    columns = _columns(table, rows, clock, told, unsure)
    numbers = [i for i, one in enumerate(columns) if one.meaning in READ]
    decimal = {"comma": ",", "point": "."}.get(told.decimal) or _decimal(table, rows, numbers)
    arrays = {
        i: np.array([number(row[i], decimal) if len(row) > i else np.nan for row in rows])
        for i in numbers
    }
    unit = _to_si(columns, arrays, rows, told, unsure, notes)
    unsure.extend((*odd_values(columns, arrays), *lacking(columns)))
    notes.extend(_counted(table, rows, arrays))
    zone, zone_from = _zone(table, clock, told, unsure)
    split = _split(columns, arrays, rows, clock, unsure)
    for label, mine, _channels in split:
        unsure.extend(begun_again(label, clock.seconds[mine]))
    unsure.extend(mostly_aside(lines, aside))
    series = tuple(_in_utc(one, clock, zone, notes) for one in split)
    return Values(
        clock, tuple(columns), decimal, zone, zone_from, unit, tuple(unsure),
        tuple(dict.fromkeys(notes)), tuple(aside), series,
    )  # fmt: skip


def _counted(
    table: FileTable, rows: Sequence[Sequence[str]], arrays: Mapping[int, Array]
) -> Iterator[str]:
    """Yield what is said of rows without a value and of cells that no header names."""
    empty = np.all([~np.isfinite(one) for one in arrays.values()], axis=0)
    if empty.any():
        yield f"{int(empty.sum())} rows have a time and no value (events, missing values)."
    beyond = sum(any(row[len(table.names) :]) for row in rows)
    if beyond:
        yield f"{beyond} rows have more cells than the header names; those cells were not used."


def _is_cut(table: FileTable, lines: Sequence[Line]) -> bool:
    """Return whether the last line is shorter than all the lines before it."""
    if len(lines) < 4:
        return False
    widths = [len(line.cells) for line in lines[-30:-1]]
    return len(lines[-1].cells) < max(set(widths), key=widths.count)


def _columns(
    table: FileTable,
    rows: Sequence[Sequence[str]],
    clock: Clock,
    told: Stated,
    unsure: list[str],
) -> list[Column]:
    columns = []
    for i, name in enumerate(table.names):
        cells = [row[i] for row in rows[:3000] if len(row) > i]
        columns.append(_column(i, name, cells, clock))
    for name, meaning in told.meanings.items():
        if name not in table.names:
            raise InputError(
                "There is no such column", value=name, allowed=", ".join(table.names)[:200]
            )
        place = table.names.index(name)
        columns[place] = replace(columns[place], meaning=Meaning(meaning))
    if not any(one.meaning in READ for one in columns):
        columns = _by_values(columns, rows, unsure)
    return columns


def _column(i: int, name: str, cells: Sequence[str], clock: Clock) -> Column:
    if i in clock.columns:
        two = len(clock.columns) == 2
        meanings = (Meaning.DATE, Meaning.CLOCK) if two else (Meaning.TIME,)
        return Column(name, meanings[clock.columns.index(i)])
    filled = [cell for cell in cells if cell and not is_missing(cell)]
    numbers = sum(split_unit(cell) is not None for cell in filled)
    unit = unit_of(name) or glued_unit(cells[:50])
    meaning = meaning_of(name) or (meaning_of(unit) if unit in {"%", "°C", "°F"} else None)
    is_read = meaning in READ and (numbers >= 0.6 * max(1, len(filled)))
    # A serial number that stands only on the first row names no logger of the other rows.
    many = len(filled) > 0.9 * len(cells) and 1 < len(set(filled)) <= max(2, len(cells) // 2)
    if not is_read and LOGGER_NAME.search(name) and many and len(set(filled)) <= 500:
        return Column(name, Meaning.LOGGER)
    if is_read and meaning is not None:
        return Column(name, meaning, unit, label_of(name))
    return Column(name, Meaning.UNUSED, unit)


def _by_values(
    columns: list[Column], rows: Sequence[Sequence[str]], unsure: list[str]
) -> list[Column]:
    """Return columns told by their values alone: of two, the one that may be a temperature."""
    _refuse_quantities_by_row(columns, rows)
    free = []
    for i, one in enumerate(columns):
        cells = [row[i] for row in rows[:3000] if len(row) > i and not is_missing(row[i])]
        parts = [split_unit(cell) for cell in cells]
        if one.meaning is Meaning.UNUSED and cells and all(parts):
            values = np.array([number(cell, decimal_of(cells) or ".") for cell in cells])
            rising = len(values) > 3 and bool((np.diff(values) == 1).all())
            if not rising and np.isfinite(values).any():
                free.append((i, float(np.nanmedian(values))))
    if not free or len(free) > 2:
        raise InputError(
            "No column names a temperature or a humidity",
            value=", ".join(one.name for one in columns)[:150],
            remedy="State what the columns mean (columns)",
        )
    meanings = [Meaning.TEMPERATURE, Meaning.HUMIDITY]
    if len(free) == 1:
        meanings = [Meaning.HUMIDITY if free[0][1] > 35 else Meaning.TEMPERATURE]
    elif free[0][1] > free[1][1]:
        meanings.reverse()
    for (i, _), meaning in zip(free, meanings, strict=True):
        columns[i] = replace(columns[i], meaning=meaning)
        unsure.append(
            f"The columns have no telling names: “{columns[i].name}” was taken as {meaning} by its "
            "values."
        )
    return columns


def _refuse_quantities_by_row(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
    for i, one in enumerate(columns):
        words = {row[i] for row in rows[:3000] if len(row) > i and row[i]}
        if 1 < len(words) <= 20 and all(meaning_of(word) in READ for word in words):
            raise InputError(
                "The file gives one quantity a row",
                value=f"“{one.name}”: {', '.join(sorted(words))}",
                allowed="one column for each quantity",
                remedy="Export it again in columns",
            )


def _decimal(table: FileTable, rows: Sequence[Sequence[str]], places: Sequence[int]) -> str:
    cells = (row[i] for row in rows[:3000] for i in places if len(row) > i)
    return decimal_of(cells) or "."


def _to_si(
    columns: list[Column],
    arrays: dict[int, Array],
    rows: Sequence[Sequence[str]],
    told: Stated,
    unsure: list[str],
    notes: list[str],
) -> str:
    shown, bare = "", dict[str, list[str]]()
    for i, values in arrays.items():
        one = columns[i]
        median = float(np.nanmedian(values)) if np.isfinite(values).any() else 0.0
        if one.meaning is Meaning.TEMPERATURE:
            refuse_mixed_degrees(one.name, [row[i] for row in rows if len(row) > i])
            shown = told.temperature_unit or one.unit or ""
            if shown not in {"°C", "°F", "K"}:
                shown = "°F" if 45 < median < 120 else "K" if 250 < median < 320 else "°C"
                bare.setdefault(shown, []).append(f"“{one.name}”")
            columns[i] = replace(one, unit=shown)
            if shown == "°F":
                arrays[i] = (values - 32) / 1.8
            elif shown == "K":
                arrays[i] = values - 273.15
        elif one.meaning is Meaning.HUMIDITY:
            largest = float(np.nanmax(values)) if np.isfinite(values).any() else 0.0
            share = told.humidity_unit == "share" or (
                not told.humidity_unit and 0 < largest <= 1.0 and median > 0.02
            )
            if share:
                arrays[i] = values * 100
                if not told.humidity_unit:
                    unsure.append(f"“{one.name}” runs from 0 to 1: taken as a share, times 100.")
            columns[i] = replace(one, unit="share" if share else "%")
    for unit, named in bare.items():
        words = f"No unit is named beside {', '.join(named)}; the values read as {unit}."
        (notes if unit == "°C" else unsure).append(words)
    return shown


def _zone(table: FileTable, clock: Clock, told: Stated, unsure: list[str]) -> tuple[str, str]:
    given = np.unique(clock.offset_min[clock.offset_min != NOT_STATED])
    if given.size:
        if told.zone:
            return check_zone(told.zone), "the offsets in the stamps; the name as you stated it"
        return fixed_name(int(given[0])) if given.size == 1 else "UTC", "the stamps"
    if clock.in_utc:
        return (check_zone(told.zone) if told.zone else "UTC"), "seconds since 1970 are UTC"
    if told.zone:
        return check_zone(told.zone), "what you stated"
    names = [table.names[i] for i in clock.columns]
    found = zone_in([*names, *table.before])
    if found:
        return found, "the header"
    unsure.append(
        "No time zone is named: the times were taken as UTC. State the zone the clock was set to."
    )
    unsure.extend(summer_time_seen(clock.seconds))
    return "UTC", "nothing in the file"


def _split(
    columns: Sequence[Column],
    arrays: Mapping[int, Array],
    rows: Sequence[Sequence[str]],
    clock: Clock,
    unsure: list[str],
) -> list[tuple[str, NDArray[np.intp], dict[Meaning, Array]]]:
    groups, labels, by_place = loggers_of(columns)
    used = {i for group in groups for i in group.values()}
    for i in sorted(arrays.keys() - used):
        unsure.append(f"“{columns[i].name}” was not used: another column says the same.")
    alone = [group.keys() & {Meaning.TEMPERATURE, Meaning.HUMIDITY} for group in groups]
    if {Meaning.TEMPERATURE} in alone and {Meaning.HUMIDITY} in alone:
        unsure.append(
            "Which temperature belongs to which humidity is not known: mark the columns that are "
            "not to be used."
        )
    if by_place:
        unsure.append("The columns of several loggers were paired by their order.")
    every = np.arange(len(rows))
    keys = _keys(columns, rows, clock)
    if keys is None:
        return [
            (label, every, {kind: arrays[i] for kind, i in group.items()})
            for group, label in zip(groups, labels, strict=True)
        ]
    found = []
    for key in dict.fromkeys(keys):
        mine = np.array([i for i, one in enumerate(keys) if one == key], dtype=np.intp)
        found += [
            (f"{key} {label}".strip(), mine, {kind: arrays[i][mine] for kind, i in group.items()})
            for group, label in zip(groups, labels, strict=True)
        ]
    return found


def _keys(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], clock: Clock
) -> list[str] | None:
    """Return which logger each row belongs to, where a column or the time's own figures say it."""
    place = next((i for i, one in enumerate(columns) if one.meaning is Meaning.LOGGER), None)
    if place is not None:
        return [row[place] if len(row) > place else "" for row in rows]
    return list(clock.labels) if len(set(clock.labels)) > 1 else None


def _in_utc(
    one: tuple[str, NDArray[np.intp], dict[Meaning, Array]],
    clock: Clock,
    zone: str,
    notes: list[str],
) -> Series:
    label, mine, channels = one
    seconds, offsets = clock.seconds[mine], clock.offset_min[mine]
    if clock.in_utc:
        return label, seconds, channels
    known = offsets != NOT_STATED
    if known.all() and known.size:
        return label, seconds - 60.0 * offsets, channels
    moved = to_utc(seconds, zone)
    notes.extend(moved.notes)
    times = np.where(known, seconds - 60.0 * offsets, moved.times_s)
    return label, times, channels
