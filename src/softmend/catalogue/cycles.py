"""The swings that a record holds, and how often they ask more of a fill than it can follow."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

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
from softmend.catalogue.material import typed_or_table
from softmend.errors import InputError
from softmend.science.cycles import (
    Cycles,
    Overstretched,
    damage_shares,
    equivalent_range,
    overstretched,
    rainflow,
)
from softmend.science.wording import strength

PERCENT_PER_PART = 100.0
DAYS_A_YEAR = 365.25
STEPS = 12
"""Into how many equal steps the ranges are gathered for a picture."""

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
History: TypeAlias = Annotated[list[Number], Field(min_length=2, max_length=200_000)]
Quantity: TypeAlias = Literal["moisture of the object", "strain of the fill", "humidity of the air"]
UNIT_STRAIN = Sourced.model_validate(
    {"value": 1, "kind": "derived", "origin": "the history is the strain itself"}
)


class CyclesInput(Model):
    """A record in the order of time, and the fill that has to follow it.

    `fill_strain_percent` is how far the fill is stretched for one percent of the record;
    `follows_percent` the strain range that it can follow, or `fill` a material of the table with
    its elongation. `noise_percent` leaves smaller swings out; `exponent` is the power of fatigue.
    """

    history_percent: History
    quantity: Quantity
    record_days: Annotated[Number, Field(gt=0, le=100_000)] | None = None
    noise_percent: Annotated[Number, Field(ge=0)] = 0.0
    fill_strain_percent: Sourced | None = None
    follows_percent: Sourced | None = None
    fill: Name | None = None
    exponent: Annotated[Number, Field(gt=0, le=50)] | None = None


class RangeStep(Model):
    """The swings of one step of range: how many, and their share of the fatigue."""

    from_percent: float
    to_percent: float
    cycles: float
    fatigue_share: float | None = None


class CyclesAnswer(Answer):
    """The counted swings, largest range first in words, and how the fill follows them."""

    text: str = ""
    fill_text: str = ""
    cycle_count: float = 0.0
    largest_percent: float | None = None
    steps: tuple[RangeStep, ...] = ()
    equivalent_percent: float | None = None
    overstretched_times: Estimate | None = None
    overstretched_a_year: Estimate | None = None
    ever_percent: float | None = None


def cycles_rainflow(given: CyclesInput, asked: Asked) -> CyclesAnswer:
    """Return the swings of a record, and how often a fill cannot follow; "cannot say" if still."""
    cycles = rainflow(given.history_percent).at_least(given.noise_percent)
    if not cycles.ranges.size or cycles.ranges.max() == 0:
        return CyclesAnswer(answer="cannot say", reasons=("Nothing swings in this record.",))
    strain, follows = _fill(given)
    found = None
    if strain is not None and follows is not None:
        found = overstretched(
            cycles,
            strain.uncertain().scaled(1 / PERCENT_PER_PART),
            follows.uncertain().scaled(1 / PERCENT_PER_PART),
            seed=asked.seed,
        )
    years = None if given.record_days is None else given.record_days / DAYS_A_YEAR
    return CyclesAnswer(
        reasons=() if found else ("Whether a fill follows is open: give its stretch and range.",),
        text=_text(cycles, years),
        fill_text="" if found is None else _fill_text(found, years),
        cycle_count=float(cycles.counts.sum()),
        largest_percent=float(cycles.ranges.max()),
        steps=_steps(cycles, given.exponent),
        equivalent_percent=(
            None if given.exponent is None else equivalent_range(cycles, given.exponent)
        ),
        overstretched_times=None if found is None else estimate(found.times, 1.0, "times"),
        overstretched_a_year=(
            None
            if found is None or years is None
            else estimate(found.times, 1 / years, "times a year")
        ),
        ever_percent=None if found is None else 100 * found.ever,
        warnings=_warnings(given, years),
        working=_working(given, strain, follows),
    )


def _fill(given: CyclesInput) -> tuple[Sourced | None, Sourced | None]:
    """Return the stretch of the fill for one percent of the record, and what it can follow."""
    follows = typed_or_table(given.follows_percent, given.fill, "elongation", PERCENT_PER_PART)
    if given.quantity != "strain of the fill":
        return given.fill_strain_percent, follows
    if given.fill_strain_percent is not None:
        raise InputError(
            "The record is the strain of the fill already",
            value="fill_strain_percent",
            allowed="no stretch for each percent of it",
        )
    return UNIT_STRAIN, follows


def _text(cycles: Cycles, years: float | None) -> str:
    largest = float(cycles.ranges.max())
    often = float(cycles.counts[cycles.ranges >= largest / 2].sum())
    span = "" if years is None else f" in {years * DAYS_A_YEAR:.3g} days"
    return (
        f"The largest swing is {largest:.3g} %; swings of at least half of it come {often:g} "
        f"times{span}."
    )


def _fill_text(found: Overstretched, years: float | None) -> str:
    words = f"The fill is asked for more than it can follow: {strength(found.ever)}."
    if years is None or found.ever < 0.05:
        return words
    band = found.times.band.scaled(1 / years)
    return f"{words} That is {band.low:.2g} to {band.high:.2g} times a year."


def _steps(cycles: Cycles, exponent: float | None) -> tuple[RangeStep, ...]:
    width = float(cycles.ranges.max()) / STEPS
    shares = None if exponent is None else damage_shares(cycles, exponent)
    at = [min(STEPS - 1, int(size / width)) for size in cycles.ranges.tolist()]
    steps = []
    for step in range(STEPS):
        inside = [index for index, place in enumerate(at) if place == step]
        if inside:
            steps.append(
                RangeStep(
                    from_percent=step * width,
                    to_percent=(step + 1) * width,
                    cycles=float(cycles.counts[inside].sum()),
                    fatigue_share=None if shares is None else float(shares[inside].sum()),
                )
            )
    return tuple(steps)


def _warnings(given: CyclesInput, years: float | None) -> tuple[str, ...]:
    warnings = []
    if given.quantity == "humidity of the air":
        warnings.append(
            "This is the air, not the object: quick swings of the air hardly reach it. Filter the "
            "record through the object's own lag first."
        )
    if years is not None and years < 0.9:
        warnings.append("The record is shorter than a year: its seasons are not all in it.")
    if given.noise_percent == 0:
        warnings.append("Nothing was left out as noise: small swings may be the logger's own.")
    return tuple(warnings)


def _working(
    given: CyclesInput, strain: Sourced | None, follows: Sourced | None
) -> tuple[WorkingValue, ...]:
    size = f"{len(given.history_percent)} values of the {given.quantity}"
    lines = [WorkingValue(name="record", text=size, kind="measured", origin="typed")]
    if strain is not None:
        lines.append(worked("stretch of the fill for each percent", strain, "%"))
    if follows is not None:
        lines.append(worked("what the fill follows", follows, "%"))
    noise = WorkingValue(
        name="left out as noise", text=f"below {given.noise_percent:g} %", kind="estimated",
        origin="typed",
    )  # fmt: skip
    return (*lines, noise)


COMPUTATIONS = {
    "cycles.rainflow": Computation(
        name="cycles.rainflow",
        title="The swings of a record, and whether a fill follows them",
        input_model=CyclesInput,
        output_model=CyclesAnswer,
        function=cycles_rainflow,
        formula="rainflow count of the turning points; a swing is too large when range × stretch "
        "of the fill exceeds what it follows; fatigue share = n rᵐ / Σ n rᵐ; 20 000 draws",
        sources=("astm-e1049", "miner1945", "jcgm101"),
        cautions=(
            "A model of one straight crack in an even material.",
            "What a fill follows once is not what it follows a thousand times; creep and crushing "
            "between swings are not in this count.",
            "The past record does not vouch for a join or fill that is new.",
        ),
        checked="tests/catalogue/test_cycles.py",
    ),
}
