"""The body under a coating: its stiffness and toughness, typed or from the table by its state."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import Model, Sourced, Words, WorkingValue, worked
from softmend.catalogue.material import first_of, sourced, states_of, typed_or_table
from softmend.science.film.layers import Body
from softmend.science.toughness import fracture_energy
from softmend.science.uncertain import Uncertain

PA_PER_GPA, PA_PER_MPA = 1e9, 1e6
STIFFNESS = ("modulus_across", "modulus_radial", "modulus")
ENERGIES = ("fracture_energy_weak", "fracture_energy_across")
INTENSITIES = (
    "toughness_design", "toughness_splitting", "toughness_across", "toughness",
)  # fmt: skip

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]


class FilmBody(Model):
    """The object: a material of the table in a stated state, or typed values.

    The state of preservation is always asked for: fresh values never stand in for old ones. Of the
    two ways to give a toughness, an energy stands before a critical intensity.
    """

    material: Name | None = None
    state: Words | None = None
    modulus_gpa: Sourced | None = None
    poisson: Sourced | None = None
    toughness_j_per_m2: Sourced | None = None
    toughness_mpa_m05: Sourced | None = None


def body_of(given: FilmBody, seed: int) -> tuple[Body | None, list[WorkingValue], tuple[str, ...]]:
    """Return the body, the lines of its working, and why it cannot be told."""
    modulus, lack = _modulus(given)
    poisson = typed_or_table(given.poisson, given.material, "poisson")
    poisson = poisson or (_wood_poisson() if given.material else None)
    if modulus is None or poisson is None:
        return None, [], (lack or "Poisson's ratio of the body is not known; give it.",)
    lines = [worked("body: modulus", modulus, "GPa"), worked("body: Poisson's ratio", poisson, "")]
    stiff, ratio = modulus.uncertain().scaled(PA_PER_GPA), poisson.uncertain()
    toughness, line = _toughness(given, stiff, ratio, seed)
    if toughness is None or line is None:
        lacks = "The table has no toughness of the body in this state; give it."
        return None, [], (lacks,)
    return Body(stiff, ratio, toughness), [*lines, line], ()


def _modulus(given: FilmBody) -> tuple[Sourced | None, str]:
    if given.modulus_gpa is not None:
        return given.modulus_gpa, ""
    if given.material is None:
        return None, "The modulus of the body is not known; give it, or name its material."
    states = states_of(given.material, STIFFNESS)
    allowed = " | ".join(state or "(empty)" for state in states) or "none"
    if given.state is None:
        return None, f"The state of the body is not given; the table has: {allowed}."
    found = first_of(given.material, STIFFNESS, given.state)
    if found is None:
        return None, (
            f"The table has no {given.material} that is “{given.state}”, only: {allowed}. Give "
            "your own values; fresh ones do not stand in for old ones."
        )
    return sourced(found, 1 / PA_PER_GPA), ""


def _wood_poisson() -> Sourced:
    # Wood has four of them; a third moves the energies by less than 15 %.
    return Sourced.model_validate(
        {"value": {"family": "uniform", "least": 0.2, "most": 0.45}, "kind": "estimated",
         "origin": "our own range"}
    )  # fmt: skip


def _toughness(
    given: FilmBody, stiff: Uncertain, ratio: Uncertain, seed: int
) -> tuple[Uncertain | None, WorkingValue | None]:
    typed = given.toughness_j_per_m2
    if typed is not None:
        return typed.uncertain(), worked("body: toughness", typed, "J/m²")
    told = given.toughness_mpa_m05
    if told is not None:
        value = fracture_energy(told.uncertain().scaled(PA_PER_MPA), stiff, ratio, seed)
        return value, worked("body: toughness (critical intensity)", told, "MPa·m^0.5")
    # The table's toughness holds for the states whose stiffness it knows, and for no other.
    if given.material is None or given.state not in states_of(given.material, STIFFNESS):
        return None, None
    energy = first_of(given.material, ENERGIES)
    if energy is not None:
        found = sourced(energy)
        return found.uncertain(), worked("body: toughness", found, "J/m²")
    intensity = first_of(given.material, INTENSITIES)
    if intensity is None:
        return None, None
    value = fracture_energy(Uncertain.from_json(intensity.distribution), stiff, ratio, seed)
    shown = sourced(intensity, 1e-6)
    return value, worked(f"body: toughness ({intensity.condition or 'any'})", shown, "MPa·m^0.5")
