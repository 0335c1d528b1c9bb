"""Mass and centre of gravity before and after the fills that are planned, by one name."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    Words,
    worked,
)
from softmend.catalogue.solid_scan import MM_PER_M, At, Place, ranged
from softmend.errors import InputError

G_PER_KG, ML_PER_M3, KG_PER_M3 = 1e3, 1e6, 1e3
NOT_YET_FILLED = (
    "As planned, the fills dry and whole: what shrinks or is left out weighs less. Weigh it again "
    "when it is filled."
)


class PlannedFill(Model):
    """A fill that is planned in a void: its volume, its density or material, its middle.

    A `material` of the table stands for a density that is not given.
    """

    name: Words = "fill"
    volume_ml: Sourced
    density_g_per_ml: Sourced | None = None
    material: Words | None = None
    at_mm: Place


class FilledMassInput(Model):
    """What an object weighs before, where its centre lies, and the fills that are planned.

    Places are in millimetres, in any one frame.
    """

    mass_g: Sourced
    centre_mm: Place
    centre_spread_mm: Annotated[Number, Field(ge=0, le=20_000)] = 0.0
    fills: list[PlannedFill] = Field(min_length=1, max_length=50)


class FilledMassAnswer(Answer):
    """Mass and centre of gravity with the planned fills, what they add, how far it moves."""

    mass_before_g: Estimate | None = None
    added_g: Estimate | None = None
    mass_after_g: Estimate | None = None
    centre_mm: At | None = None
    centre_spread_mm: float | None = None
    centre_shift_mm: float | None = None


def solid_filled_mass(given: FilledMassInput, asked: Asked) -> FilledMassAnswer:
    """Return mass and centre of gravity once what is planned is filled."""
    from softmend.catalogue.material import typed_or_table
    from softmend.science.solid.filled import filled_mass
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.mass import Filling

    fillings, lines = [], [worked("mass before", given.mass_g, "g")]
    for one in given.fills:
        density = typed_or_table(one.density_g_per_ml, one.material, "density", 1 / KG_PER_M3)
        if density is None:
            raise InputError(
                f"The density of {one.name} is not known",
                allowed="density_g_per_ml, or a material of the table that has one",
                remedy="Choose the fill, or type its density",
            )
        lines += [
            worked(f"{one.name}: volume", one.volume_ml, "mL"),
            worked(f"{one.name}: density", density, "g/mL"),
        ]
        fillings.append(
            Filling(
                one.volume_ml.uncertain().band.scaled(1 / ML_PER_M3),
                density.uncertain().band.scaled(KG_PER_M3),
                vectors(one.at_mm, 1 / MM_PER_M),
            )
        )
    mass = given.mass_g.uncertain().band.scaled(1 / G_PER_KG)
    found = filled_mass(
        mass, vectors(given.centre_mm, 1 / MM_PER_M), given.centre_spread_mm / MM_PER_M, fillings
    )
    x, y, z = (float(f"{MM_PER_M * one:.6g}") for one in found.centre)
    before, added, after = (
        ranged(one.low, one.typical, one.high, G_PER_KG, "g")
        for one in (mass, found.added, found.mass)
    )
    return FilledMassAnswer(
        mass_before_g=before,
        added_g=added,
        mass_after_g=after,
        centre_mm=(x, y, z),
        centre_spread_mm=float(f"{MM_PER_M * found.spread:.2g}"),
        centre_shift_mm=float(f"{MM_PER_M * found.shift:.2g}"),
        warnings=(NOT_YET_FILLED,),
        working=tuple(lines),
    )


COMPUTATIONS: dict[str, Computation] = {
    "solid.filled_mass": Computation(
        name="solid.filled_mass",
        title="Mass and centre of gravity after the planned fill",
        input_model=FilledMassInput,
        output_model=FilledMassAnswer,
        function=solid_filled_mass,
        formula="m after = m before + Σ fill density × V fill; centre = (m before × centre before "
        "+ Σ m fill × its middle) / m after, at both ends of every range",
        sources=("softmend-solids",),
        cautions=(NOT_YET_FILLED,),
        checked="tests/science/solid/test_filled.py",
    ),
}
