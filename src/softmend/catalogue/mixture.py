"""What a percentage means on every basis, and what to weigh for a batch."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import Field, model_validator

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
from softmend.science.digits import rounded
from softmend.science.mixture import IDEAL_MIXING, Basis, Batch, Parts, Wanted, batch, mixture
from softmend.science.propagation import Spread
from softmend.science.uncertain import Band, Uncertain

KG_PER_G, M3_PER_ML = 1e-3, 1e-6
KG_PER_M3 = 1e3
"""Kilograms to the cubic metre in one gram to the millilitre."""
DENSITY_SD = 0.005
"""Relative sd of a density that was typed without one: the k = 2 half-width is 1 %."""

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
OneBasis: TypeAlias = Literal["w/w", "w/v of solution", "w/v of solvent", "v/v"]


class Amount(Model):
    """How much is wanted: one of the four."""

    solution_mass_g: Sourced | None = None
    solution_volume_ml: Sourced | None = None
    solute_mass_g: Sourced | None = None
    solvent_volume_ml: Sourced | None = None

    def wanted(self) -> tuple[Wanted, Sourced, float]:
        """Return what is wanted, how much, and the SI unit in bench units."""
        ways = (
            (Wanted.MASS_OF_SOLUTION, self.solution_mass_g, KG_PER_G),
            (Wanted.VOLUME_OF_SOLUTION, self.solution_volume_ml, M3_PER_ML),
            (Wanted.MASS_OF_SOLUTE, self.solute_mass_g, KG_PER_G),
            (Wanted.VOLUME_OF_SOLVENT, self.solvent_volume_ml, M3_PER_ML),
        )
        given = [(what, much, unit) for what, much, unit in ways if much is not None]
        if len(given) != 1:
            raise InputError(
                "A batch needs one wanted amount",
                value=", ".join(what for what, _, _ in given) or "none",
                allowed="one of solution_mass_g, solution_volume_ml, solute_mass_g, "
                "solvent_volume_ml",
            )
        return given[0]


class MixtureInput(Model):
    """A percentage with its basis, the two densities, and how much is wanted.

    `volume_change_percent` is how far the volume grows (+) or shrinks (-) on mixing.
    """

    written_percent: Sourced
    basis: OneBasis
    solute: Name = "solute"
    solvent: Name = "solvent"
    solute_density_g_per_ml: Sourced
    solvent_density_g_per_ml: Sourced
    volume_change_percent: Sourced | None = None
    amount: Amount | None = None
    balance_step_g: Annotated[Number, Field(gt=0, le=100)] = 0.1

    @model_validator(mode="before")
    @classmethod
    def _no_bare_percentage(cls, data: Any) -> Any:
        if isinstance(data, dict) and "written_percent" in data and not data.get("basis"):
            raise ValueError(
                f"a percentage with its basis, which is one of {', '.join(Basis)}; a bare "
                "percentage is refused"
            )
        return data


class OnBasis(Model):
    """The mixture on one basis; w/v is in grams per 100 mL."""

    basis: OneBasis
    share_percent: Estimate


class BatchAmounts(Model):
    """What one batch is made of, and the sentence for the label."""

    solute_mass_g: Estimate
    solvent_mass_g: Estimate
    solvent_volume_ml: Estimate
    solution_mass_g: Estimate
    solution_volume_ml: Estimate
    instruction: str


class MixtureAnswer(Answer):
    """One mixture on every basis, its density, and the batch that was wanted."""

    bases: tuple[OnBasis, ...] = ()
    density_g_per_ml: Estimate | None = None
    batch: BatchAmounts | None = None


def mixture_convert(given: MixtureInput, asked: Asked) -> MixtureAnswer:
    """Return a percentage on all bases, and the masses of a batch when an amount is wanted."""
    percent, basis = given.written_percent.uncertain(), Basis(given.basis)
    parts = _parts(given)
    found = mixture(percent, basis, parts, asked.seed)
    made = None
    if given.amount is not None:
        wanted, much, unit = given.amount.wanted()
        size = much.uncertain().scaled(unit)
        made = _amounts(given, batch(percent, basis, parts, wanted, size, asked.seed))
    return MixtureAnswer(
        bases=tuple(
            OnBasis(basis=one.value, share_percent=estimate(_tidy(spread), 1.0, "%"))
            for one, spread in found.percent.items()
        ),
        density_g_per_ml=estimate(_tidy(found.density), 1 / KG_PER_M3, "g/mL"),
        batch=made,
        warnings=_warnings(given),
        working=_working(given),
    )


def _parts(given: MixtureInput) -> Parts:
    change = given.volume_change_percent
    return Parts(
        _density(given.solute_density_g_per_ml),
        _density(given.solvent_density_g_per_ml),
        IDEAL_MIXING if change is None else _percent(change.uncertain()),
    )


def _density(given: Sourced) -> Uncertain:
    value = given.uncertain().scaled(KG_PER_M3)
    return Uncertain.normal(value.mean, DENSITY_SD * value.mean) if value.sd == 0 else value


def _percent(value: Uncertain) -> Uncertain:
    return value.scaled(0.01)


def _tidy(found: Spread) -> Spread:
    """Return an exact result without the computer's last digits, which would be printed."""
    if found.sd > 0:
        return found
    mean = float(f"{found.mean:.9g}")
    return replace(found, mean=mean, band=Band(mean, mean, mean))


def _amounts(given: MixtureInput, made: Batch) -> BatchAmounts:
    return BatchAmounts(
        solute_mass_g=_in_g(made.solute_mass),
        solvent_mass_g=_in_g(made.solvent_mass),
        solvent_volume_ml=_in_ml(made.solvent_volume),
        solution_mass_g=_in_g(made.solution_mass),
        solution_volume_ml=_in_ml(made.solution_volume),
        instruction=_instruction(given, made),
    )


def _in_g(found: Spread) -> Estimate:
    return estimate(_tidy(found), 1 / KG_PER_G, "g")


def _in_ml(found: Spread) -> Estimate:
    return estimate(_tidy(found), 1 / M3_PER_ML, "mL")


def _instruction(given: MixtureInput, made: Batch) -> str:
    """Return the batch as it is made at the bench; made-up volumes need no ideal mixing."""
    step = given.balance_step_g
    solute = _to_step(made.solute_mass.mean / KG_PER_G, step)
    solvent = _to_step(made.solvent_mass.mean / KG_PER_G, step)
    solvent_ml = f"{_about(made.solvent_volume.mean / M3_PER_ML, 3)} mL"
    total_g = f"{_about(made.solution_mass.mean / KG_PER_G, 2)} g"
    if given.basis in ("w/v of solution", "v/v"):
        full = f"{_about(made.solution_volume.mean / M3_PER_ML, 3)} mL"
        return (
            f"Mix about {total_g}: weigh {solute} of {given.solute}, dissolve it in part of the "
            f"{given.solvent}, and make up to {full} (about {solvent} of {given.solvent})."
        )
    return (
        f"Mix about {total_g}: {solute} of {given.solute} with {solvent} ({solvent_ml}) of "
        f"{given.solvent}."
    )


def _to_step(grams: float, step: float) -> str:
    from decimal import Decimal

    size = Decimal(f"{step:g}")
    steps = (Decimal(repr(grams)) / size).to_integral_value()
    if steps == 0:
        return f"{_about(grams, 2)} g (less than the balance shows)"
    return f"{(steps * size).quantize(size):f} g"


def _about(number: float, digits: int) -> str:
    return f"{float(f'{number:.{digits}g}'):.12g}"


def _warnings(given: MixtureInput) -> tuple[str, ...]:
    warnings = []
    if given.volume_change_percent is None:
        warnings.append(
            "Ideal mixing is assumed, to ± 2 %: alcohol with water shrinks by up to 4 %."
        )
    bare = [
        name
        for name, density in (
            (given.solute, given.solute_density_g_per_ml),
            (given.solvent, given.solvent_density_g_per_ml),
        )
        if density.uncertain().sd == 0
    ]
    if bare:
        warnings.append(f"Density without uncertainty, taken as ± 1 %: {', '.join(bare)}.")
    return tuple(warnings)


def _working(given: MixtureInput) -> tuple[WorkingValue, ...]:
    lines = [
        worked(f"as written, {given.basis}", given.written_percent, "%"),
        _density_worked(given.solute, given.solute_density_g_per_ml),
        _density_worked(given.solvent, given.solvent_density_g_per_ml),
    ]
    if given.volume_change_percent is None:
        lines.append(
            WorkingValue(
                name="change of volume on mixing",
                text="0 ± 2 %",
                kind="estimated",
                origin="ideal mixing",
            )
        )
    else:
        lines.append(worked("change of volume on mixing", given.volume_change_percent, "%"))
    if given.amount is not None:
        wanted, much, unit = given.amount.wanted()
        lines.append(worked(f"wanted {wanted}", much, "g" if unit == KG_PER_G else "mL"))
    return tuple(lines)


def _density_worked(name: str, given: Sourced) -> WorkingValue:
    used = _density(given).scaled(1 / KG_PER_M3)
    text = rounded(used.mean, 2 * used.sd).text("g/mL")
    assumed = " (uncertainty assumed)" if given.uncertain().sd == 0 else ""
    return WorkingValue(
        name=f"density of {name}", text=text + assumed, kind=given.kind, origin=given.origin
    )


COMPUTATIONS = {
    "mixture.convert": Computation(
        name="mixture.convert",
        title="What a percentage means, and what to weigh",
        input_model=MixtureInput,
        output_model=MixtureAnswer,
        function=mixture_convert,
        formula="w/w = m1 / (m1 + m2); w/v of solution = m1 / V; w/v of solvent = m1 / V2; "
        "v/v = V1 / V; V = (1 + e) (m1 / d1 + m2 / d2)",
        sources=("softmend-practice", "jcgm101"),
        cautions=(
            "A solution that was weighed is known; one that was poured depends on densities, "
            "temperature and mixing.",
            "Solvent that evaporates while a resin dissolves makes the solution stronger.",
        ),
        checked="tests/catalogue/test_mixture.py",
    ),
}
