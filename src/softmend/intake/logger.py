"""A logger's file to plain rows: a guess that is shown, what it is unsure of, and nothing dropped.

`open_logger` only takes the bytes in; `LoggerFile.read` reads them as a person stated, or guesses.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError, NotFoundError
from softmend.intake.logger_blocks import is_header, told_apart
from softmend.intake.logger_clock import clock_of
from softmend.intake.logger_columns import Column, Meaning
from softmend.intake.logger_doubts import refuse_other_headers
from softmend.intake.logger_stamps import Order
from softmend.intake.logger_start import Start
from softmend.intake.logger_table import FileTable, sheet_table, table_of
from softmend.intake.logger_text import text_of
from softmend.intake.logger_values import Values, read_values
from softmend.intake.logger_workbook import DAY_ZERO_1904, is_workbook, workbook_of
from softmend.intake.logger_zone import check_zone

SHOWN_ROWS = 8
SHOWN_ASIDE = 20


@dataclass(frozen=True, slots=True)
class Stated:
    """What a person says of a file; an empty answer leaves the guess standing."""

    delimiter: str = ""
    decimal: str = ""
    day_order: str = ""
    zone: str = ""
    temperature_unit: str = ""
    humidity_unit: str = ""
    counted_from: str = ""
    meanings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LoggerSeries:
    """One logger of a file: its name, UTC seconds since 1970 and its readings, in file order."""

    name: str
    times_s: NDArray[np.float64]
    temperature_degc: NDArray[np.float64] | None
    rh_percent: NDArray[np.float64] | None
    co2_ppm: NDArray[np.float64] | None
    light_lux: NDArray[np.float64] | None


@dataclass(frozen=True, slots=True)
class SetAside:
    """A line that is no reading: its number, its text and why."""

    line_number: int
    text: str
    why: str


@dataclass(frozen=True, slots=True)
class LoggerRecord:
    """What was read, how, and what a person should look at before trusting it."""

    sha256: str
    encoding: str
    delimiter: str
    decimal: str
    header_line_number: int
    first_reading_line_number: int
    columns: tuple[Column, ...]
    time_told: str
    day_order: str
    day_order_from: str
    zone: str
    zone_from: str
    temperature_unit: str
    before_header: tuple[str, ...]
    first_rows: tuple[tuple[str, ...], ...]
    unsure: tuple[str, ...]
    notes: tuple[str, ...]
    set_aside: tuple[SetAside, ...]
    set_aside_count: int
    row_count: int
    series: tuple[LoggerSeries, ...]


@dataclass(frozen=True)
class LoggerFile:
    """The untouched bytes of a logger's file."""

    data: bytes

    @property
    def sha256(self) -> str:
        """The file's own hash, by which the untouched file is kept."""
        return hashlib.sha256(self.data).hexdigest()

    def read(self, stated: Stated | None = None) -> LoggerRecord:
        """Return the readings; InputError when something cannot be known and was not stated."""
        told = stated or Stated()
        _check(told)
        table, encoding = self._table(told)
        order = Order(told.day_order) if told.day_order else None
        refuse_other_headers(table)
        readings = [line for line in table.lines if not is_header(line.cells, table)]
        texts = [*table.names, *table.before]
        cells = [line.cells for line in readings]
        clock = clock_of(table.names, cells, texts, order, table.day_zero)
        values = read_values(table, readings, told_apart(table, readings, clock), told)
        return self._record(table, encoding, readings, values)

    def read_as(self, given: Mapping[str, Any]) -> LoggerRecord:
        """Return the readings as a person stated by the names of `Stated`."""
        return self.read(Stated(**given))

    def _table(self, told: Stated) -> tuple[FileTable, str]:
        start = Start(told.counted_from, Order(told.day_order) if told.day_order else None)
        if is_workbook(self.data):
            return _sheet_table(self.data, start)
        text = text_of(self.data)
        return table_of(text.lines, told.delimiter or None, start), text.encoding

    def _record(
        self, table: FileTable, encoding: str, readings: Sequence[object], values: Values
    ) -> LoggerRecord:
        aside = [
            SetAside(line.number, line.text[:200], "the header again")
            for line in table.lines
            if is_header(line.cells, table)
        ]
        aside += [SetAside(line.number, line.text[:200], why) for line, why in values.set_aside]
        clock = values.clock
        return LoggerRecord(
            sha256=self.sha256,
            encoding=encoding,
            delimiter=table.delimiter,
            decimal="comma" if values.decimal == "," else "point",
            header_line_number=table.header_lines[0].number if table.header_lines else 0,
            first_reading_line_number=table.lines[0].number,
            columns=values.columns,
            time_told=table.time_from or clock.told,
            day_order=clock.order.value if clock.order and not table.time_from else "",
            day_order_from="" if table.time_from else clock.order_from,
            zone=values.zone,
            zone_from=values.zone_from,
            temperature_unit=values.temperature_unit,
            before_header=table.before[:40],
            first_rows=tuple(line.cells for line in table.lines[:SHOWN_ROWS]),
            unsure=(*_other_sheets(encoding), *clock.asked, *values.unsure),
            notes=(*_time_from(table), *clock.notes, *values.notes),
            set_aside=tuple(sorted(aside, key=lambda one: one.line_number)[:SHOWN_ASIDE]),
            set_aside_count=len(aside),
            row_count=len(readings) - len(values.set_aside),
            series=tuple(
                LoggerSeries(
                    name,
                    times,
                    channels.get(Meaning.TEMPERATURE),
                    channels.get(Meaning.HUMIDITY),
                    channels.get(Meaning.CO2),
                    channels.get(Meaning.LIGHT),
                )
                for name, times, channels in values.series
            ),
        )


def open_logger(path: Path) -> LoggerFile:
    """Return a logger's file, untouched; what it holds is read when somebody says how."""
    if not path.exists():
        raise NotFoundError("There is no such file", value=path.name, remedy="Choose it again")
    if not path.is_file():
        raise InputError("This is not a file", value=path.name, remedy="Choose a logger's file")
    return LoggerFile(path.read_bytes())


def _time_from(table: FileTable) -> tuple[str, ...]:
    told = f"The time of each row was put together: {table.time_from}."
    return (told,) if table.time_from else ()


def _other_sheets(encoding: str) -> tuple[str, ...]:
    _book, _, more = encoding.partition("; ")
    return (f"Of the workbook, {more}: save it as a file of its own.",) if more else ()


def _sheet_table(data: bytes, start: Start) -> tuple[FileTable, str]:
    """Return the table of the first sheet that holds readings, and which sheet that was."""
    refused: InputError | None = None
    found: list[tuple[int, FileTable]] = []
    book = workbook_of(data)
    for at, sheet in enumerate(book.sheets, 1):
        cells = [tuple(c.strip() for c in row) for row in sheet]
        try:
            found.append((at, sheet_table(cells, start)))
        except InputError as none_here:
            refused = refused or none_here
    if not found:
        raise refused or InputError("The workbook is empty", remedy="Export it again")
    at, table = found[0]
    told = "first sheet" if at == 1 else f"sheet {at}"
    others = ", ".join(str(other) for other, _table in found[1:])
    more = f"; sheet {others} holds readings too and was not read" if others else ""
    counted = ", dates counted from 1904" if book.day_zero == DAY_ZERO_1904 else ""
    return replace(table, day_zero=book.day_zero), f"office workbook, {told}{counted}{more}"


def _check(told: Stated) -> None:
    choices = {
        "day_order": (told.day_order, [one.value for one in Order]),
        "decimal": (told.decimal, ["comma", "point"]),
        "temperature_unit": (told.temperature_unit, ["°C", "°F", "K"]),
        "humidity_unit": (told.humidity_unit, ["%", "share"]),
    }
    for name, (value, allowed) in choices.items():
        if value and value not in allowed:
            raise InputError(f"The {name} is not known", value=value, allowed=", ".join(allowed))
    if told.zone:
        check_zone(told.zone)
