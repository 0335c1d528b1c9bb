"""How a crack moves with the air, and how much of a record the object itself feels."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal, TypeAlias

from pydantic import Field

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
from softmend.science.moisture.diffusion import Form, response
from softmend.science.moisture.felt import felt_swings
from softmend.science.moisture.opening import Measured, opening_of_record, opening_of_two
from softmend.science.moisture.strain import slab_gap, slit_gap
from softmend.science.propagation import Spread, propagate
from softmend.science.uncertain import Array, Uncertain

M_PER_MM, MM_PER_M, S_PER_HOUR, S_PER_DAY = 1e-3, 1e3, 3600.0, 86400.0
M2_PER_MM2 = 1e-6
SHARE_PER_PERCENT = 1e-2
Percent: TypeAlias = Annotated[Number, Field(ge=0, le=100)]
Readings: TypeAlias = Annotated[list[Percent], Field(min_length=2, max_length=100_000)]
Hours: TypeAlias = Annotated[list[Number], Field(min_length=2, max_length=100_000)]


class TwoReadings(Model):
    """The width of one station of the empty crack at two humidities, each waited for."""

    first_width_mm: Sourced
    second_width_mm: Sourced
    first_percent: Sourced
    second_percent: Sourced


class GaugeRecord(Model):
    """A series of widths of one station, and the logger's record around them."""

    taken_hours: Annotated[list[Number], Field(min_length=4, max_length=10_000)]
    widths_mm: Annotated[list[Number], Field(min_length=4, max_length=10_000)]
    air_hours: Hours
    air_percent: Readings


class OpeningInput(Model):
    """A change of humidity, and one or two ways to know how the crack answers it.

    Modelled: a slit from rim to centre of a round object opens on drying by its tangential minus
    radial movement (`mismatch_percent`), a held slab by its movement along. Movements are in %
    for each %RH. Measured beats modelled.
    """

    before_percent: Percent
    after_percent: Percent
    held: Literal["slit cylinder", "held slab"] = "slit cylinder"
    radius_mm: Sourced | None = None
    spacing_mm: Sourced | None = None
    radial_percent: Sourced | None = None
    tangential_percent: Sourced | None = None
    mismatch_percent: Sourced | None = None
    readings: TwoReadings | None = None
    record: GaugeRecord | None = None


class OpeningAnswer(Answer):
    """How much the crack opens (+) or closes (-), which way was used, and the other beside it.

    `per_percent_mm` is the opening for each percent that the air dries.
    """

    used: str = ""
    opening_mm: Estimate | None = None
    per_percent_mm: Estimate | None = None
    modelled_mm: Estimate | None = None
    lag_low_days: float | None = None
    lag_typical_days: float | None = None
    lag_high_days: float | None = None


class ResponseInput(Model):
    """A logger's record at even steps, and the slab or cylinder that it reaches.

    `placed_percent` is the humidity from which falls and rises are counted; left out, the mean.
    """

    form: Literal["slab", "cylinder"]
    size_mm: Sourced
    diffusivity_mm2_per_day: Sourced
    step_hours: Annotated[Number, Field(gt=0, le=8760)]
    air_percent: Readings
    placed_percent: Percent | None = None


class ResponseAnswer(Answer):
    """What the object feels of a record: its mean and its deepest place, and the largest swings.

    The two series are for typical values. `felt_fall_percent` and `felt_rise_percent` are those of
    the object's mean moisture, as humidity.
    """

    mean_percent: tuple[float, ...] = ()
    core_percent: tuple[float, ...] = ()
    half_time_days: Estimate | None = None
    felt_fall_percent: Estimate | None = None
    felt_rise_percent: Estimate | None = None
    air_fall_percent: float = 0.0
    air_rise_percent: float = 0.0


def moisture_opening(given: OpeningInput, asked: Asked) -> OpeningAnswer:
    """Return how a crack answers a change of humidity; measured beats modelled."""
    dried = given.before_percent - given.after_percent
    measured = _measured(given, asked.seed)
    values = _modelled(given)
    modelled = _spread(given, values, dried, asked.seed) if values else None
    per_percent = measured and propagate(lambda opens: opens, {"opens": measured.per_percent})
    used = measured and propagate(lambda opens: opens * dried, {"opens": measured.per_percent})
    shown = used or modelled
    if not shown:
        return OpeningAnswer(answer="cannot say", reasons=(LACK[given.held],))
    lag = measured.lag_s if measured else None
    return OpeningAnswer(
        used="measured" if used else "modelled",
        opening_mm=estimate(shown, MM_PER_M, "mm"),
        per_percent_mm=estimate(per_percent, MM_PER_M, "mm") if per_percent else None,
        modelled_mm=estimate(modelled, MM_PER_M, "mm") if modelled else None,
        lag_low_days=lag[0] / S_PER_DAY if lag else None,
        lag_typical_days=lag[1] / S_PER_DAY if lag else None,
        lag_high_days=lag[2] / S_PER_DAY if lag else None,
        warnings=_warnings(shown, measured, modelled),
        working=tuple(_working(given)),
    )


def moisture_response(given: ResponseInput, asked: Asked) -> ResponseAnswer:
    """Return what a slab or cylinder feels of a logger's record, as series and largest swings."""
    form, air = Form(given.form), given.air_percent
    size = given.size_mm.uncertain().scaled(M_PER_MM)
    rate = given.diffusivity_mm2_per_day.uncertain().scaled(M2_PER_MM2 / S_PER_DAY)
    placed = sum(air) / len(air) if given.placed_percent is None else given.placed_percent
    step = given.step_hours * S_PER_HOUR
    felt = felt_swings(form, air, step, size, rate, placed, seed=asked.seed)
    typical = response(form, air, step, size.typical, rate.typical)
    warnings = [
        "Air and surface are taken as one: a coating, a box or still air makes the object slower."
    ]
    if felt.half_time.band.high > step * len(air):
        warnings.append(
            "The record may be shorter than the object's half time: it is taken to have rested at "
            "the first reading."
        )
    return ResponseAnswer(
        mean_percent=tuple(typical.mean.tolist()),
        core_percent=tuple(typical.core.tolist()),
        half_time_days=estimate(felt.half_time, 1 / S_PER_DAY, "d"),
        felt_fall_percent=estimate(felt.fall, 1.0, "%RH"),
        felt_rise_percent=estimate(felt.rise, 1.0, "%RH"),
        air_fall_percent=max(0.0, placed - min(air)),
        air_rise_percent=max(0.0, max(air) - placed),
        warnings=tuple(warnings),
        working=(
            worked("thickness" if form is Form.SLAB else "radius", given.size_mm, "mm"),
            worked("moisture diffusivity", given.diffusivity_mm2_per_day, "mm²/d"),
            WorkingValue(
                name="record",
                text=f"{len(air)} readings, one in {given.step_hours:g} h, from {placed:.1f} %RH",
                kind="measured",
                origin="typed",
            ),
        ),
    )


LACK = {
    "slit cylinder": "Neither a measured opening nor radius and free strains are given; measure "
    "the crack's width at two humidities.",
    "held slab": "Neither a measured opening nor the held length and the free strain are given; "
    "measure the crack's width at two humidities.",
}


def _measured(given: OpeningInput, seed: int) -> Measured | None:
    if given.record is not None:
        one = given.record
        if len(one.taken_hours) != len(one.widths_mm) or len(one.air_hours) != len(one.air_percent):
            raise InputError(
                "Times and readings are not as many", allowed="one time for each reading"
            )
        return opening_of_record(
            [value * S_PER_HOUR for value in one.taken_hours],
            [value * M_PER_MM for value in one.widths_mm],
            [value * S_PER_HOUR for value in one.air_hours],
            one.air_percent,
        )
    if given.readings is None:
        return None
    two = given.readings
    return opening_of_two(
        (
            two.first_width_mm.uncertain().scaled(M_PER_MM),
            two.second_width_mm.uncertain().scaled(M_PER_MM),
        ),
        (two.first_percent.uncertain(), two.second_percent.uncertain()),
        seed=seed,
    )


def _modelled(given: OpeningInput) -> dict[str, Uncertain]:
    """Return the values of the model by name, or nothing when one is missing."""
    length = given.radius_mm if given.held == "slit cylinder" else given.spacing_mm
    if length is None:
        return {}
    named = {"length": length.uncertain().scaled(M_PER_MM)}
    if given.mismatch_percent is not None:
        named["mismatch"] = given.mismatch_percent.uncertain().scaled(SHARE_PER_PERCENT)
    elif given.tangential_percent is not None:
        named["tangential"] = given.tangential_percent.uncertain().scaled(SHARE_PER_PERCENT)
        if given.held == "slit cylinder":
            if given.radial_percent is None:
                return {}
            named["radial"] = given.radial_percent.uncertain().scaled(SHARE_PER_PERCENT)
    return named if len(named) > 1 else {}


def _spread(given: OpeningInput, values: dict[str, Uncertain], dried: float, seed: int) -> Spread:
    def opening(length: Array, **moves: Array) -> Array:
        # What dries shrinks: the tangential coefficient opens a radial slit, the radial closes it.
        apart = moves.get("mismatch", moves.get("tangential", 0.0)) - moves.get("radial", 0.0)
        if given.held == "slit cylinder":
            return slit_gap(apart * dried, length)
        return slab_gap(-apart * dried, length)

    return propagate(opening, values, n=20_000, seed=seed)


def _warnings(shown: Spread, measured: Measured | None, modelled: Spread | None) -> tuple[str, ...]:
    warnings = []
    if measured is None:
        warnings.append(
            "The opening is modelled, for a slit to the middle or a slab held at its ends: an "
            "upper bound. A crack width at two humidities would replace it."
        )
    elif modelled is not None:
        warnings.append("The measured opening was used, not the free strains given beside it.")
    if shown.band.low < 0 < shown.band.high:
        warnings.append("Whether the crack opens or closes is not known.")
    return tuple(warnings)


def _working(given: OpeningInput) -> Iterator[WorkingValue]:
    yield WorkingValue(
        name="humidity",
        text=f"{given.before_percent:g} to {given.after_percent:g} %RH, {given.held}",
        kind="measured",
        origin="typed",
    )
    named: tuple[tuple[str, Sourced | None, str], ...] = (
        ("radius", given.radius_mm, "mm"),
        ("held length for each crack", given.spacing_mm, "mm"),
        ("radial strain for each %RH", given.radial_percent, "%"),
        ("tangential strain for each %RH", given.tangential_percent, "%"),
        ("mismatch for each %RH", given.mismatch_percent, "%"),
    )
    yield from (worked(name, value, unit) for name, value, unit in named if value is not None)
    if given.readings is not None:
        yield worked("first width", given.readings.first_width_mm, "mm")
        yield worked("second width", given.readings.second_width_mm, "mm")
        yield worked("first humidity", given.readings.first_percent, "%RH")
        yield worked("second humidity", given.readings.second_percent, "%RH")
    if given.record is not None:
        yield WorkingValue(
            name="record",
            text=f"{len(given.record.widths_mm)} widths beside {len(given.record.air_percent)} "
            "readings of the air",
            kind="measured",
            origin="typed",
        )


COMPUTATIONS = {
    "moisture.opening": Computation(
        name="moisture.opening",
        title="How a crack opens with humidity",
        input_model=OpeningInput,
        output_model=OpeningAnswer,
        function=moisture_opening,
        formula="measured: change of width over change of humidity, with one first-order lag from "
        "a record; modelled: 2 pi x radius x (tangential - radial) x drying, or held length x "
        "strain x drying",
        sources=("softmend-mechanics-moisture", "jcgm101"),
        cautions=(
            "Use the seasons' own change; do not condition the room or the object for a number.",
            "Published swelling of ivory contradicts itself, even in which direction is larger.",
            "Model of one straight crack in an even material.",
        ),
        checked="tests/catalogue/test_moisture.py",
    ),
    "moisture.response": Computation(
        name="moisture.response",
        title="What the object feels of the air",
        input_model=ResponseInput,
        output_model=ResponseAnswer,
        function=moisture_response,
        formula="diffusion in a slab or cylinder, each mode a first-order lag, exact between "
        "readings taken as straight",
        sources=("crank1975", "jcgm101"),
        cautions=(
            "Diffusivity of ivory, bone and antler is known to an order of magnitude at best.",
            "The skin of an object follows within a day, whatever its mean does.",
        ),
        checked="tests/science/moisture/test_diffusion.py",
    ),
}
