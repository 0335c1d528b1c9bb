"""Whether a glued joint carries its own piece for years, and gives before the object does."""
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
    Sourced,
    Words,
    WorkingValue,
    estimate,
    worked,
)
from softmend.catalogue.material import first_of, sourced, states_of
from softmend.science.join import LASTING, Bond, Held, Joint, Piece, Section, holds
from softmend.science.propagation import Spread
from softmend.science.uncertain import Uncertain
from softmend.science.wording import strength

M_PER_MM, KG_PER_G, PA_PER_MPA = 1e-3, 1e-3, 1e6
KG_PER_CM2 = 98_066.5
"""Pascals in a kilogram's weight on each square centimetre."""
LIGHT = 0.1
"""Kilograms below which a pull is told in grams."""
ACROSS = ("tensile_strength_across", "tensile_strength")
CAUTIONS = (
    "Not a lifting calculation and no proof of safety: weigh the piece; a competent person signs.",
    "A model of one flat joint in an even material; cracks inside that nobody knows void it.",
    "What lasts of a bond under steady load, and how it softens with warmth, are estimates.",
    "No bond strength on ivory, bone or antler has been published that we know of.",
)

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
AT_REST = Sourced.model_validate({"value": 1, "kind": "estimated", "origin": "at rest"})
WHOLE = Sourced.model_validate({"value": 1, "kind": "estimated", "origin": "bonded all over"})


class JoinInput(Model):
    """A joint, what hangs on it, its adhesive, and the object; typed values stand before the table.

    `hang_degrees` is the angle of the piece below the horizontal: 0 sticks out sideways, 90 hangs
    straight down, -90 stands on its joint. `handling` multiplies the weight: 1 at rest.
    `lasting_share` is what is left for years of a strength measured in minutes. With the energies
    of bond and object it is told whether a crack that meets the bond stays in it. A strength that
    is only known to be at least so much says so.
    """

    section: Literal["rectangle", "ellipse"] = "ellipse"
    breadth_mm: Sourced
    height_mm: Sourced
    bonded_share: Sourced = WHOLE
    mass_g: Sourced
    arm_mm: Sourced
    hang_degrees: Sourced
    handling: Sourced = AT_REST
    adhesive: Name | None = None
    bond_strength_mpa: Sourced | None = None
    bond_strength_at_least: bool = False
    glass_transition_degc: Sourced | None = None
    softens: bool = True
    glue_line_mm: Sourced | None = None
    lasting_share: Sourced | None = None
    warmest_degc: Sourced
    object_material: Name | None = None
    object_state: Words | None = None
    object_strength_mpa: Sourced | None = None
    bond_energy_j_per_m2: Sourced | None = None
    object_toughness_j_per_m2: Sourced | None = None


class JoinAnswer(Answer):
    """Whether the joint holds and gives first, the window for a bond's strength, and its creep.

    `holds_percent` is the share of draws in which the lasting strength is above the load;
    `bond_first_percent` that in which the bond is weaker than the object.
    """

    text: str = ""
    first_text: str = ""
    warmth_text: str = ""
    pull_text: str = ""
    stays_text: str = ""
    holds_percent: float | None = None
    bond_first_percent: float | None = None
    stays_in_bond_percent: float | None = None
    edge_tension_mpa: Estimate | None = None
    load_over_lasting: Estimate | None = None
    least_strength_mpa: Estimate | None = None
    most_strength_mpa: Estimate | None = None
    bond_over_object: Estimate | None = None
    slip_a_year_mm: Estimate | None = None


def join_holds(given: JoinInput, asked: Asked) -> JoinAnswer:
    """Return whether a joint holds its piece; "cannot say" without the strength of the bond."""
    bond_strength, only_at_least = _bond_strength(given)
    transition = _transition(given)
    lacks = []
    if bond_strength is None:
        lacks.append("The strength of the bond is not known; measure a pull-off, or give a range.")
    if transition is None and given.softens:
        lacks.append(
            "The glass transition of the adhesive is not known; give it, or say that it does not "
            "soften."
        )
    if bond_strength is None or lacks:
        return JoinAnswer(answer="cannot say", reasons=tuple(lacks))
    object_strength, why = _object_strength(given)
    found = _found(given, bond_strength, transition, object_strength, asked.seed)
    first = None if only_at_least else found.bond_first
    return JoinAnswer(
        reasons=(why,) if why else (),
        text=f"The joint holds its piece for years: {strength(found.holds)}.",
        first_text=_first_text(first, only_at_least, why),
        warmth_text=_warmth_text(found, given.softens),
        pull_text=_pull_text(found),
        holds_percent=100 * found.holds,
        bond_first_percent=None if first is None else 100 * first,
        stays_text=_stays_text(found.stays),
        stays_in_bond_percent=None if found.stays is None else 100 * found.stays,
        edge_tension_mpa=_in_mpa(found.tension),
        load_over_lasting=estimate(found.load, 1.0, ""),
        least_strength_mpa=_in_mpa(found.least),
        most_strength_mpa=None if found.most is None else _in_mpa(found.most),
        bond_over_object=(
            None if found.bond_over_object is None else estimate(found.bond_over_object, 1.0, "")
        ),
        slip_a_year_mm=None if found.slip is None else estimate(found.slip, 1 / M_PER_MM, "mm"),
        warnings=_warnings(given, bond_strength, only_at_least),
        working=_working(given, bond_strength, transition, object_strength),
    )


def _bond_strength(given: JoinInput) -> tuple[Sourced | None, bool]:
    """Return the strength of the bond, and whether it is only known to be at least that."""
    if given.bond_strength_mpa is not None or given.adhesive is None:
        return given.bond_strength_mpa, given.bond_strength_at_least
    found = first_of(given.adhesive, ("bond_strength", "bond_strength_lower_bound"))
    if found is None:
        return None, False
    return sourced(found, 1 / PA_PER_MPA), found.property == "bond_strength_lower_bound"


def _transition(given: JoinInput) -> Sourced | None:
    if not given.softens:
        return None
    if given.glass_transition_degc is not None or given.adhesive is None:
        return given.glass_transition_degc
    names = ("glass_transition", "softening_point", "melting_point")
    found = first_of(given.adhesive, names)
    return None if found is None else sourced(found)


def _object_strength(given: JoinInput) -> tuple[Sourced | None, str]:
    if given.object_strength_mpa is not None:
        return given.object_strength_mpa, ""
    if given.object_material is None:
        return None, "The strength of the object is not known: whether it gives first is open."
    states = states_of(given.object_material, ACROSS)
    allowed = " | ".join(state or "(empty)" for state in states) or "none"
    if given.object_state is None:
        return None, f"The state of the object is not given; the table has: {allowed}."
    found = first_of(given.object_material, ACROSS, given.object_state)
    if found is None:
        return None, (
            f"The table has no strength of {given.object_material} that is "
            f"“{given.object_state}”, only: {allowed}. Give your own."
        )
    return sourced(found, 1 / PA_PER_MPA), ""


def _found(
    given: JoinInput,
    bond_strength: Sourced,
    transition: Sourced | None,
    object_strength: Sourced | None,
    seed: int,
) -> Held:
    joint = Joint(
        Section(given.section),
        given.breadth_mm.uncertain().scaled(M_PER_MM),
        given.height_mm.uncertain().scaled(M_PER_MM),
        given.bonded_share.uncertain(),
    )
    piece = Piece(
        given.mass_g.uncertain().scaled(KG_PER_G),
        given.arm_mm.uncertain().scaled(M_PER_MM),
        given.hang_degrees.uncertain(),
        given.handling.uncertain(),
    )
    bond = Bond(
        bond_strength.uncertain().scaled(PA_PER_MPA),
        LASTING if given.lasting_share is None else given.lasting_share.uncertain(),
        None if transition is None else transition.uncertain(),
        _scaled(given.glue_line_mm, M_PER_MM),
        _scaled(given.bond_energy_j_per_m2, 1.0),
    )
    object_pa = _scaled(object_strength, PA_PER_MPA)
    toughness = _scaled(given.object_toughness_j_per_m2, 1.0)
    warmest = given.warmest_degc.uncertain()
    return holds(joint, piece, bond, warmest, object_pa, toughness, seed=seed)


def _scaled(given: Sourced | None, factor: float) -> Uncertain | None:
    return None if given is None else given.uncertain().scaled(factor)


def _first_text(first: float | None, only_at_least: bool, why: str) -> str:
    if only_at_least:
        return (
            "Whether the bond gives before the object is not known: its strength is only known to "
            "be at least this."
        )
    if first is None:
        return why
    return f"If it is overloaded, the bond gives before the object: {strength(first)}."


def _warmth_text(found: Held, softens: bool) -> str:
    if not softens or found.above_transition is None:
        return "Typed as a bond that does not soften."
    how_surely = strength(found.above_transition)
    words = f"On the warmest day the bond is above its glass transition: {how_surely}."
    if found.slip is None:
        return words
    slip = found.slip.band.high / M_PER_MM
    return f"{words} Under its own weight it slides up to {slip:.2g} mm a year at that warmth."


def _stays_text(stays: float | None) -> str:
    if stays is None:
        return (
            "Whether a crack would stay in the bond is not known: it needs the energies of bond "
            "and object."
        )
    return (
        f"A crack that meets the bond runs along it and leaves the object whole: {strength(stays)}."
    )


def _pull_text(found: Held) -> str:
    points = (found.tension.band.low, found.tension.band.typical, found.tension.band.high)
    # A hand knows small loads in grams.
    is_light = float(f"{points[1] / KG_PER_CM2:.2g}") < LIGHT
    per, unit = (KG_PER_CM2 * KG_PER_G, "g") if is_light else (KG_PER_CM2, "kg")
    low, typical, high = (f"{float(f'{one / per:.2g}'):g}" for one in points)
    about = f"{typical} {unit}" if low == high else f"{typical} {unit} ({low} to {high})"
    return f"At its worst edge it pulls like {about} on each square centimetre."


def _in_mpa(found: Spread) -> Estimate:
    return estimate(found, 1 / PA_PER_MPA, "MPa")


def _warnings(given: JoinInput, bond_strength: Sourced, only_at_least: bool) -> tuple[str, ...]:
    warnings = []
    if bond_strength.kind == "estimated":
        warnings.append("The strength of the bond is an estimate: measure it by a pull-off.")
    if only_at_least:
        warnings.append("The bond was not seen to fail: its strength is at least this.")
    if given.handling == AT_REST:
        warnings.append("At rest: moving, bumping and packing pull several times harder.")
    if given.lasting_share is None:
        warnings.append("A tenth to a half of the strength is taken to last (an estimate).")
    return tuple(warnings)


def _working(
    given: JoinInput,
    bond_strength: Sourced,
    transition: Sourced | None,
    object_strength: Sourced | None,
) -> tuple[WorkingValue, ...]:
    lasting = given.lasting_share or Sourced.model_validate(
        {"value": LASTING.to_json(), "kind": "estimated", "origin": "our own range"}
    )
    lines = [
        worked("breadth of the joint", given.breadth_mm, "mm"),
        worked("height of the joint", given.height_mm, "mm"),
        worked("bonded share", given.bonded_share, ""),
        worked("mass of the piece", given.mass_g, "g"),
        worked("arm to its centre of mass", given.arm_mm, "mm"),
        worked("angle below the horizontal", given.hang_degrees, "°"),
        worked("handling", given.handling, "times the weight"),
        worked("strength of the bond", bond_strength, "MPa"),
        worked("share that lasts", lasting, ""),
        worked("warmest temperature", given.warmest_degc, "°C"),
    ]
    more = (
        ("glass transition", transition, "°C"),
        ("glue line", given.glue_line_mm, "mm"),
        ("strength of the object", object_strength, "MPa"),
        ("energy of the bond", given.bond_energy_j_per_m2, "J/m²"),
        ("toughness of the object", given.object_toughness_j_per_m2, "J/m²"),
    )
    lines += [worked(name, value, unit) for name, value, unit in more if value is not None]
    section = WorkingValue(name="outline", text=given.section, kind="measured", origin="typed")
    return (*lines, section)


COMPUTATIONS = {
    "join.holds": Computation(
        name="join.holds",
        title="Whether a joint holds its piece, and gives before the object",
        input_model=JoinInput,
        output_model=JoinAnswer,
        function=join_holds,
        formula="edge stress = W sin(h) / A + W cos(h) arm / Z, with mean shear W cos(h) / A, as "
        "largest tension; against strength × what lasts × softening (1 from 20 K below the glass "
        "transition to 0 at it); slip = shear × glue line / viscosity (WLF, that of the glass "
        "below it); a crack stays in the bond below a quarter of the object's toughness; 20 000 "
        "draws",
        sources=("young2002", "williams1955", "he1989", "jcgm101"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_join.py",
    ),
}
