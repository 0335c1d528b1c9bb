"""Small tests of the bench turned into a property that a computation can use."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias

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
from softmend.science.bench_test import (
    GRAVITY,
    SURROGATE_CV,
    USUAL_CV,
    Bar,
    Property,
    bending,
    pull_off,
    shrinkage,
)
from softmend.science.propagation import propagate
from softmend.science.uncertain import Uncertain

M_PER_MM, N_PER_G = 1e-3, GRAVITY * 1e-3
PA_PER_MPA, PERCENT_PER_PART = 1e6, 100.0
CAUTIONS = (
    "Tests are made on lawful stand-ins (shed antler, butcher's bone, an offcut of the same "
    "timber), never on the object or its fragments, never on bought ivory.",
    "The band is for the next specimen, so it stays wide until several were measured.",
)

Mass: TypeAlias = Annotated[Number, Field(ge=0)]
Scatter: TypeAlias = Annotated[Number, Field(gt=0, le=2)]


class Loading(Model):
    """A mass hung in the middle of a bar, and how far the middle sagged."""

    mass_g: Mass
    sag_mm: Number


class BentBar(Model):
    """A bar on two supports, and its readings."""

    span_mm: Sourced
    breadth_mm: Sourced
    height_mm: Sourced
    readings: Annotated[list[Loading], Field(min_length=2, max_length=100)]


class BendingInput(Model):
    """Bars of one recipe; read after minutes, or after weeks under load for the slow modulus."""

    bars: Annotated[list[BentBar], Field(min_length=1, max_length=100)]
    poisson: Sourced
    usual_scatter: Scatter = USUAL_CV


class WetAndDry(Model):
    """The length of the mould and that of the bar when it is dry."""

    wet_mm: Sourced
    dry_mm: Sourced


class ShrinkageInput(Model):
    """Bars of one recipe, dried freely."""

    bars: Annotated[list[WetAndDry], Field(min_length=1, max_length=100)]
    usual_scatter: Scatter = USUAL_CV


class Stud(Model):
    """The force at which a stud came off, and where it came off."""

    force_n: Sourced
    came_off: Literal["at the bond", "in the material", "in the glue of the stud"]


class PullOffInput(Model):
    """Studs of one diameter on one bond, and what they were glued to."""

    studs: Annotated[list[Stud], Field(min_length=1, max_length=100)]
    diameter_mm: Sourced
    made_on: Literal["the object's material", "a stand-in"]
    usual_scatter: Scatter = USUAL_CV


class BenchAnswer(Answer):
    """A measured property, as an input that other computations take, and what was measured.

    `use` is the distribution to hand on, in the unit of the estimate.
    """

    text: str
    use: dict[str, str | float]
    specimens: tuple[float, ...]
    measured_scatter: float | None = None


class BendingAnswer(BenchAnswer):
    """The modulus of a fill; specimens in MPa."""

    modulus_mpa: Estimate


class ShrinkageAnswer(BenchAnswer):
    """The shrinkage of a fill; specimens are of the linear one, in percent; `use` is in volume."""

    linear_shrinkage_percent: Estimate
    volume_shrinkage_percent: Estimate


class PullOffAnswer(BenchAnswer):
    """The strength of a bond, or what it is at least; specimens in MPa."""

    bond_strength_mpa: Estimate
    at_least: bool


def bench_bending(given: BendingInput, asked: Asked) -> BendingAnswer:
    """Return the modulus of a fill from bars bent by hung masses."""
    bars = [
        (
            Bar(*(_metres(one) for one in (bar.span_mm, bar.breadth_mm, bar.height_mm))),
            [reading.mass_g * N_PER_G for reading in bar.readings],
            [reading.sag_mm * M_PER_MM for reading in bar.readings],
        )
        for bar in given.bars
    ]
    found = bending(bars, given.poisson.uncertain(), given.usual_scatter, asked.seed)
    value = _estimate(found, 1 / PA_PER_MPA, "MPa")
    lines = [
        line
        for number, bar in enumerate(given.bars, start=1)
        for line in (
            worked(f"bar {number}: span", bar.span_mm, "mm"),
            worked(f"bar {number}: breadth", bar.breadth_mm, "mm"),
            worked(f"bar {number}: height", bar.height_mm, "mm"),
        )
    ]
    return BendingAnswer(
        text=f"Modulus {value.text}, from {_bars(len(bars))}.",
        modulus_mpa=value,
        warnings=_warnings(len(bars)),
        working=(*lines, worked("Poisson's ratio", given.poisson, ""), _usual(given.usual_scatter)),
        **_handed_on(found, 1 / PA_PER_MPA),
    )


def bench_shrinkage(given: ShrinkageInput, asked: Asked) -> ShrinkageAnswer:
    """Return how far a fill shrinks on drying, along a line and in volume."""
    pairs = [(_metres(bar.wet_mm), _metres(bar.dry_mm)) for bar in given.bars]
    line, volume = shrinkage(pairs, given.usual_scatter, asked.seed)
    in_volume = _estimate(volume, PERCENT_PER_PART, "%")
    lines = [
        worked(f"bar {number}: {state}", value, "mm")
        for number, bar in enumerate(given.bars, start=1)
        for state, value in (("wet", bar.wet_mm), ("dry", bar.dry_mm))
    ]
    handed = _handed_on(volume, PERCENT_PER_PART)
    return ShrinkageAnswer(
        text=f"It shrinks by {in_volume.text} of its volume, from {_bars(len(pairs))}.",
        linear_shrinkage_percent=_estimate(line, PERCENT_PER_PART, "%"),
        volume_shrinkage_percent=in_volume,
        warnings=(
            *_warnings(len(pairs)),
            "Taken as alike in all directions; a fill between walls shrinks mostly across them.",
        ),
        working=(*lines, _usual(given.usual_scatter)),
        **{**handed, "specimens": tuple(PERCENT_PER_PART * one for one in line.specimens)},
    )


def bench_pull_off(given: PullOffInput, asked: Asked) -> PullOffAnswer:
    """Return the strength of a bond from studs that were pulled off."""
    stand_in = given.made_on == "a stand-in"
    found = pull_off(
        [stud.force_n.uncertain() for stud in given.studs],
        _metres(given.diameter_mm),
        [stud.came_off == "at the bond" for stud in given.studs],
        SURROGATE_CV if stand_in else 0.0,
        given.usual_scatter,
        asked.seed,
    )
    value = _estimate(found, 1 / PA_PER_MPA, "MPa")
    bound = "at least about " if found.at_least else ""
    lines = [
        worked(f"stud {number}, {stud.came_off}", stud.force_n, "N")
        for number, stud in enumerate(given.studs, start=1)
    ]
    made_on = WorkingValue(name="made on", text=given.made_on, kind="measured", origin="typed")
    warnings = list(_warnings(len(given.studs)))
    if found.at_least:
        warnings.append("No stud came off at the bond: its strength is only known to be more.")
    if stand_in:
        warnings.append(f"Made on a stand-in: {SURROGATE_CV:.0%} is added to the scatter.")
    return PullOffAnswer(
        text=f"The bond holds {bound}{value.text}, from {_bars(len(given.studs), 'stud')}.",
        bond_strength_mpa=value,
        at_least=found.at_least,
        warnings=tuple(warnings),
        working=(
            *lines,
            worked("diameter", given.diameter_mm, "mm"),
            made_on,
            _usual(given.usual_scatter),
        ),
        **_handed_on(found, 1 / PA_PER_MPA),
    )


def _metres(given: Sourced) -> Uncertain:
    value = given.uncertain().scaled(M_PER_MM)
    if value.band.low <= 0:
        raise InputError("A length may be zero or less", value=f"{value.band.low / M_PER_MM:g} mm")
    return value


def _estimate(found: Property, factor: float, unit: str) -> Estimate:
    return estimate(propagate(lambda value: value, {"value": found.value}, n=20_000), factor, unit)


def _handed_on(found: Property, factor: float) -> dict[str, Any]:
    return {
        "use": found.value.scaled(factor).to_json(),
        "specimens": tuple(factor * one for one in found.specimens),
        "measured_scatter": found.measured_cv,
    }


def _bars(count: int, thing: str = "bar") -> str:
    return f"one {thing}" if count == 1 else f"{count} {thing}s"


def _warnings(count: int) -> tuple[str, ...]:
    if count >= 3:
        return ()
    return ("Fewer than three specimens: the usual scatter of such materials makes the band.",)


def _usual(scatter: float) -> WorkingValue:
    return WorkingValue(
        name="usual scatter of such materials", text=f"{scatter:g}", kind="estimated",
        origin="counts as two specimens",
    )  # fmt: skip


COMPUTATIONS = {
    "bench.bending": Computation(
        name="bench.bending",
        title="Modulus of a fill from bent bars",
        input_model=BendingInput,
        output_model=BendingAnswer,
        function=bench_bending,
        formula="E = (F / sag) L³ / (4 b h³) × (1 + (2.4 + 1.5 ν)(h / L)² − 0.84 (h / L)³); the "
        "next specimen: log-normal, scatter joined with the usual one",
        sources=("astm-d790", "timoshenko1970", "gelman2013"),
        cautions=(*CAUTIONS, "Stiffness after weeks under load is lower: read the sag again then."),
        checked="tests/catalogue/test_bench.py",
    ),
    "bench.shrinkage": Computation(
        name="bench.shrinkage",
        title="Drying shrinkage of a fill",
        input_model=ShrinkageInput,
        output_model=ShrinkageAnswer,
        function=bench_shrinkage,
        formula="linear s = 1 − dry / wet; volume = 1 − (1 − s)³",
        sources=("gelman2013",),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_bench.py",
    ),
    "bench.pull_off": Computation(
        name="bench.pull_off",
        title="Strength of a bond from pulled studs",
        input_model=PullOffInput,
        output_model=PullOffAnswer,
        function=bench_pull_off,
        formula="strength = 4 F / (π d²); studs that came off elsewhere are lower bounds",
        sources=("iso4624", "gelman2013"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_bench.py",
    ),
}
