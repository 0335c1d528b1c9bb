"""Which columns hold the time, how their figures read, and the clock's seconds of every row."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.intake.logger_columns import TIME_NAME
from softmend.intake.logger_doubts import refuse_crowded_days, refuse_half_clocks
from softmend.intake.logger_stamps import (
    NOT_STATED,
    Order,
    Stamps,
    days_from_civil,
    is_clock,
    is_stamp,
    packed_stamp,
    read_stamps,
)

ENOUGH = 0.6
_DAY_S = 86400.0
_HALVES = {"AM", "PM", "A", "P"}
_1970 = dt.datetime(1970, 1, 1)
# From 1999 on: a smaller number is a count from some start, not a date.
_EPOCHS = (
    (9.2e8, 4.3e9, 1.0, "seconds"),
    (9.2e11, 4.3e12, 1e-3, "milliseconds"),
    (9.2e14, 4.3e15, 1e-6, "microseconds"),
    (9.2e17, 4.3e18, 1e-9, "nanoseconds"),
)


@dataclass(frozen=True, slots=True)
class Clock:
    """The clock's seconds since 1970-01-01 by row (NaN: no time), and how they were read."""

    seconds: NDArray[np.float64]
    offset_min: NDArray[np.int64]
    columns: tuple[int, ...]
    told: str
    order: Order | None = None
    order_from: str = ""
    in_utc: bool = False
    labels: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


def clock_of(
    names: Sequence[str],
    rows: Sequence[Sequence[str]],
    texts: Sequence[str],
    order: Order | None,
    day_zero: dt.datetime,
) -> Clock:
    """Return when each row was read; InputError when day and month cannot be told apart.

    `day_zero` is the day from which a spreadsheet's day numbers are counted.
    """
    sample = rows[: 2000 if len(rows) > 2000 else None]
    dated = _column(sample, names, is_stamp)
    if dated is not None:
        return _of_stamps(dated, names, rows, texts, order)
    for reader in (_packed_day, _packed, _epoch):
        for place in _numeric_places(names):
            found = reader(place, names, rows)
            if found is not None:
                return found
    for place in _numeric_places(names):
        found = _serial(place, rows, day_zero)
        if found is not None:
            return found
    raise InputError(
        "No column of the file was recognised as the time",
        value=", ".join(names)[:150],
        allowed="dates in figures or with a month's name, seconds since 1970, a spreadsheet's days",
        remedy="Look at the file's first rows and state what separates its cells",
    )


def _column(
    rows: Sequence[Sequence[str]], names: Sequence[str], test: Callable[[str], bool]
) -> int | None:
    for place in range(len(names)):
        cells = [row[place] for row in rows if len(row) > place and row[place]]
        if cells and sum(map(test, cells)) >= ENOUGH * len(rows):
            return place
    return None


def _cells(rows: Sequence[Sequence[str]], place: int) -> list[str]:
    return [row[place] if len(row) > place else "" for row in rows]


def _of_stamps(
    dated: int,
    names: Sequence[str],
    rows: Sequence[Sequence[str]],
    texts: Sequence[str],
    stated: Order | None,
) -> Clock:
    cells = _cells(rows, dated)
    columns: tuple[int, ...] = (dated,)
    stamps = read_stamps(cells)
    if not stamps.has_clock:
        beside = _clock_beside(rows[:2000], names, dated)
        if beside is not None:
            hours = _with_half(_clock_cells(_cells(rows, beside)), rows, beside)
            cells = [f"{day} {hour}" for day, hour in zip(cells, hours, strict=True)]
            stamps, columns = read_stamps(cells), (dated, beside)
    else:
        whole = _with_half(cells, rows, dated)
        if whole != cells:
            cells, stamps = whole, read_stamps(whole)
    order, known_from = _order(stamps, cells, texts, stated)
    days = _days(stamps.parts, order)
    seconds = np.where(stamps.ok & (days > -(10**8)), days * _DAY_S + stamps.seconds, np.nan)
    wrong = int(np.count_nonzero(stamps.ok & ~np.isfinite(seconds)))
    if wrong and wrong > 0.02 * np.count_nonzero(stamps.ok):
        raise InputError(
            f"{wrong} dates are impossible when read {order}",
            value=next(c for c, s, k in zip(cells, seconds, stamps.ok, strict=True)
                       if k and not np.isfinite(s)),
            remedy="State the other order",
        )  # fmt: skip
    refuse_half_clocks(stamps, seconds, has_clock=len(columns) == 2 or stamps.has_clock)
    notes = (
        () if stamps.has_clock or len(columns) == 2 else ("The stamps are dates without a time.",)
    )
    return Clock(seconds, stamps.offset_min, columns, "dates", order, known_from, notes=notes)


def _clock_beside(rows: Sequence[Sequence[str]], names: Sequence[str], dated: int) -> int | None:
    """Return the column of the time of day; a figure such as 21.50 is one only by its name."""
    plain = _column(rows, names, lambda cell: ":" in cell and is_clock(cell))
    if plain is not None and plain != dated:
        return plain
    for test in (is_clock, _is_whole_hour):
        for place, name in enumerate(names):
            cells = [row[place] for row in rows if len(row) > place and row[place]]
            if place != dated and TIME_NAME.search(name) and cells and all(map(test, cells)):
                return place
    return None


def _with_half(cells: Sequence[str], rows: Sequence[Sequence[str]], place: int) -> list[str]:
    """Return times with AM or PM behind them where the next column holds nothing else."""
    first = {_half(cell) for cell in _cells(rows[:200], place + 1) if cell}
    if not first or not first <= _HALVES:
        return list(cells)
    halves = _cells(rows, place + 1)
    if not {_half(cell) for cell in halves if cell} <= _HALVES:
        return list(cells)
    return [
        f"{cell} {half}" if cell and half else cell
        for cell, half in zip(cells, halves, strict=True)
    ]


def _half(cell: str) -> str:
    return cell.upper().replace(".", "")


def _is_whole_hour(cell: str) -> bool:
    """Return whether a cell is an hour, or an hour and its minutes as four figures."""
    return cell.isdigit() and (int(cell) <= 24 or (len(cell) in (3, 4) and int(cell[-2:]) < 60))


def _clock_cells(cells: Sequence[str]) -> list[str]:
    """Return times of day as they are read; whole hours and four figures get their colon."""
    found = []
    for cell in cells:
        if not _is_whole_hour(cell):
            found.append(cell)
        elif len(cell) <= 2:
            found.append(f"{int(cell):02d}:00")
        else:
            found.append(f"{int(cell[:-2]):02d}:{cell[-2:]}")
    return found


def _days(parts: NDArray[np.int64], order: Order) -> NDArray[np.int64]:
    first, second, third = parts[:, 0], parts[:, 1], parts[:, 2]
    year, month, day = {
        Order.YEAR_FIRST: (first, second, third),
        Order.DAY_FIRST: (third, second, first),
        Order.MONTH_FIRST: (third, first, second),
    }[order]
    full = np.where(year > 99, year, year + np.where(year < 70, 2000, 1900))
    return days_from_civil(full, month, day)


def _order(
    stamps: Stamps, cells: Sequence[str], texts: Sequence[str], stated: Order | None
) -> tuple[Order, str]:
    """Return the order of the parts and what it is known from; never a guess without evidence."""
    if stamps.order is Order.YEAR_FIRST:
        return Order.YEAR_FIRST, "the stamps (four-figure year first, or the month by name)"
    parts = stamps.parts[stamps.ok]
    first, second, third = parts[:, 0], parts[:, 1], parts[:, 2]
    if stated is not None:
        return stated, "what you stated"
    told = _order_told(texts)
    if told is not None:
        return told, "the pattern that the file itself names"
    if (first > 31).any() or ((third < 100).all() and _year_leads(parts)):
        return Order.YEAR_FIRST, "the first figures, which are a year"
    day_first, month_first = bool((first > 12).any()), bool((second > 12).any())
    if day_first != month_first:
        order = Order.DAY_FIRST if day_first else Order.MONTH_FIRST
        where = first if day_first else second
        return order, f"a day above 12 ({int(where.max())})"
    shown = next(cell for cell, ok in zip(cells, stamps.ok, strict=True) if ok)
    if day_first:
        raise InputError(
            "Some dates of the file have the day first and some the month first",
            value=shown,
            remedy="Export the file again with one pattern of dates, year first if you can",
        )
    raise InputError(
        "Whether day or month comes first cannot be known: no day in the file is above 12",
        value=f"{shown} (day first: {_span(parts, Order.DAY_FIRST)}; month first: "
        f"{_span(parts, Order.MONTH_FIRST)})",
        allowed="day first, month first",
        remedy="State the order (day_order)",
    )


def _order_told(texts: Sequence[str]) -> Order | None:
    """Return the order that a pattern such as dd/mm/yyyy in the header states."""
    for text in texts:
        found = re.search(r"(?<![a-z])(d{1,2}|m{1,2}|y{2,4}|[tj]{1,2})[-/. ](m{1,2}|d{1,2})[-/. ]",
                          text.lower())  # fmt: skip
        if found:
            lead = found[1][0]
            return {"d": Order.DAY_FIRST, "t": Order.DAY_FIRST, "m": Order.MONTH_FIRST}.get(
                lead, Order.YEAR_FIRST
            )
    return None


def _year_leads(parts: NDArray[np.int64]) -> bool:
    """Return whether two-figure years lead: read so the days follow, read otherwise they leap."""
    leading = np.diff(_days(parts, Order.YEAR_FIRST))
    others = [_days(parts, order) for order in (Order.DAY_FIRST, Order.MONTH_FIRST)]
    return bool(
        (parts[:, 2] <= 31).all()
        and leading.size
        and (np.abs(leading) < 32).all()
        and all((days < -(10**8)).any() or (np.abs(np.diff(days)) > 300).any() for days in others)
    )


def _span(parts: NDArray[np.int64], order: Order) -> str:
    days = _days(parts[[0, -1]], order)
    if (days < -(10**8)).any():
        return "impossible"
    return " to ".join(str(np.datetime64(int(d), "D")) for d in days)


def _numeric_places(names: Sequence[str]) -> list[int]:
    named = [i for i, name in enumerate(names) if TIME_NAME.search(name)]
    return named + [i for i in range(min(3, len(names))) if i not in named]


def _values(rows: Sequence[Sequence[str]], place: int) -> NDArray[np.float64]:
    found = np.full(len(rows), np.nan)
    for i, cell in enumerate(_cells(rows, place)):
        bare = cell.replace(",", ".")
        if re.fullmatch(r"-?\d+(\.\d+)?(e\+?\d+)?", bare, re.IGNORECASE):
            found[i] = float(bare)
    return found


def _epoch(place: int, names: Sequence[str], rows: Sequence[Sequence[str]]) -> Clock | None:
    values = _values(rows, place)
    for least, most, factor, word in _EPOCHS:
        inside = (values > least) & (values < most)
        if inside.sum() >= ENOUGH * len(rows):
            seconds = np.where(inside, values * factor, np.nan)
            told = f"{word} since 1970"
            return Clock(seconds, _no_offset(rows), (place,), told, in_utc=True)
    return None


def _serial(place: int, rows: Sequence[Sequence[str]], day_zero: dt.datetime) -> Clock | None:
    values = _values(rows, place)
    inside = (values > 20_000) & (values < 80_000)
    if inside.sum() < ENOUGH * len(rows) or not (values[inside] % 1).any():
        return None
    # A day number has few decimals: to the nearest second, as the sheet showed it.
    first = (day_zero - _1970).days
    seconds = np.where(inside, np.round((values + first) * _DAY_S), np.nan)
    told = (
        f"a spreadsheet's day numbers, counted from {'1904' if day_zero.year == 1904 else '1900'}"
    )
    begins = np.datetime64(int(np.nanmin(seconds)), "s").astype("datetime64[D]")
    check = (
        f"The dates are a spreadsheet's day numbers, and the first is {begins}: some sheets count "
        "from 1904, and theirs would come out four years early. Look at the year."
    )
    return Clock(
        seconds, _no_offset(rows), (place,), told, notes=() if day_zero.year == 1904 else (check,)
    )


def _packed_day(place: int, names: Sequence[str], rows: Sequence[Sequence[str]]) -> Clock | None:
    """Return days of eight figures with the time of day beside them, or None."""
    cells = _cells(rows, place)
    days = [cell if re.fullmatch(r"(19|20)\d{6}", cell) else "" for cell in cells]
    beside = _clock_beside(rows[:2000], names, place)
    if sum(map(bool, days)) < ENOUGH * len(rows) or beside is None:
        return None
    hours = _clock_cells(_cells(rows, beside))
    written = [f"{day[:4]}-{day[4:6]}-{day[6:]} {hour}" if day else ""
               for day, hour in zip(days, hours, strict=True)]  # fmt: skip
    stamps = read_stamps(written)
    counted = _days(stamps.parts, Order.YEAR_FIRST)
    seconds = np.where(stamps.ok, counted * _DAY_S + stamps.seconds, np.nan)
    told = "packed days, the time beside"
    return Clock(seconds, stamps.offset_min, (place, beside), told, Order.YEAR_FIRST, "the figures")


def _packed(place: int, names: Sequence[str], rows: Sequence[Sequence[str]]) -> Clock | None:
    cells = _cells(rows, place)
    digits = [c for c in cells if re.fullmatch(r"[\dTZ:_ -]{8,20}", c)]
    if len(digits) < ENOUGH * len(rows):
        return None
    if all(len(c) in (10, 12) and packed_stamp(f"20{c}") for c in digits):
        # Two figures of the year: seconds since 1970 would not all be months, days and hours.
        cells, digits = [f"20{c}" if c else c for c in cells], [f"20{c}" for c in digits]
    for skipped in (0, 2, 1, 3, 4):
        if sum(packed_stamp(c, skipped) is not None for c in digits) < 0.98 * len(digits):
            continue
        seconds, offset = np.full(len(rows), np.nan), _no_offset(rows)
        for i, cell in enumerate(cells):
            found = packed_stamp(cell, skipped)
            if found:
                year, month, day = (np.array([part], dtype=np.int64) for part in found[:3])
                days = int(days_from_civil(year, month, day)[0])
                seconds[i] = days * _DAY_S + found[3] if days > -(10**8) else np.nan
                offset[i] = 0 if cell.endswith("Z") else NOT_STATED
        refuse_crowded_days(seconds, digits)
        labels = tuple(cell[:skipped] for cell in cells) if skipped else ()
        told = "packed figures, year first" + (", behind a logger's number" if skipped else "")
        return Clock(
            seconds,
            offset,
            (place,),
            told,
            Order.YEAR_FIRST,
            "the figures",
            labels=labels,
        )
    return None


def _no_offset(rows: Sequence[Sequence[str]]) -> NDArray[np.int64]:
    return np.full(len(rows), NOT_STATED, dtype=np.int64)
