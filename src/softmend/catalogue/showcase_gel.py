"""How much buffer a case needs, by the printed formula and exactly."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Annotated

from pydantic import Field

from softmend.catalogue.climate_record import Percent
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    Words,
    WorkingValue,
    estimate,
    worked,
)
from softmend.errors import InputError
from softmend.science.climate.showcase import (
    NEAR_LIMIT,
    buffer_for_season,
    drift_with,
    gel_by_formula,
    gel_exactly,
    half_time,
)
from softmend.science.propagation import Spread, propagate
from softmend.science.uncertain import Array, Uncertain

DAY, KG_PER_G = 86400.0, 1e-3
NOT_MEASURED = "The air exchange is not measured: measure it before buying gel."


class BufferInput(Model):
    """A set point to hold for a time, or a season's swing to bring down; or both.

    `capacity_from` says where the capacity comes from: gel of the same name differs by batch.
    """

    volume_m3: Sourced
    exchange_per_day: Sourced
    capacity_g_per_kg: Sourced
    capacity_from: Annotated[Words, Field(min_length=3)]
    room_percent: Percent | None = None
    set_percent: Percent | None = None
    drift_percent: Annotated[Number, Field(gt=0, le=50)] | None = None
    held_days: Annotated[Number, Field(gt=0, le=3650)] | None = None
    room_swing_percent: Annotated[Number, Field(gt=0, le=50)] | None = None
    wanted_swing_percent: Annotated[Number, Field(gt=0, le=50)] | None = None


class BufferAnswer(Answer):
    """Mass of buffer by the formula and exactly, and what the formula's mass would truly hold."""

    formula_kg: Estimate | None = None
    exact_kg: Estimate | None = None
    formula_drift_percent: Estimate | None = None
    season_kg: Estimate | None = None
    season_lag_days: float | None = None
    half_time_days: Estimate | None = None


def showcase_buffer(given: BufferInput, asked: Asked) -> BufferAnswer:
    """Return the buffer for a set point and for a season, each with its range."""
    point = (given.room_percent, given.set_percent, given.drift_percent, given.held_days)
    swing = (given.room_swing_percent, given.wanted_swing_percent)
    if any(v is None for v in point) and any(v is None for v in swing):
        raise InputError(
            "What the buffer is for is not given",
            allowed="room_percent, set_percent, drift_percent and held_days; or room_swing_percent "
            "and wanted_swing_percent",
        )
    answer = BufferAnswer(warnings=tuple(_buffer_warnings(given)), working=tuple(_working(given)))
    found: dict[str, object] = {}
    if not any(v is None for v in point):
        found |= _held(given, asked)
    if not any(v is None for v in swing):
        found |= _season(given, asked)
    return answer.model_copy(update=found)


def _values(given: BufferInput) -> dict[str, Uncertain]:
    return {
        "volume": given.volume_m3.uncertain(),
        "exchange": given.exchange_per_day.uncertain().scaled(1 / DAY),
        "capacity": given.capacity_g_per_kg.uncertain().scaled(KG_PER_G),
    }


def _held(given: BufferInput, asked: Asked) -> dict[str, object]:
    """Return the gel for a set point; nothing when room and set point are the same."""
    apart = abs((given.room_percent or 0.0) - (given.set_percent or 0.0))
    drift, held = given.drift_percent or 0.0, (given.held_days or 0.0) * DAY
    if apart == 0:
        return {}
    values = _values(given)

    def of(way: Callable[..., Array]) -> Spread:
        return propagate(
            lambda **v: way(apart, v["volume"], v["exchange"], held, v["capacity"], drift),
            values,
            seed=asked.seed,
        )

    by_formula = gel_by_formula(apart, *_typical(values, held), drift)
    return {
        "formula_kg": estimate(of(gel_by_formula), 1.0, "kg"),
        "exact_kg": estimate(of(gel_exactly), 1.0, "kg"),
        "formula_drift_percent": estimate(
            propagate(
                lambda **v: drift_with(
                    by_formula, apart, v["volume"], v["exchange"], held, v["capacity"]
                ),
                values,
                seed=asked.seed,
            ),
            1.0,
            "%RH",
        ),
        "half_time_days": _half_time(values, float(by_formula), asked),
    }


def _typical(values: dict[str, Uncertain], held: float) -> tuple[float, float, float, float]:
    volume, exchange, capacity = (values[n].typical for n in ("volume", "exchange", "capacity"))
    return volume, exchange, held, capacity


def _season(given: BufferInput, asked: Asked) -> dict[str, object]:
    room, wanted = given.room_swing_percent or 0.0, given.wanted_swing_percent or 0.0
    values = _values(given)
    lag, buffer = buffer_for_season(
        room, wanted, values["exchange"].typical, values["capacity"].typical
    )
    found = propagate(
        lambda **v: v["volume"] * buffer_for_season(room, wanted, v["exchange"], v["capacity"])[1],
        values,
        seed=asked.seed,
    )
    return {
        "season_kg": estimate(found, 1.0, "kg"),
        "season_lag_days": lag / DAY,
        "half_time_days": _half_time(values, float(buffer) * values["volume"].typical, asked),
    }


def _half_time(values: dict[str, Uncertain], mass: float, asked: Asked) -> Estimate:
    found = propagate(
        lambda **v: half_time(v["exchange"], mass / v["volume"], v["capacity"]),
        values,
        seed=asked.seed,
    )
    return estimate(found, 1 / DAY, "d")


def _buffer_warnings(given: BufferInput) -> Iterator[str]:
    if given.exchange_per_day.kind != "measured":
        yield NOT_MEASURED
    room, set_point, drift = given.room_percent, given.set_percent, given.drift_percent
    if room is not None and set_point is not None and drift is not None:
        apart = abs(room - set_point)
        if drift >= apart:
            yield "The drift allowed is the whole difference: no gel is needed."
        elif drift > NEAR_LIMIT * apart:
            yield (
                f"The drift allowed is near the whole difference of {apart:g} %RH: there the "
                "formula asks for far too much; the exact mass counts."
            )
        else:
            yield (
                "The formula is the straight start of an exponential and errs to the safe side; "
                "the exact mass is smaller."
            )
    if given.held_days is not None and given.held_days > 180:
        yield "Over more than half a year the room's season matters more than its mean: simulate."
    yield f"The capacity is {given.capacity_from}; it must be that at the set humidity."
    yield "Buffer steadies; it does not lift: unconditioned, the case settles at the room's mean."


def _working(given: BufferInput) -> Iterator[WorkingValue]:
    yield worked("volume of the case", given.volume_m3, "m³")
    yield worked("air exchange", given.exchange_per_day, "per day")
    yield worked("capacity of the buffer", given.capacity_g_per_kg, "g/kg for each %RH")
    if given.room_percent is not None and given.set_percent is not None:
        yield WorkingValue(
            name="room and set point",
            text=f"{given.room_percent:g} and {given.set_percent:g} %RH, drift "
            f"{given.drift_percent or 0:g} %RH in {given.held_days or 0:g} d",
            kind="measured",
            origin="typed",
        )
    if given.room_swing_percent is not None:
        yield WorkingValue(
            name="season",
            text=f"± {given.room_swing_percent:g} to ± {given.wanted_swing_percent or 0:g} %RH",
            kind="measured",
            origin="typed",
        )


COMPUTATIONS = {
    "showcase.buffer": Computation(
        name="showcase.buffer",
        title="Buffer for a showcase",
        input_model=BufferInput,
        output_model=BufferAnswer,
        function=showcase_buffer,
        formula="Q = Ceq D V N t / (MH F), Ceq 17.3 g/m³; exactly: the mass whose exponential "
        "drifts just F in the time; season: lag = sqrt((A/F)² - 1) x year / 2 pi",
        sources=("weintraub2002", "thomson1977", "softmend-climate", "jcgm101"),
        cautions=(
            "The printed worked example of the formula is not held yet.",
            "Lower the air exchange before adding buffer.",
            "No cobalt-indicating gel near objects; dust-free gel with a large face.",
        ),
        checked="tests/science/climate/test_showcase.py",
    ),
}
