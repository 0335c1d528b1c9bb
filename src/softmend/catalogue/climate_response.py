"""What an object makes of a record of its air: at the surface, on the mean and in the core."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from softmend.catalogue.climate_body import MODEL, SWELLING, Body, Range, range_of
from softmend.catalogue.climate_record import (
    Percent,
    RecordInput,
    Taken,
    quality_warnings,
    record_working,
    taken,
    whole_part,
)
from softmend.catalogue.computation import Answer, Asked, Computation, Model
from softmend.science.climate.record import DAY, HOUR
from softmend.science.climate.response import Followed, followed
from softmend.science.climate.series import Unbroken, summary
from softmend.science.moisture.felt import HALF_TIME
from softmend.science.uncertain import Array

MOST_POINTS = 800
PLACES = ("surface", "mean", "core")


class ResponseInput(RecordInput):
    """A record of the air, the object in it, and the humidities below and above which to count."""

    body: Body
    low_limit_percent: Percent = 40.0
    high_limit_percent: Percent = 65.0
    most_points: Annotated[int, Field(ge=10, le=MOST_POINTS)] = 400


class Place(Model):
    """What one place of the object, or the air, went through."""

    place: str
    least_percent: Range
    most_percent: Range
    hours_below: Range
    hours_above: Range


class Moment(Model):
    """The air and the object at one moment, for typical values."""

    at: str
    air_percent: float
    surface_percent: float
    mean_percent: float
    core_percent: float


class ResponseAnswer(Answer):
    """Surface, mean and core side by side; never one number for an object.

    Hours below and above are of the `counted_hours` that were followed.
    `held_percent` is the largest amount by which the surface was drier than the mean, and
    `held_strain` the free strain of that, between the published swellings: no limit is known.
    """

    places: tuple[Place, ...] = ()
    points: tuple[Moment, ...] = ()
    counted_hours: float = 0.0
    half_time_days: Range | None = None
    held_percent: Range | None = None
    held_strain: Range | None = None


def climate_response(given: ResponseInput, asked: Asked) -> ResponseAnswer:
    """Return what surface, mean and core go through, for slow, typical and fast objects."""
    one = taken(given, asked)
    part, words = whole_part(one)
    band = given.body.rate().band
    rates = [band.low, band.typical, band.high]
    ran = [_followed(given.body, part, rate) for rate in rates]
    half = [HALF_TIME[given.body.shape()] * given.body.size().typical ** 2 / r / DAY for r in rates]
    apart = [max(0.0, float((run.mean - run.surface).max())) for run in ran]
    middle = apart[1]
    return ResponseAnswer(
        places=tuple(_places(given, part, ran)),
        points=tuple(_points(one, part, ran[1], given.most_points)),
        counted_hours=part.rh.size * part.step_s / HOUR,
        half_time_days=range_of(half),
        held_percent=range_of(apart),
        held_strain=Range(
            low=SWELLING[0] * min(apart),
            typical=(SWELLING[0] * SWELLING[1]) ** 0.5 * middle,
            high=SWELLING[1] * max(apart),
        ),
        warnings=(
            *quality_warnings(one),
            *words,
            *given.body.warnings(),
            *_warnings(given, part, half),
        ),
        working=(record_working(one, given), *given.body.working()),
    )


def _followed(body: Body, part: Unbroken, rate: float) -> Followed:
    degc = 20.0 if part.temperature is None else summary(part.temperature).mean
    surface = body.surface(rate, body.film, degc)
    return followed(body.shape(), part.rh, part.step_s, body.size().typical, rate, surface)


def _places(given: ResponseInput, part: Unbroken, ran: list[Followed]) -> Iterator[Place]:
    series: list[tuple[str, list[Array]]] = [("air", [part.rh] * 3)]
    series += [(place, [getattr(run, place) for run in ran]) for place in PLACES]
    hours = part.step_s / HOUR
    for place, runs in series:
        low, high = given.low_limit_percent, given.high_limit_percent
        yield Place(
            place=place,
            least_percent=range_of([float(run.min()) for run in runs]),
            most_percent=range_of([float(run.max()) for run in runs]),
            hours_below=range_of([float((run < low).sum()) * hours for run in runs]),
            hours_above=range_of([float((run > high).sum()) * hours for run in runs]),
        )


def _points(one: Taken, part: Unbroken, run: Followed, most: int) -> Iterator[Moment]:
    for i in range(0, part.rh.size, max(1, -(-part.rh.size // most))):
        yield Moment(
            at=one.moment(part.start_s + i * part.step_s),
            air_percent=round(float(part.rh[i]), 2),
            surface_percent=round(float(run.surface[i]), 2),
            mean_percent=round(float(run.mean[i]), 2),
            core_percent=round(float(run.core[i]), 2),
        )


def _warnings(given: ResponseInput, part: Unbroken, half: list[float]) -> Iterator[str]:
    days = (part.rh.size - 1) * part.step_s / DAY
    if max(half) > days:
        yield (
            "The record may be shorter than the object's half time: the object is taken to have "
            "rested at the first reading."
        )
    if days < 365:
        yield f"The record spans {days:.0f} days: it has not seen a whole year."
    yield f"The sensor may be off by {given.sensor_percent:g} %RH; so may every place here."
    yield "Strain is a range, without a limit: compare plans by ratio, against the object's past."


COMPUTATIONS = {
    "climate.response": Computation(
        name="climate.response",
        title="What the object makes of its air",
        input_model=ResponseInput,
        output_model=ResponseAnswer,
        function=climate_response,
        formula="diffusion in a slab or cylinder behind still air and a film; each mode a "
        "first-order lag, exact between readings taken as straight",
        sources=("crank1975", "softmend-climate"),
        cautions=(
            MODEL,
            "One response time is never enough: the surface follows within a day, the core does "
            "not.",
            "A page describes what a place does; it never permits.",
        ),
        checked="tests/science/climate/test_response.py",
    ),
}
