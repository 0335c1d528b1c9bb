"""The air itself, and a logger's file looked over before anything is made of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from softmend.catalogue.climate_record import (
    RecordInput,
    Taken,
    file_record,
    moment,
    of_logger,
    quality_warnings,
    span,
)
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    WorkingValue,
    estimate,
    worked,
)
from softmend.errors import InputError
from softmend.science.climate import air
from softmend.science.climate.mould import mould_humidity
from softmend.science.climate.record import HOUR, LookedOver, Stretch
from softmend.science.climate.series import summary
from softmend.science.propagation import Spread, propagate
from softmend.science.uncertain import Array

SHOWN = 20
G_PER_KG = 1e3
Pressure = Annotated[Number, Field(ge=50, le=120)]
OVER_WATER = "Relative humidity is over liquid water, below 0 °C too."


class AirInput(Model):
    """The air of a place by temperature and humidity, or by dry and wet bulb.

    `other_degc` is the temperature of a case, a wall or a surface that the same air meets.
    """

    temperature_degc: Sourced
    rh_percent: Sourced | None = None
    wet_bulb_degc: Sourced | None = None
    other_degc: Sourced | None = None
    pressure_kpa: Pressure = 101.325


class AirAnswer(Answer):
    """What the air holds; at another temperature its humidity open to the room, or sealed in."""

    rh_percent: Estimate | None = None
    dew_point_degc: Estimate | None = None
    vapour_pressure_pa: Estimate | None = None
    vapour_g_per_m3: Estimate | None = None
    mixing_g_per_kg: Estimate | None = None
    other_rh_percent: Estimate | None = None
    sealed_rh_percent: Estimate | None = None
    mould_limit_percent: float | None = None


class ReadInput(RecordInput):
    """A logger's file, and what a person states of it."""


class ShownColumn(Model):
    """One column of a file and what it was taken for."""

    name: str
    meaning: str
    unit: str
    logger: str


class ShownLine(Model):
    """A line of a file that was not read, and why."""

    line_number: int
    text: str
    why: str


class Flagged(Model):
    """A stretch of time that is pointed at."""

    start_at: str
    end_at: str
    hours: float


class SeriesSeen(Model):
    """One quantity of one logger: its statistics with their coverage, and what stands out."""

    quantity: str
    unit: str
    count: int
    missing: int
    coverage_percent: float
    mean: float
    least: float
    most: float
    gap_count: int
    gaps: tuple[Flagged, ...]
    spike_count: int
    spikes_at: tuple[str, ...]
    flat: tuple[Flagged, ...]
    handled: tuple[Flagged, ...]


class LoggerSeen(Model):
    """One logger of a file."""

    name: str
    start_at: str
    end_at: str
    step_hours: float
    other_steps: tuple[str, ...]
    repeated: int
    swapped: int
    newest_first: bool
    series: tuple[SeriesSeen, ...]
    warnings: tuple[str, ...]


class ReadAnswer(Answer):
    """How the file was read, for a person to confirm: the guess, the first rows, what is unsure."""

    sha256: str = ""
    encoding: str = ""
    delimiter: str = ""
    decimal: str = ""
    header_line_number: int = 0
    first_reading_line_number: int = 0
    columns: tuple[ShownColumn, ...] = ()
    time_told: str = ""
    day_order: str = ""
    day_order_from: str = ""
    zone: str = ""
    zone_from: str = ""
    temperature_unit: str = ""
    before_header: tuple[str, ...] = ()
    first_rows: tuple[tuple[str, ...], ...] = ()
    unsure: tuple[str, ...] = ()
    set_aside_count: int = 0
    set_aside: tuple[ShownLine, ...] = ()
    row_count: int = 0
    loggers: tuple[LoggerSeen, ...] = ()


def climate_air(given: AirInput, asked: Asked) -> AirAnswer:
    """Return what the air of a place holds, and its humidity at another temperature."""
    if (given.rh_percent is None) == (given.wet_bulb_degc is None):
        raise InputError(
            "The humidity of the air is given twice, or not at all",
            allowed="rh_percent or wet_bulb_degc",
        )
    pressure = given.pressure_kpa * 1e3
    known = {"temperature": given.temperature_degc.uncertain()}
    if given.rh_percent is not None:
        known["humidity"] = given.rh_percent.uncertain()
    elif given.wet_bulb_degc is not None:
        known["wet bulb"] = given.wet_bulb_degc.uncertain()

    def rh(values: dict[str, Array]) -> Array:
        if "humidity" in values:
            # A sensor's error may reach beyond 0 and 100; air cannot.
            return values["humidity"].clip(0.01, 100.0)
        return air.wet_bulb_humidity(values["temperature"], values["wet bulb"], pressure)

    def of(function: Any) -> Spread:
        return propagate(lambda **v: function(v["temperature"], rh(v), v), known, seed=asked.seed)

    other = given.other_degc
    if other is not None:
        known["other temperature"] = other.uncertain()
    humid = of(lambda t, h, v: h)
    typical = known["temperature"].typical
    return AirAnswer(
        rh_percent=estimate(humid, 1.0, "%RH"),
        dew_point_degc=estimate(of(lambda t, h, v: air.dew_point(t, h)), 1.0, "°C"),
        vapour_pressure_pa=estimate(of(lambda t, h, v: air.vapour_pressure(t, h)), 1.0, "Pa"),
        vapour_g_per_m3=estimate(of(lambda t, h, v: air.vapour_density(t, h)), G_PER_KG, "g/m³"),
        mixing_g_per_kg=estimate(
            of(lambda t, h, v: air.humidity_ratio(t, h, pressure)), G_PER_KG, "g/kg"
        ),
        other_rh_percent=None
        if other is None
        else estimate(
            of(lambda t, h, v: air.same_vapour(h, t, v["other temperature"])), 1.0, "%RH"
        ),
        sealed_rh_percent=None
        if other is None
        else estimate(of(lambda t, h, v: air.sealed_box(h, t, v["other temperature"])), 1.0, "%RH"),
        mould_limit_percent=float(mould_humidity(typical)) if 0 <= typical <= 50 else None,
        warnings=(OVER_WATER,) if known["temperature"].band.low < 0 else (),
        working=tuple(
            worked(name, value, unit)
            for name, value, unit in (
                ("temperature", given.temperature_degc, "°C"),
                ("relative humidity", given.rh_percent, "%RH"),
                ("wet bulb", given.wet_bulb_degc, "°C"),
                ("other temperature", other, "°C"),
            )
            if value is not None
        ),
    )


def climate_read(given: ReadInput, asked: Asked) -> ReadAnswer:
    """Return how a logger's file was read, with the quality of each record in it."""
    if given.logger_file is None:
        raise InputError("No logger's file was named", remedy="Name one as logger_file")
    record = file_record(given, asked)
    loggers = tuple(_seen(of_logger(one, given)) for one in record.series)
    return ReadAnswer(
        **{
            name: getattr(record, name)
            for name in (
                "sha256", "encoding", "delimiter", "decimal", "header_line_number",
                "first_reading_line_number", "time_told", "day_order", "day_order_from", "zone",
                "zone_from", "temperature_unit", "before_header", "first_rows", "unsure",
                "set_aside_count", "row_count",
            )
        },
        columns=tuple(
            ShownColumn(name=c.name, meaning=c.meaning, unit=c.unit, logger=c.logger)
            for c in record.columns
        ),
        set_aside=tuple(
            ShownLine(line_number=one.line_number, text=one.text, why=one.why)
            for one in record.set_aside
        ),
        loggers=loggers,
        warnings=(
            *record.unsure,
            *record.notes,
            *(
                f"{one.name}: {words}" if one.name else words
                for one in loggers
                for words in one.warnings
            ),
            OVER_WATER,
        ),
        working=(
            WorkingValue(
                name="file", text=f"SHA-256 {record.sha256[:12]}…, {record.row_count} rows",
                kind="measured", origin=given.logger_file,
            ),
        ),
    )  # fmt: skip


def _seen(one: Taken) -> LoggerSeen:
    found, times = one.series, one.series.times
    steps = (found.seen.step_s, found.seen.other_steps_s) if found.seen else (0.0, ())
    quantities = (
        ("relative humidity", "%", found.rh, found.rh_seen),
        ("temperature", "°C", found.temperature, found.temperature_seen),
    )
    return LoggerSeen(
        name=one.name,
        start_at=moment(times.times_s[0]),
        end_at=moment(times.times_s[-1]),
        step_hours=steps[0] / HOUR,
        other_steps=tuple(span(step) for step in steps[1]),
        repeated=times.repeated,
        swapped=times.swapped,
        newest_first=times.is_newest_first,
        series=tuple(
            _series(name, unit, values, seen)
            for name, unit, values, seen in quantities
            if values is not None and seen is not None
        ),
        warnings=quality_warnings(one),
    )


def _series(name: str, unit: str, values: Array, seen: LookedOver) -> SeriesSeen:
    found = summary(values)
    handled = (seen.handled_first, seen.handled_last)
    return SeriesSeen(
        quantity=name,
        unit=unit,
        count=found.count,
        missing=seen.missing,
        coverage_percent=round(100 * seen.coverage, 2),
        mean=found.mean,
        least=found.least,
        most=found.most,
        gap_count=len(seen.gaps),
        gaps=tuple(_flagged(one) for one in seen.gaps[:SHOWN]),
        spike_count=len(seen.spikes_s),
        spikes_at=tuple(moment(at) for at in seen.spikes_s[:SHOWN]),
        flat=tuple(_flagged(one) for one in seen.flat[:SHOWN]),
        handled=tuple(_flagged(one) for one in handled if one is not None),
    )


def _flagged(one: Stretch) -> Flagged:
    return Flagged(
        start_at=moment(one.start_s),
        end_at=moment(one.end_s),
        hours=(one.end_s - one.start_s) / HOUR,
    )


COMPUTATIONS = {
    "climate.air": Computation(
        name="climate.air",
        title="What the air holds",
        input_model=AirInput,
        output_model=AirAnswer,
        function=climate_air,
        formula="saturation of Hyland and Wexler over liquid water; dew point by Newton's steps; "
        "another temperature: same vapour pressure (open), or same mass of vapour (sealed)",
        sources=("ashrae-fundamentals", "wmo-no8", "hukka1999", "jcgm101"),
        cautions=(
            OVER_WATER,
            "An error of 0.5 K at 50 %RH is one of 1.5 %RH.",
            "A page describes what a place does; it never permits.",
        ),
        checked="tests/checks/softmend-climate-oracle.csv",
    ),
    "climate.read": Computation(
        name="climate.read",
        title="A logger's file, looked over",
        input_model=ReadInput,
        output_model=ReadAnswer,
        function=climate_read,
        formula="delimiter, decimals, dates, zone and units are guessed from the file and shown; "
        "readings are never dropped, filled or changed",
        sources=("softmend-climate",),
        cautions=(
            "Look at the first rows and at what is unsure before using the record.",
            "Sensors are off by 2 to 3 %RH and drift by about 1 a year: calibrate yearly.",
        ),
        checked="tests/catalogue/test_climate.py",
    ),
}
