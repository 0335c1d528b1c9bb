"""How often a showcase changes its air, from a tracer that fades in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from math import exp
from typing import Annotated, Any

from pydantic import Field

from softmend.catalogue.climate_record import Reading, chosen, file_record
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Number,
    Sourced,
    Words,
    WorkingValue,
    worked,
)
from softmend.errors import InputError
from softmend.science.climate.exchange import Decay, decay_part, tracer_decay
from softmend.science.digits import rounded

HOUR, DAY = 3600.0, 86400.0
ASSUMED_BACKGROUND_PPM = 50.0
"""How far an assumed background may be off, 95 %; estimated."""
WEAK_START, FEW_CHANGES, WIDE = 1500.0, 0.3, 0.5
MOST_POINTS = 400


class ExchangeInput(Model):
    """A fading tracer in the case: a logger's file with carbon dioxide, or hours and readings.

    `background_ppm` is that of the room beside the case; left out, it is fitted with the rest.
    """

    logger_file: Annotated[str, Field(max_length=1000)] | None = None
    reading: Reading = Reading()
    logger_name: Words = ""
    tracer_hours: Annotated[list[Number], Field(min_length=2, max_length=200_000)] | None = None
    tracer_ppm: Annotated[list[Number], Field(min_length=2, max_length=200_000)] | None = None
    background_ppm: Sourced | None = None
    from_hours: Annotated[Number, Field(ge=0)] | None = None
    to_hours: Annotated[Number, Field(gt=0)] | None = None


class ExchangeAnswer(Answer):
    """Air changes a day with the 95 % interval, and the curve that was fitted to look at."""

    exchange_per_day: float | None = None
    low_per_day: float | None = None
    high_per_day: float | None = None
    text: str = ""
    background_fitted_ppm: float | None = None
    start_above_ppm: float | None = None
    noise_ppm: float | None = None
    widened: float | None = None
    span_hours: float | None = None
    changes: float | None = None
    curve_hours: tuple[float, ...] = ()
    read_ppm: tuple[float, ...] = ()
    curve_ppm: tuple[float, ...] = ()


def showcase_air_exchange(given: ExchangeInput, asked: Asked) -> ExchangeAnswer:
    """Return the air exchange with an honest interval, or "cannot say" with reasons."""
    times, read = decay_part(
        *_record(given, asked),
        None if given.from_hours is None else given.from_hours * HOUR,
        None if given.to_hours is None else given.to_hours * HOUR,
    )
    try:
        found = tracer_decay(times, read, *_background(given))
    except InputError as refused:
        return ExchangeAnswer(answer="cannot say", reasons=(refused.sentence(),))
    rate, half = found.rate * DAY, found.half_width * DAY
    reasons = tuple(_reasons(found))
    every = max(1, -(-times.size // MOST_POINTS))
    hours = [float(t - times[0]) / HOUR for t in times[::every]]
    return ExchangeAnswer(
        answer="cannot say" if reasons else "answer",
        reasons=reasons,
        exchange_per_day=None if reasons else rate,
        low_per_day=None if reasons else max(0.0, rate - half),
        high_per_day=None if reasons else rate + half,
        text="" if reasons else f"{rounded(rate, half).text('per day')} (95 %)",
        background_fitted_ppm=found.background if found.is_background_fitted else None,
        start_above_ppm=found.above_background,
        noise_ppm=found.noise,
        widened=found.widened,
        span_hours=found.span_s / HOUR,
        changes=found.changes,
        curve_hours=tuple(round(h, 3) for h in hours),
        read_ppm=tuple(round(float(v), 1) for v in read[::every]),
        curve_ppm=tuple(
            round(found.background + found.above_background * exp(-found.rate * h * HOUR), 1)
            for h in hours
        ),
        warnings=tuple(_warnings(given, found)),
        working=tuple(_working(given, found, times.size)),
    )


def _record(given: ExchangeInput, asked: Asked) -> tuple[Any, Any]:
    if given.logger_file is not None:
        one = chosen(file_record(given, asked), given.logger_name)
        if one.co2_ppm is None:
            raise InputError(
                "The record holds no tracer",
                value=one.name or "this logger",
                allowed="a column of carbon dioxide in ppm",
                remedy="Name its column (reading, meanings)",
            )
        return one.times_s, one.co2_ppm
    if given.tracer_hours is None or given.tracer_ppm is None:
        raise InputError(
            "No record was given", allowed="logger_file, or tracer_hours with tracer_ppm"
        )
    if len(given.tracer_hours) != len(given.tracer_ppm):
        raise InputError("Times and readings are not as many", allowed="one time for each reading")
    return [hours * HOUR for hours in given.tracer_hours], given.tracer_ppm


def _background(given: ExchangeInput) -> tuple[float | None, float]:
    """Return the background and how far it may be off; what is assumed is off by more."""
    if given.background_ppm is None:
        return None, 0.0
    value = given.background_ppm.uncertain()
    error = 2 * value.sd
    if given.background_ppm.kind != "measured":
        error = max(error, ASSUMED_BACKGROUND_PPM)
    return value.typical, error


def _reasons(found: Decay) -> Iterator[str]:
    if found.rate <= 0 or found.half_width >= found.rate:
        yield (
            "The decay does not tell an exchange from none: its interval reaches zero. Start "
            "higher, log longer, and log the room beside the case."
        )


def _warnings(given: ExchangeInput, found: Decay) -> Iterator[str]:
    if given.background_ppm is not None and given.background_ppm.kind != "measured":
        yield (
            "The background was assumed, not read in the room: the interval is widened by ± "
            f"{ASSUMED_BACKGROUND_PPM:g} ppm of it. A wrong background can halve the exchange "
            "when the start is weak."
        )
    if given.background_ppm is None:
        yield "The background was fitted with the rest; a reading of the room would narrow it."
    if found.above_background < WEAK_START:
        yield (
            f"The start is weak, {found.above_background:.0f} ppm above the background: start at "
            "3000 to 5000 ppm or more."
        )
    if found.span_s < DAY:
        yield f"The decay was followed for {found.span_s / HOUR:.0f} h: run 24 h or longer."
    if found.changes < FEW_CHANGES:
        yield "The record spans less than a third of an air change: the curve is hardly bent."
    if found.half_width > WIDE * found.rate:
        yield "The interval is wide: look at the curve before using the figure."
    if given.from_hours is None:
        yield "The decay was taken from its highest reading on; give a first hour to choose it."
    yield "One test is one weather: repeat it. A person must look at the curve."


def _working(given: ExchangeInput, found: Decay, readings: int) -> Iterator[WorkingValue]:
    yield WorkingValue(
        name="decay",
        text=f"{readings} readings over {found.span_s / HOUR:.1f} h",
        kind="measured",
        origin=given.logger_file or "typed",
    )
    if given.background_ppm is not None:
        yield worked("background", given.background_ppm, "ppm")
    yield WorkingValue(
        name="residuals",
        text=f"{found.noise:.2g} ppm, each {found.hanging:.2f} like the one before: interval "
        f"widened {found.widened:.2f} times",
        kind="derived",
        origin="computed",
    )


COMPUTATIONS = {
    "showcase.air_exchange": Computation(
        name="showcase.air_exchange",
        title="Air exchange of a showcase",
        input_model=ExchangeInput,
        output_model=ExchangeAnswer,
        function=showcase_air_exchange,
        formula="C = background + start x exp(-N t), all three fitted; 95 % interval times "
        "sqrt((1 + r) / (1 - r)), r the correlation of each residual with the next",
        sources=("iso12569", "softmend-climate"),
        cautions=(
            "N is that of the weather, door and temperatures of the test: take it as ± 50 % "
            "elsewhere.",
            "A decay with people in the room cannot be fitted.",
        ),
        checked="tests/science/climate/test_exchange.py",
    ),
}
