"""What a logger's file leaves in doubt although it can be read: asked, or refused with the reason.

A reading that is wrong without a word is worse than none.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.intake.logger_columns import READ, Column, Meaning, meaning_of
from softmend.intake.logger_numbers import split_unit
from softmend.intake.logger_stamps import Stamps, is_clock, is_stamp

if TYPE_CHECKING:
    from softmend.intake.logger_table import FileTable, Line

Array = NDArray[np.float64]
_HOUR, _MANY, _DAY_FIGURES = 3600.0, 3, 8
_ODD_DEGC, _ODD_PERCENT = (-5.0, 45.0), 100.5


def refuse_half_clocks(stamps: Stamps, seconds: Array, *, has_clock: bool) -> None:
    """Refuse dates whose time of day is missing, and a clock of twelve hours without AM or PM."""
    known = seconds[np.isfinite(seconds)]
    if known.size < 2 * _MANY:
        return
    doubled = known.size / np.unique(known).size
    if not has_clock and doubled >= _MANY:
        raise _without_time(doubled)
    hours = np.floor(stamps.seconds[np.isfinite(seconds)] / _HOUR)
    if has_clock and doubled > 1.8 and hours.min() >= 1 and hours.max() == 12:
        raise InputError(
            "The clock of the file runs to 12 and carries no AM or PM",
            value=f"{doubled:.0f} rows at each moment",
            allowed="a clock of 24 hours, or AM and PM beside it",
            remedy="Export the file again with 24 hours",
        )


def refuse_crowded_days(seconds: Array, cells: Sequence[str]) -> None:
    """Refuse days of eight figures that many rows share: their time of day was not recognised."""
    known = seconds[np.isfinite(seconds)]
    if known.size < 2 * _MANY or not all(len(cell) == _DAY_FIGURES for cell in cells):
        return
    doubled = known.size / np.unique(known).size
    if doubled >= _MANY:
        raise _without_time(doubled)


def refuse_tables_of_days(lines: Sequence[tuple[str, ...]]) -> None:
    """Refuse a table with a column for each day or for each hour: its cells have no one time."""
    # A beginning and an end stand in every row; the days of a table in its header alone.
    spans = sum(sum(is_stamp(cell) for cell in cells) == 2 for cells in lines[:60])
    for cells in lines[:60]:
        days = sum(is_stamp(cell) for cell in cells)
        if days == 2 and spans >= _MANY:
            continue
        clocks = sum(":" in cell and is_clock(cell) for cell in cells)
        if days >= 2 and days >= len(cells) - 2:
            raise _sideways("day", next(cell for cell in cells if is_stamp(cell)))
        if clocks >= 6 and clocks >= len(cells) - 2:
            raise _sideways("hour", next(cell for cell in cells if is_clock(cell)))


def refuse_without_dates(lines: Sequence[tuple[str, ...]]) -> None:
    """Refuse rows of figures that carry no date: hours from a start, or no time at all."""
    rows = [[cell for cell in cells if cell] for cells in lines]
    figures = [row for row in rows if sum(split_unit(cell) is not None for cell in row) >= 2]
    if len(figures) >= _MANY:
        raise InputError(
            "The rows hold figures but no date",
            value=", ".join(figures[0])[:80],
            allowed="a date and time in each row; columns named Year, Month, Day and Hour; or a "
            "column such as “Elapsed (h)” with the start above it",
            remedy="Export the file again with a date and time in one column",
        )


def refuse_other_headers(table: FileTable) -> None:
    """Refuse a second header that names the columns in another order."""
    if not table.header_lines:
        return
    first = tuple(meaning_of(name) for name in table.header_lines[0].cells)
    for line in table.lines:
        # A line with a figure is no header; most are told by a first sign, quickly.
        if any(cell[:1].isdigit() for cell in line.cells):
            continue
        here = tuple(meaning_of(cell) for cell in line.cells)
        named = [one for one in here if one in READ]
        if len(named) >= 2 and not any(map(_is_figure, line.cells)) and here != first:
            raise InputError(
                f"The columns change at line {line.number}",
                value=line.text.strip()[:80],
                allowed="one header for the whole file",
                remedy="Save the part before it and the part after it as two files",
            )


def refuse_mixed_degrees(name: str, cells: Sequence[str]) -> None:
    """Refuse a column that carries Celsius in some rows and Fahrenheit in others."""
    ends = {parts[1][-1].upper() for cell in cells if (parts := split_unit(cell)) and parts[1]}
    if {"C", "F"} <= ends:
        raise InputError(
            "Some temperatures of the file are in °C and some in °F",
            value=name,
            remedy="Export it again in one unit, or save the two parts as two files",
        )


def odd_values(columns: Sequence[Column], arrays: dict[int, Array]) -> Iterator[str]:
    """Yield what is to be looked at where a column's middle is nothing that a room has."""
    for i, values in arrays.items():
        if not np.isfinite(values).any():
            continue
        middle, name = float(np.nanmedian(values)), columns[i].name
        low, high = _ODD_DEGC
        if columns[i].meaning is Meaning.TEMPERATURE and not low <= middle <= high:
            yield (
                f"“{name}” reads as {middle:.0f} °C in the middle: is its unit or its decimal sign "
                "another?"
            )
        if columns[i].meaning is Meaning.HUMIDITY and middle > _ODD_PERCENT:
            yield (
                f"“{name}” reads as {middle:.0f} % in the middle: is it in tenths, or its decimal "
                "sign another?"
            )


def lacking(columns: Sequence[Column]) -> Iterator[str]:
    """Yield that no relative humidity was found, and what stands in its place."""
    meanings = {one.meaning for one in columns}
    if Meaning.HUMIDITY in meanings or Meaning.CO2 in meanings or Meaning.LIGHT in meanings:
        return
    instead = [one.name for one in columns if one.meaning is Meaning.UNUSED and _is_moist(one.name)]
    if instead:
        yield (
            f"No column of relative humidity was found; “{instead[0]}” is no such and was not "
            "turned into one. Export relative humidity as well, or name its column."
        )
    else:
        yield "No column of humidity was found: only the temperature was read."


def begun_again(label: str, seconds: Array) -> Iterator[str]:
    """Yield that one logger's times leap back over most of the record, as a second one's do."""
    steps = np.diff(seconds)
    if not steps.size or np.median(steps) == 0:
        return
    back = steps * -np.sign(np.median(steps))
    leaps = int(np.count_nonzero(back > 0.5 * np.ptp(seconds)))
    if leaps:
        of_it = f" of {label}" if label else ""
        yield (
            f"The times{of_it} begin again {leaps} time{'s' if leaps > 1 else ''} on the way down "
            "the file: if it holds several loggers one below the other, save each as a file."
        )


def mostly_aside(lines: Sequence[Line], aside: Sequence[tuple[Line, str]]) -> Iterator[str]:
    """Yield that more of the lines than a few words below a record make were not read."""
    if len(aside) > max(20, 0.05 * len(lines)):
        first = aside[0][0]
        yield (
            f"{len(aside)} of {len(lines)} lines were not read, the first of them line "
            f"{first.number}: {first.text.strip()[:60]}. Are its dates written in another way?"
        )


def _is_moist(name: str) -> bool:
    words = ("dew", "taup", "hum", "feuch", "ros", "abs", "g/m", "g/kg", "kg", "влаж", "daugg")
    return any(word in name.lower() for word in words)


def _is_figure(cell: str) -> bool:
    return bool(cell) and split_unit(cell) is not None


def _without_time(doubled: float) -> InputError:
    return InputError(
        "Many rows stand on one date, and no column of the time of day was recognised",
        value=f"{doubled:.0f} rows a date",
        allowed="a column of times such as 21:30, or of hours named so",
        remedy="Export the file again with the time beside the date",
    )


def _sideways(what: str, shown: str) -> InputError:
    return InputError(
        f"The file has a column for each {what}",
        value=shown,
        allowed="a row for each moment, with its date and time",
        remedy="Export it again as a list, or turn the table round in a spreadsheet",
    )
