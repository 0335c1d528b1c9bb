"""What goes into the computations of a filled crack, in bench units, and what it becomes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import Model, Number, Sourced, Words, WorkingValue, worked
from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.criteria import (
    Bond,
    Climate,
    Filling,
    Joint,
    Matter,
    Movement,
    Opening,
)
from softmend.science.joint.sharing import Section
from softmend.science.uncertain import Uncertain

M_PER_MM, PA_PER_MPA, PA_PER_GPA, S_PER_DAY = 1e-3, 1e6, 1e9, 86400.0
SHARE_PER_PERCENT = 1e-2

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
BodyName: TypeAlias = Literal["plane", "cylinder", "hollow cylinder"]
SectionName: TypeAlias = Literal["parallel, bottom free", "parallel, bottom bonded", "V"]


class CrackToHold(Model):
    """A long crack: what it runs into, its depth and mouth width, and how the depth is known."""

    body: BodyName
    radius_mm: Sourced | None = None
    inner_radius_mm: Sourced | None = None
    depth_mm: Sourced
    width_mm: Sourced
    section: SectionName = "V"
    known_how: Literal["seen", "gauge", "X-ray", "not known"] = "not known"


class ObjectMatter(Model):
    """The object across the crack; its state of preservation decides which values hold.

    What is left out is not known: without a state, a stiffness and a toughness there is no answer.
    """

    material: Name
    preservation: Words | None = None
    modulus_gpa: Sourced | None = None
    poisson: Sourced | None = None
    relaxation: Sourced | None = None
    strength_mpa: Sourced | None = None
    toughness_mpa_m05: Sourced | None = None


class FillSystem(Model):
    """A fill and its bond; the rest of it is for comparing, and may be left out.

    Shrinkage is of volume on drying or curing; only the share of it after the fill has set loads
    the joint. Swelling is the fill's own strain for each percent of humidity.
    """

    name: Name
    modulus_gpa: Sourced
    poisson: Sourced
    relaxation: Sourced = Sourced(value=1.0, kind="estimated", origin="not relaxed")
    strength_mpa: Sourced | None = None
    elongation_percent: Sourced | None = None
    shrinkage_percent: Sourced | None = None
    shrinkage_after_setting: Sourced = Sourced(
        value={"low": 0.01, "typical": 0.05, "high": 0.2}, kind="estimated", origin="no source"
    )
    swelling_percent: Sourced | None = None
    bond_strength_mpa: Sourced | None = None
    bond_energy_j_per_m2: Sourced | None = None
    density_g_per_ml: Sourced | None = None
    solids_percent: Sourced | None = None
    liquid: Literal["water", "solvent", "none"] | None = None
    layer_mm: Annotated[Number, Field(gt=0, le=1000)] | None = None
    layer_drying_days: Annotated[Number, Field(ge=0, le=1000)] | None = None
    reversible: Literal["easily", "with effort", "hardly", "not in practice"] | None = None
    reversible_in: Words = ""
    hazards: Annotated[tuple[Words, ...], Field(max_length=20)] = ()


class CrackMovement(Model):
    """How the crack moves for each percent that the object dries; measured beats modelled.

    `measured_mm` is the mouth opening of the empty crack for each %RH; `mismatch_percent` how much
    more the object moves tangentially than radially (of a plane, how much is held back), in % for
    each %RH. Positive opens on drying.
    """

    measured_mm: Sourced | None = None
    mismatch_percent: Sourced | None = None


class YearOfClimate(Model):
    """The largest fall and rise that the object itself feels in a usual year, from the placing on.

    `year_cv` is how much the largest swing differs between years, `duration_days` how long it
    takes to build up.
    """

    fall_percent: Sourced
    rise_percent: Sourced = Sourced(value=0.0, kind="estimated", origin="not given")
    year_cv: Annotated[Number, Field(ge=0, le=2)] = 0.2
    duration_days: Annotated[Number, Field(gt=0, le=3650)] = 90.0


def lacks(matter: ObjectMatter, movement: CrackMovement) -> tuple[str, ...]:
    """Return why nothing can be said, if so: no value stands in for a state that has none."""
    if matter.preservation is None:
        return (
            f"The state of preservation of the {matter.material} is not given: fresh values do not "
            "hold for degraded material.",
        )
    missing = [
        word
        for word, value in (
            ("stiffness", matter.modulus_gpa),
            ("Poisson's ratio", matter.poisson),
            ("toughness", matter.toughness_mpa_m05),
        )
        if value is None
    ]
    reasons = []
    if missing:
        reasons.append(
            f"There is no {' and no '.join(missing)} of {matter.material} in the state "
            f"“{matter.preservation}”; the nearest fresh value is not taken in its place. Type "
            "your own, marked as an estimate."
        )
    if movement.measured_mm is None and movement.mismatch_percent is None:
        reasons.append(
            "It is not known how the crack moves with humidity; measure its width at two "
            "humidities."
        )
    return tuple(reasons)


def fill_lacks(fill: FillSystem) -> tuple[str, ...]:
    """Return what is not known of a fill so that it cannot be said what gives first."""
    reasons = []
    if fill.strength_mpa is None and fill.elongation_percent is None:
        reasons.append(f"{fill.name}: it has no strength and no elongation at break.")
    if fill.bond_strength_mpa is None and fill.bond_energy_j_per_m2 is None:
        reasons.append(f"{fill.name}: its bond has no strength and no energy; none is published "
                       "for ivory, so test it on a lawful surrogate.")  # fmt: skip
    return tuple(reasons)


def body_of(crack: CrackToHold) -> Body:
    """Return what the crack runs into; the hole of a hollow shaft at its typical size."""
    shape = Shape(crack.body)
    if shape is not Shape.PLANE and crack.radius_mm is None:
        raise InputError(
            "A round object has no radius",
            allowed="the outer radius, however uncertain",
            remedy="Half the width across the shaft is near enough",
        )
    if shape is not Shape.HOLLOW:
        return Body(shape)
    if crack.inner_radius_mm is None or crack.radius_mm is None:
        raise InputError("A hollow object has no inner radius", allowed="the radius of its hollow")
    ratio = crack.inner_radius_mm.uncertain().typical / crack.radius_mm.uncertain().typical
    return Body(shape, ratio)


def joint_of(
    crack: CrackToHold,
    matter: ObjectMatter,
    fill: FillSystem,
    movement: CrackMovement,
    climate: YearOfClimate,
) -> Joint:
    """Return the joint that science computes, in SI."""
    round_ = crack.radius_mm is not None and crack.body != "plane"
    measured = movement.measured_mm
    return Joint(
        Matter(
            modulus=_scaled(matter.modulus_gpa, PA_PER_GPA) or Uncertain.exact(0.0),
            poisson=_scaled(matter.poisson, 1.0) or Uncertain.exact(0.3),
            relaxation=_scaled(matter.relaxation, 1.0) or Uncertain.exact(1.0),
            toughness=_scaled(matter.toughness_mpa_m05, PA_PER_MPA) or Uncertain.exact(1.0),
            strength=_scaled(matter.strength_mpa, PA_PER_MPA),
        ),
        Opening(
            body_of(crack),
            Section(crack.section),
            crack.depth_mm.uncertain().scaled(M_PER_MM),
            crack.width_mm.uncertain().scaled(M_PER_MM),
            _scaled(crack.radius_mm, M_PER_MM) if round_ else None,
        ),
        _filling(fill),
        Bond(_scaled(fill.bond_strength_mpa, PA_PER_MPA), _scaled(fill.bond_energy_j_per_m2, 1.0)),
        Movement(
            measured=_scaled(measured, M_PER_MM),
            mismatch=None
            if measured is not None
            else _scaled(movement.mismatch_percent, SHARE_PER_PERCENT),
        ),
        Climate(
            climate.fall_percent.uncertain(),
            climate.rise_percent.uncertain(),
            climate.year_cv,
            climate.duration_days * S_PER_DAY,
        ),
    )


def _filling(fill: FillSystem) -> Filling:
    shrinks = fill.shrinkage_percent is not None
    return Filling(
        modulus=fill.modulus_gpa.uncertain().scaled(PA_PER_GPA),
        poisson=fill.poisson.uncertain(),
        relaxation=fill.relaxation.uncertain(),
        strength=_scaled(fill.strength_mpa, PA_PER_MPA),
        elongation=_scaled(fill.elongation_percent, SHARE_PER_PERCENT),
        shrinkage=_scaled(fill.shrinkage_percent, SHARE_PER_PERCENT),
        after_setting=fill.shrinkage_after_setting.uncertain() if shrinks else None,
        swelling=_scaled(fill.swelling_percent, SHARE_PER_PERCENT),
    )


def _scaled(value: Sourced | None, factor: float) -> Uncertain | None:
    return None if value is None else value.uncertain().scaled(factor)


def working_of(
    crack: CrackToHold, matter: ObjectMatter, movement: CrackMovement, climate: YearOfClimate
) -> Iterator[WorkingValue]:
    """Yield every value of object, crack, movement and climate that went in."""
    yield WorkingValue(name="crack", text=f"{crack.body}, {crack.section}", kind="estimated",
                       origin="typed")  # fmt: skip
    named: tuple[tuple[str, Sourced | None, str], ...] = (
        (f"depth ({crack.known_how})", crack.depth_mm, "mm"),
        ("width at the mouth", crack.width_mm, "mm"),
        ("outer radius", crack.radius_mm, "mm"),
        ("inner radius", crack.inner_radius_mm, "mm"),
        (f"stiffness of {matter.material}, {matter.preservation}", matter.modulus_gpa, "GPa"),
        ("Poisson's ratio of the object", matter.poisson, ""),
        ("relaxation of the object", matter.relaxation, ""),
        ("strength of the object", matter.strength_mpa, "MPa"),
        ("toughness of the object", matter.toughness_mpa_m05, "MPa m^0.5"),
        ("measured opening for each %RH", movement.measured_mm, "mm"),
        ("mismatch for each %RH", movement.mismatch_percent, "%"),
        ("fall in a usual year", climate.fall_percent, "%RH"),
        ("rise in a usual year", climate.rise_percent, "%RH"),
    )
    yield from (worked(name, value, unit) for name, value, unit in named if value is not None)


def working_of_fill(fill: FillSystem) -> Iterator[WorkingValue]:
    """Yield every value of a fill that went in."""
    named: tuple[tuple[str, Sourced | None, str], ...] = (
        ("stiffness", fill.modulus_gpa, "GPa"),
        ("Poisson's ratio", fill.poisson, ""),
        ("relaxation", fill.relaxation, ""),
        ("strength", fill.strength_mpa, "MPa"),
        ("elongation at break", fill.elongation_percent, "%"),
        ("shrinkage of volume", fill.shrinkage_percent, "%"),
        ("swelling for each %RH", fill.swelling_percent, "%"),
        ("strength of the bond", fill.bond_strength_mpa, "MPa"),
        ("energy of the bond", fill.bond_energy_j_per_m2, "J/m²"),
        ("dry density", fill.density_g_per_ml, "g/mL"),
        ("solids", fill.solids_percent, "%"),
    )
    yield from (
        worked(f"{fill.name}: {name}", value, unit)
        for name, value, unit in named
        if value is not None
    )
    if fill.shrinkage_percent is not None:
        yield worked(f"{fill.name}: share of shrinkage after setting",
                     fill.shrinkage_after_setting, "")  # fmt: skip
