"""A showcase run through a room's record, with all that is not known of it as ranges."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, TypeAlias

from pydantic import Field

from softmend.catalogue.climate_body import MODEL, SWELLING, Body, Range
from softmend.catalogue.climate_record import (
    Percent,
    RecordInput,
    Taken,
    quality_warnings,
    record_working,
    taken,
    whole_part,
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
from softmend.science.climate.air import same_vapour
from softmend.science.climate.case_run import Ran, Tally
from softmend.science.climate.case_samples import (
    Known,
    Sampled,
    kept_bands,
    rows_to_hours,
    run_samples,
)
from softmend.science.climate.record import DAY
from softmend.science.climate.series import Unbroken, summary
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain
from softmend.tables.case_assumed import case_assumed

KG_PER_G = 1e-3
STEADIES = "Buffer steadies; it does not lift."
Volume: TypeAlias = Annotated[Number, Field(gt=0, le=1000)]


class Case(Model):
    """A showcase: air volume, air changes a day, buffer, and how much warmer than the room it is.

    Left out, exchange and warming are guessed as ranges. An exchange that is not measured is taken
    as a third to three times of itself.
    """

    volume_m3: Volume
    exchange_per_day: Sourced | None = None
    buffer_kg: Annotated[Number, Field(ge=0, le=100_000)] = 0.0
    capacity_g_per_kg: Sourced | None = None
    buffer_drift: Sourced | None = None
    warming_k: Sourced | None = None
    start_percent: Percent | None = None

    def exchange(self) -> Uncertain:
        """Return the air changes a day, wide when they are not measured."""
        if self.exchange_per_day is None:
            return _assumed("air exchange")
        value = self.exchange_per_day.uncertain()
        if self.exchange_per_day.kind == "measured" or value.band.low < 0.5 * value.typical:
            return value
        shares = case_assumed("air exchange").points
        return Uncertain.from_low_typical_high(*(value.typical * share for share in shares))

    def known(self) -> Known:
        """Return the case as science takes it; InputError for a buffer without a capacity."""
        if self.buffer_kg > 0 and self.capacity_g_per_kg is None:
            raise InputError(
                "What the buffer takes up is not given",
                allowed="capacity_g_per_kg, in g for each kg and %RH, with its source",
                remedy="Ask the supplier for the figure corrected for hysteresis",
            )
        capacity = self.capacity_g_per_kg
        return Known(
            exchange_per_s=self.exchange().scaled(1 / DAY),
            buffer_kg_m3=self.buffer_kg / self.volume_m3,
            capacity=capacity.uncertain().scaled(KG_PER_G) if capacity else Uncertain.exact(0.0),
            drift=self.buffer_drift.uncertain()
            if self.buffer_drift
            else _assumed("rise of a buffer with heat"),
            warming=self.warming_k.uncertain()
            if self.warming_k
            else _assumed("case warmer than its room"),
        )

    def warnings(self) -> Iterator[str]:
        """Yield what of the case is guessed."""
        if self.exchange_per_day is None or self.exchange_per_day.kind != "measured":
            yield (
                "The air exchange is guessed, so it runs from a third to three times of its value: "
                "measure it, before any gel is bought. One test is one weather."
            )
        if self.warming_k is None:
            yield (
                "How much warmer than the room the case gets is guessed, 0 to 2 K: lamps, sun and "
                "walls decide; measure case minus room."
            )
        if self.capacity_g_per_kg is not None and self.capacity_g_per_kg.kind in {
            "maker's sheet", "recalled", "estimated",
        }:  # fmt: skip
            yield "What the buffer takes up is from a brochure or memory, not from this batch."

    def working(self) -> Iterator[WorkingValue]:
        """Yield the case as lines of the working."""
        yield WorkingValue(
            name="case", text=f"{self.volume_m3:g} m³, {self.buffer_kg:g} kg of buffer",
            kind="measured", origin="typed",
        )  # fmt: skip
        for name, value, unit, wide in (
            ("air exchange", self.exchange_per_day, "per day", "0.3 to 3 per day"),
            ("capacity of the buffer", self.capacity_g_per_kg, "g/kg for each %RH", "none"),
            ("drift of the buffer", self.buffer_drift, "%RH/K", "0.1 to 0.35 %RH/K"),
            ("case warmer than room", self.warming_k, "K", "0 to 2 K"),
        ):
            if value is not None:
                yield worked(name, value, unit)
            elif name != "capacity of the buffer" or self.buffer_kg:
                yield WorkingValue(name=name, text=wide, kind="estimated", origin="wide")


def _assumed(name: str) -> Uncertain:
    return Uncertain.from_low_typical_high(*case_assumed(name).points)


class SimulateInput(RecordInput):
    """A room's record, the case in it, and the object in the case.

    `room_degc` is used where the record holds no temperature.
    """

    case: Case
    body: Body | None = None
    room_degc: Annotated[Number, Field(ge=-30, le=50)] | None = None
    low_limit_percent: Percent = 40.0
    high_limit_percent: Percent = 65.0
    samples: Annotated[int, Field(ge=50, le=2000)] = 200


class PlaceRan(Model):
    """One place, the case's air or a part of the object, over the whole record.

    Hours are those of a year; the smallest and largest are over all moments.
    """

    place: str
    least_percent: Estimate
    most_percent: Estimate
    mean_percent: Estimate
    hours_below: Estimate | None
    hours_above: Estimate | None


class Moment(Model):
    """The room, and bands of the case and of the object in it, at one moment."""

    at: str
    room_percent: float
    case: Range
    surface: Range | None
    core: Range | None


class SimulateAnswer(Answer):
    """What the case does to the room's air; what drives the spread is said with each estimate."""

    places: tuple[PlaceRan, ...] = ()
    points: tuple[Moment, ...] = ()
    half_time_days: Estimate | None = None
    room_mean_percent: float = 0.0
    warmed_percent: float = 0.0
    held_percent: Estimate | None = None
    held_strain: Range | None = None
    measure_next: tuple[str, ...] = ()


def showcase_simulate(given: SimulateInput, asked: Asked) -> SimulateAnswer:
    """Return bands of humidity in a case, and at the surface and in the core of what it holds."""
    one = taken(given, asked)
    part, words = whole_part(one)
    degc = _temperature(given, part)
    mean = summary(part.rh).mean
    start = mean if given.case.start_percent is None else given.case.start_percent
    body = given.body
    sampled = run_samples(
        (part.rh, degc, part.step_s),
        given.case.known(),
        None
        if body is None
        else (body.shape(), body.size(), body.rate(), body.surface(body.rate().typical, body.film)),
        start,
        (given.low_limit_percent, given.high_limit_percent),
        given.samples,
        asked.seed,
    )
    warmed = given.case.known().warming.typical
    at = summary(degc).mean
    held = _held(sampled)
    return SimulateAnswer(
        places=tuple(_places(sampled, part)),
        points=tuple(_points(one, part, sampled)),
        half_time_days=estimate(spread(sampled.half_time_s, sampled.draws), 1 / DAY, "d"),
        room_mean_percent=mean,
        warmed_percent=float(same_vapour(mean, at, at + warmed)) - mean,
        held_percent=None if held is None else estimate(held, 1.0, "%RH"),
        held_strain=None if held is None else _strain(held),
        measure_next=_next(sampled),
        warnings=(
            *quality_warnings(one),
            *words,
            *_warnings(given, part, mean),
            *given.case.warnings(),
            *(body.warnings() if body else ()),
        ),
        working=(
            record_working(one, given),
            *given.case.working(),
            *(body.working() if body else ()),
        ),
    )


def _temperature(given: SimulateInput, part: Unbroken) -> Array:
    if part.temperature is not None:
        return part.temperature
    if given.room_degc is None:
        raise InputError(
            "The record holds no temperature, and none is given",
            allowed="room_degc",
            remedy="State the temperature of the room",
        )
    return part.rh * 0 + given.room_degc


def _places(sampled: Sampled, part: Unbroken) -> Iterator[PlaceRan]:
    ran: Ran = sampled.ran
    for place in ("case", "surface", "mean", "core"):
        tally: Tally | None = getattr(ran, place)
        if tally is None:
            continue
        counted = place in {"case", "mean"}

        def of(values: Array, unit: str = "%RH") -> Estimate:
            return estimate(spread(values, sampled.draws), 1.0, unit)

        hours = [rows_to_hours(n, tally, part.step_s) for n in (tally.rows_below, tally.rows_above)]
        yield PlaceRan(
            place=place,
            least_percent=of(tally.least),
            most_percent=of(tally.most),
            mean_percent=of(tally.mean),
            hours_below=of(hours[0], "h a year") if counted else None,
            hours_above=of(hours[1], "h a year") if counted else None,
        )


def _points(one: Taken, part: Unbroken, sampled: Sampled) -> Iterator[Moment]:
    bands = {
        place: kept_bands(values).round(2).tolist()
        for place, values in sampled.ran.kept.items()
        if place != "mean"
    }

    def band(place: str, i: int) -> Range | None:
        if place not in bands:
            return None
        low, typical, high = bands[place][i]
        return Range(low=low, typical=typical, high=high)

    for i, row in enumerate(sampled.ran.kept_rows):
        yield Moment(
            at=one.moment(part.start_s + row * part.step_s),
            room_percent=round(float(part.rh[row]), 2),
            case=band("case", i) or Range(low=0, typical=0, high=0),
            surface=band("surface", i),
            core=band("core", i),
        )


def _held(sampled: Sampled) -> Spread | None:
    if sampled.ran.held_apart is None:
        return None
    return spread(sampled.ran.held_apart.clip(0.0), sampled.draws)


def _strain(held: Spread) -> Range:
    return Range(
        low=SWELLING[0] * held.band.low,
        typical=(SWELLING[0] * SWELLING[1]) ** 0.5 * held.band.typical,
        high=SWELLING[1] * held.band.high,
    )


def _next(sampled: Sampled) -> tuple[str, ...]:
    """Return what to measure first: the inputs that drive how much the case swings."""
    found = spread(sampled.ran.case.sd, sampled.draws).drivers
    return tuple(one.name for one in found if one.share >= 0.1)


def _warnings(given: SimulateInput, part: Unbroken, mean: float) -> Iterator[str]:
    low, high = given.low_limit_percent, given.high_limit_percent
    if given.case.start_percent is None or abs(given.case.start_percent - mean) < 2:
        yield f"{STEADIES} Your room averages {mean:.0f} %; this case will settle there."
    else:
        yield (
            f"{STEADIES} Your room averages {mean:.0f} %; started at "
            f"{given.case.start_percent:g} %, this case drifts there unless its gel is conditioned "
            "again and again."
        )
    if not low <= mean <= high:
        yield (
            f"That is outside {low:g} to {high:g} %: steady at the wrong place. It needs "
            "conditioned gel, renewed, or the room changed."
        )
    days = (part.rh.size - 1) * part.step_s / DAY
    if days < 365:
        yield f"The record spans {days:.0f} days: it has not seen a whole year."
    yield (
        f"The sensor may be off by {given.sensor_percent:g} %RH: so may the case, on top of the "
        "bands shown."
    )


COMPUTATIONS = {
    "showcase.simulate": Computation(
        name="showcase.simulate",
        title="A showcase in its room",
        input_model=SimulateInput,
        output_model=SimulateAnswer,
        function=showcase_simulate,
        formula="water of air and buffer; one exact exponential step a row at the row's "
        "temperature; the object by twelve modes of diffusion",
        sources=("softmend-climate", "thomson1977", "crank1975", "jcgm101"),
        cautions=(
            MODEL,
            "Measure air exchange and case warming first; lower the exchange before adding buffer.",
            "Ranges, not one curve. A well-made plot looks like permission; it gives none.",
        ),
        checked="tests/science/climate/test_case_run.py",
    ),
}
