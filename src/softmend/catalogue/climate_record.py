"""A record of the air as a computation gets it: a logger's file, or readings in the input."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import Asked, Model, Number, Words, WorkingValue
from softmend.errors import InputError
from softmend.science.climate.record import DAY, HOUR
from softmend.science.climate.series import Series, Unbroken, series, unbroken

Percent: TypeAlias = Annotated[Number, Field(ge=0, le=100)]
Meant = Literal["temperature", "relative humidity", "carbon dioxide", "light", "logger", "not used"]
EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


class Reading(Model):
    """What a person states of a logger's file; what is left out is guessed and shown.

    `meanings` names columns and what they hold. `zone` is that of the logger's clock.
    `counted_from` is the start, by that clock, of rows that count their time.
    """

    delimiter: Literal["tab", "semicolon", "comma", "bar", "blanks"] | None = None
    decimal: Literal["comma", "point"] | None = None
    day_order: Literal["day first", "month first", "year first"] | None = None
    zone: Words | None = None
    temperature_unit: Literal["°C", "°F", "K"] | None = None
    humidity_unit: Literal["%", "share"] | None = None
    counted_from: Annotated[str, Field(max_length=60)] | None = None
    meanings: Annotated[dict[str, Meant], Field(max_length=200)] | None = None


class RecordInput(Model):
    """A record of the air: a logger's file, or hours and readings in the input itself.

    `logger_name` chooses one of several loggers of a file. The two offsets are added to every
    reading; they come from a calibration. `sensor_percent` is how far the sensor may be off.
    `air_start_at` is the moment of hour 0 of the hours in the input, as 2024-03-15T22:00Z.
    """

    logger_file: Annotated[str, Field(max_length=1000)] | None = None
    reading: Reading = Reading()
    logger_name: Words = ""
    air_hours: Annotated[list[Number], Field(min_length=2, max_length=1_000_000)] | None = None
    air_start_at: Annotated[str, Field(max_length=40)] = ""
    air_percent: Annotated[list[Percent], Field(min_length=2, max_length=1_000_000)] | None = None
    air_degc: Annotated[list[Number], Field(min_length=2, max_length=1_000_000)] | None = None
    rh_offset_percent: Annotated[Number, Field(ge=-20, le=20)] = 0.0
    temperature_offset_degc: Annotated[Number, Field(ge=-10, le=10)] = 0.0
    sensor_percent: Annotated[Number, Field(ge=0, le=20)] = 3.0


@dataclass(frozen=True)
class Taken:
    """One logger's readings, whose they are, and whether their moments are dates."""

    name: str
    series: Series
    dated: bool
    calibrated: str

    def moment(self, at_s: float) -> str:
        """Return a moment as a date and time in UTC, or as hours from the first reading."""
        return moment(at_s) if self.dated else f"hour {at_s / HOUR:g}"

    def spoken(self, at_s: float) -> str:
        """Return a moment as a sentence says it, such as 2024-03-15 22:00 UTC."""
        return self.moment(at_s).replace("T", " ").replace("Z", " UTC")


def moment(at_s: float) -> str:
    """Return a moment as UTC text, such as 2024-03-15T22:00Z."""
    return f"{EPOCH + dt.timedelta(seconds=float(at_s)):%Y-%m-%dT%H:%MZ}"


def file_record(given: Any, asked: Asked) -> Any:
    """Return what intake reads from the file that the input names, as the person stated."""
    opened = asked.files.get("logger_file")
    if opened is None:
        raise InputError("The logger's file was not handed over", value=given.logger_file)
    return opened.read_as(given.reading.model_dump(exclude_none=True))


def taken(given: RecordInput, asked: Asked) -> Taken:
    """Return the readings of the logger that is asked for; InputError when that is not clear."""
    if given.logger_file is not None:
        one = chosen(file_record(given, asked), given.logger_name)
        return of_logger(one, given)
    if given.air_hours is None or given.air_percent is None:
        raise InputError(
            "No record was given",
            allowed="logger_file, or air_hours with air_percent",
            remedy="Name a logger's file",
        )
    start = _start_s(given.air_start_at) if given.air_start_at else 0.0
    times = [start + hours * HOUR for hours in given.air_hours]
    readings = (times, given.air_percent, given.air_degc)
    return _taken("", readings, given, dated=bool(given.air_start_at))


def _start_s(text: str) -> float:
    try:
        start = dt.datetime.fromisoformat(text)
    except ValueError:
        start = dt.datetime.min
    if start.tzinfo is None:
        raise InputError(
            "The moment of the first hour cannot be read",
            value=text,
            allowed="a moment with its zone, as 2024-03-15T22:00Z",
        )
    return start.timestamp()


def of_logger(one: Any, given: RecordInput) -> Taken:
    """Return one logger of a file, calibrated and looked over."""
    readings = (one.times_s, one.rh_percent, one.temperature_degc)
    return _taken(one.name, readings, given, dated=True)


def _taken(name: str, readings: tuple[Any, Any, Any], given: RecordInput, *, dated: bool) -> Taken:
    offsets = given.rh_offset_percent, given.temperature_offset_degc
    calibrated = (
        f"Calibration: {offsets[0]:+g} %RH and {offsets[1]:+g} K were added to every reading."
        if any(offsets)
        else ""
    )
    return Taken(name, series(*readings, *offsets), dated, calibrated)


def chosen(record: Any, name: str) -> Any:
    """Return the logger of a file that is asked for; InputError when that is not clear."""
    names = [one.name for one in record.series]
    if name:
        if name not in names:
            raise InputError(
                "There is no such logger in the file", value=name, allowed=", ".join(names)
            )
        return record.series[names.index(name)]
    if len(names) > 1:
        raise InputError(
            "The file holds several loggers",
            value=", ".join(names)[:150],
            remedy="Say which (logger_name)",
        )
    return record.series[0]


def whole_part(one: Taken, step_s: float | None = None) -> tuple[Unbroken, tuple[str, ...]]:
    """Return the longest part of a record without a long gap, and what is said if it is not all."""
    part = unbroken(one.series, step_s)
    if part.share > 0.98:
        return part, ()
    return part, (
        f"Only the longest part without a long gap was used, {one.spoken(part.start_s)} to "
        f"{one.spoken(part.end_s)}: {100 * part.share:.0f} % of the record.",
    )


def quality_warnings(one: Taken) -> tuple[str, ...]:
    """Return what a person should know of a record before any result."""
    return (*_of_rows(one), *_of_steps(one), *_of_readings(one))


def _of_rows(one: Taken) -> Iterator[str]:
    times = one.series.times
    if one.calibrated:
        yield one.calibrated
    for count, word in (
        (one.series.impossible_rh, "humidity"),
        (one.series.impossible_temperature, "temperature"),
    ):
        if count:
            yield f"{counted(count, 'reading')} of no possible {word}: counted as missing."
    if times.is_newest_first:
        yield "The file gives the newest reading first; it was put in order of time."
    if times.swapped:
        yield f"{counted(times.swapped, 'row')} out of order; all were put in order of time."
    if times.repeated:
        repeated = counted(times.repeated, "reading")
        yield f"{repeated} at a moment that has one already: kept; results use the moment's mean."


def _of_steps(one: Taken) -> Iterator[str]:
    seen = one.series.seen
    if seen is None:
        return
    if seen.coverage < 0.995 or seen.gaps:
        longest = max((gap.end_s - gap.start_s for gap in seen.gaps), default=0.0)
        yield (
            f"Coverage {100 * seen.coverage:.1f} %: {counted(len(seen.gaps), 'gap')}, the longest "
            f"{span(longest)}. Nothing was filled in."
        )
    if seen.other_steps_s:
        others = ", ".join(span(step) for step in seen.other_steps_s)
        yield f"Mixed sampling: mostly {span(seen.step_s)}, also {others}; evened before use."


def _of_readings(one: Taken) -> Iterator[str]:
    both = (("humidity", one.series.rh_seen), ("temperature", one.series.temperature_seen))
    for word, found in both:
        if found is None:
            continue
        if found.spikes_s:
            yield f"{counted(len(found.spikes_s), 'spike')} of {word} pointed at, and kept."
        if found.flat:
            flat = counted(len(found.flat), "flat stretch", "flat stretches")
            yield f"{flat} of {word}: is the sensor stuck?"
        for ends, stretch in (("begins", found.handled_first), ("ends", found.handled_last)):
            if stretch is not None:
                yield (
                    f"The record {ends} as if handled ({word}, {one.spoken(stretch.start_s)} to "
                    f"{one.spoken(stretch.end_s)}); kept, leave it out if it was."
                )


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its word, one or many."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def span(seconds: float) -> str:
    """Return a length of time as a person says it."""
    if seconds >= 2 * DAY:
        return f"{seconds / DAY:.0f} d"
    if seconds >= 2 * HOUR or seconds == HOUR:
        return f"{seconds / HOUR:g} h" if seconds % HOUR == 0 else f"{seconds / HOUR:.1f} h"
    return f"{seconds / 60:g} min" if seconds >= 60 else f"{seconds:g} s"


def record_working(one: Taken, given: RecordInput) -> WorkingValue:
    """Return a record as one line of the working."""
    seen, times = one.series.seen, one.series.times.times_s
    step, coverage = (seen.step_s, seen.coverage) if seen else (0.0, 0.0)
    return WorkingValue(
        name=f"record {one.name}".strip(),
        text=f"{times.size} readings, {one.spoken(times[0])} to {one.spoken(times[-1])}, one in "
        f"{span(step)}, coverage {100 * coverage:.1f} %",
        kind="measured",
        origin=given.logger_file or "typed",
    )
