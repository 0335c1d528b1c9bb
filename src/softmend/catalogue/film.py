"""Why a coating lifts: its tension against the hold of every layer under it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import astuple
from typing import TYPE_CHECKING, Annotated, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Sourced,
    WorkingValue,
    estimate,
    worked,
)
from softmend.catalogue.film_body import FilmBody, body_of
from softmend.catalogue.material import typed_or_table
from softmend.science.film.energy import Pattern
from softmend.science.film.layers import DRAWS, LASTING, Between, Coat, Lifting, Plane, lifting
from softmend.science.film.pattern import PatternFound, Patterns, patterns
from softmend.science.wording import strength

if TYPE_CHECKING:
    from softmend.science.propagation import Spread
    from softmend.science.uncertain import Uncertain

PA_PER_GPA, PA_PER_MPA, M_PER_UM, PART_PER_PERCENT = 1e9, 1e6, 1e-6, 0.01
GRAVITY, HAND_WIDTH = 9.80665, 0.1
CAUTIONS = (
    "A model of one even coating on even layers, with one straight peeling edge.",
    "Every adhesion energy and tension in the table is an estimate; none was measured on ivory, "
    "bone or antler.",
    "It does not know dirt, grease, salts, old repairs, or moisture that gets under the coating.",
    "A crack along in the coating knows how stiff the ground is; the other patterns are for equal "
    "stiffness, so a soft coating on a stiff body gives up less than they say.",
    "A coating that presses (a body that has shrunk under it) buckles: that is not in the model.",
)

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
Seen: TypeAlias = Literal["nothing", "a layer below", "the body", "not known"]


class LayerBetween(Model):
    """A layer between coating and body, such as a patina, and how it holds to what is below."""

    name: Name
    thickness_um: Sourced
    modulus_gpa: Sourced
    poisson: Sourced
    adhesion_j_per_m2: Sourced


class FilmInput(Model):
    """A coating, what lies under it, and the body; a typed value stands before the table's.

    `stretch_percent` is how far the ground has outgrown the coating since it set, along the
    surface. `lasting_share` is what is left over years of an adhesion energy measured quickly.
    `seen_under_flakes` is what clings to the underside of loose flakes. Fewer `draws` answer
    sooner and less finely.
    """

    coating: Name | None = None
    coating_thickness_um: Sourced | None = None
    coating_modulus_gpa: Sourced | None = None
    coating_poisson: Sourced | None = None
    coating_stress_mpa: Sourced | None = None
    coating_toughness_j_per_m2: Sourced | None = None
    adhesion_j_per_m2: Sourced | None = None
    stretch_percent: Sourced | None = None
    layers: Annotated[list[LayerBetween], Field(max_length=10, default_factory=list)]
    body: FilmBody
    lasting_share: Sourced | None = None
    seen_under_flakes: Seen = "not known"
    draws: Annotated[int, Field(ge=1000, le=100_000)] = DRAWS


class FilmPlane(Model):
    """One place where something may part: energy, hold, energy over hold, and how often.

    `gives_percent` is the share of draws in which the energy suffices, `first_percent` the share
    in which this plane is the one that gives.
    """

    name: str
    energy_j_per_m2: Estimate
    hold_j_per_m2: Estimate
    energy_over_hold: Estimate
    gives_percent: float
    first_percent: float
    wording: str


class FilmPattern(Model):
    """One way in which the coating may give: what it frees, what it asks for, how often.

    `asks_j_per_m2` is None where nobody knows what it would have to break.
    """

    name: str
    factor: float
    energy_j_per_m2: Estimate
    asks_j_per_m2: Estimate | None = None
    gives_percent: float | None = None
    wording: str


class FilmAnswer(Answer):
    """Which layer lets go, how surely, and the thickness below which none does.

    `stiffness_contrast` is from -1 (far softer than what it lies on) to 1 (far stiffer).
    """

    text: str = ""
    seen_text: str = ""
    pull_text: str = ""
    planes: tuple[FilmPlane, ...] = ()
    crack: FilmPlane | None = None
    patterns: tuple[FilmPattern, ...] = ()
    stiffness_contrast: Estimate | None = None
    lifts_percent: float | None = None
    tension_mpa: Estimate | None = None
    safe_thickness_um: Estimate | None = None


def film_explain(given: FilmInput, asked: Asked) -> FilmAnswer:
    """Return which layer under a coating lets go; "cannot say" when a value is not known."""
    coat = _coat_values(given)
    body, body_values, body_lacks = body_of(given.body, asked.seed)
    lacks = [f"The {name} of the coating is not known; give it, "
             "however wide." for name, value in coat.items() if value is None]  # fmt: skip
    if lacks or body is None:
        return FilmAnswer(answer="cannot say", reasons=(*lacks, *body_lacks))
    known = {name: value for name, value in coat.items() if value is not None}
    coat_si, between, lasting = _stack(given, known)
    found = lifting(coat_si, between, body, lasting, given.draws, asked.seed)
    ways = patterns(coat_si, between[0] if between else None, body, lasting, seed=asked.seed)
    return FilmAnswer(
        text=_text(found),
        seen_text=_seen_text(given, found),
        pull_text=_pull_text(found.tension, known["thickness"].uncertain().typical * M_PER_UM),
        planes=tuple(_plane(one) for one in found.planes),
        crack=None if found.crack is None else _plane(found.crack),
        patterns=tuple(_pattern(one) for one in ways.each),
        stiffness_contrast=estimate(ways.contrast, 1.0, ""),
        lifts_percent=100 * found.anything,
        tension_mpa=estimate(found.tension, 1 / PA_PER_MPA, "MPa"),
        safe_thickness_um=estimate(found.safe_thickness, 1 / M_PER_UM, "µm"),
        warnings=(*_warnings(given, known), *_not_computed(ways)),
        working=_working(given, known, body_values),
    )


def _coat_values(given: FilmInput) -> dict[str, Sourced | None]:
    name = given.coating
    return {
        "thickness": given.coating_thickness_um,
        "modulus": typed_or_table(given.coating_modulus_gpa, name, "modulus", 1 / PA_PER_GPA),
        "Poisson's ratio": typed_or_table(given.coating_poisson, name, "poisson"),
        "tension": typed_or_table(
            given.coating_stress_mpa, name, "internal_stress", 1 / PA_PER_MPA
        ),
        "adhesion": typed_or_table(given.adhesion_j_per_m2, name, "practical_adhesion_energy"),
    }


def _stack(given: FilmInput, known: dict[str, Sourced]) -> tuple[Coat, list[Between], Uncertain]:
    stretch, toughness = given.stretch_percent, given.coating_toughness_j_per_m2
    coat = Coat(
        modulus=known["modulus"].uncertain().scaled(PA_PER_GPA),
        poisson=known["Poisson's ratio"].uncertain(),
        thickness=known["thickness"].uncertain().scaled(M_PER_UM),
        stress=known["tension"].uncertain().scaled(PA_PER_MPA),
        hold=known["adhesion"].uncertain(),
        stretch=None if stretch is None else stretch.uncertain().scaled(PART_PER_PERCENT),
        toughness=None if toughness is None else toughness.uncertain(),
    )
    between = [
        Between(
            one.name,
            one.modulus_gpa.uncertain().scaled(PA_PER_GPA),
            one.poisson.uncertain(),
            one.thickness_um.uncertain().scaled(M_PER_UM),
            one.adhesion_j_per_m2.uncertain(),
        )
        for one in given.layers
    ]
    lasting = LASTING if given.lasting_share is None else given.lasting_share.uncertain()
    return coat, between, lasting


def _plane(found: Plane) -> FilmPlane:
    return FilmPlane(
        name=found.name,
        energy_j_per_m2=estimate(found.energy, 1.0, "J/m²"),
        hold_j_per_m2=estimate(found.hold, 1.0, "J/m²"),
        energy_over_hold=estimate(found.load, 1.0, ""),
        gives_percent=100 * found.chance,
        first_percent=100 * found.first,
        wording=f"the energy suffices here: {strength(found.chance)}",
    )


def _pattern(found: PatternFound) -> FilmPattern:
    chance, asks = found.chance, found.asks
    return FilmPattern(
        name=found.pattern.value,
        factor=found.factor,
        energy_j_per_m2=estimate(found.energy, 1.0, "J/m²"),
        asks_j_per_m2=None if asks is None else estimate(asks, 1.0, "J/m²"),
        gives_percent=None if chance is None else 100 * chance,
        wording="what it asks for is not known" if chance is None else strength(chance),
    )


def _text(found: Lifting) -> str:
    lifts = f"The tension of the coating is enough to lift something: {strength(found.anything)}."
    if found.anything < 0.05:
        return f"{lifts} What lifts it is then something that this model does not know."
    share = found.weakest.first / found.anything
    return f"{lifts} If something parts, it parts {found.weakest.name}: {strength(share)}."


def _seen_text(given: FilmInput, found: Lifting) -> str:
    """Return how what is seen under loose flakes stands to the model."""
    names = {
        "nothing": found.planes[0].name,
        "a layer below": found.planes[1].name if given.layers else "",
        "the body": found.planes[-1].name,
        "not known": "",
    }
    plane = names[given.seen_under_flakes]
    if not plane:
        return "Look at the underside of a loose flake: what clings to it names the plane."
    first = next(one.first for one in found.planes if one.name == plane)
    share = first / found.anything if found.anything else 0.0
    agrees = "agrees with" if share >= 0.5 else "does not agree with"
    return f"Seen under flakes: {given.seen_under_flakes}. That {agrees} the model ({plane})."


def _pull_text(tension: Spread, thickness: float) -> str:
    found = tension.band.scaled(thickness * HAND_WIDTH / GRAVITY)
    low, typical, high = (f"{float(f'{one:.2g}'):g}" for one in astuple(found))
    about = f"{typical} kg" if low == high else f"{typical} kg ({low} to {high})"
    return f"It pulls like {about} on each 10 cm of its edge."


def _warnings(given: FilmInput, known: dict[str, Sourced]) -> tuple[str, ...]:
    guessed = [name for name, value in known.items() if value.kind == "estimated"]
    warnings = []
    if guessed:
        warnings.append(f"Estimates, not measurements: {', '.join(guessed)} of the coating.")
    if given.lasting_share is None:
        warnings.append(
            "One tenth to one half of the adhesion is taken to last for years (an estimate)."
        )
    if given.coating_toughness_j_per_m2 is None:
        warnings.append("Whether the coating itself cracks is not known: it has no toughness.")
    return tuple(warnings)


def _not_computed(ways: Patterns) -> tuple[str, ...]:
    if any(one.pattern is Pattern.CHANNEL for one in ways.each):
        return ()
    return (
        "The coating is so much stiffer than its ground that a crack along in it is not computed.",
    )


def _working(
    given: FilmInput, known: dict[str, Sourced], body: list[WorkingValue]
) -> tuple[WorkingValue, ...]:
    units = {
        "thickness": "µm",
        "modulus": "GPa",
        "Poisson's ratio": "",
        "tension": "MPa",
        "adhesion": "J/m²",
    }
    lines = [worked(f"coating: {name}", value, units[name]) for name, value in known.items()]
    if given.stretch_percent is not None:
        lines.append(worked("the ground has outgrown the coating by", given.stretch_percent, "%"))
    for one in given.layers:
        lines += [
            worked(f"{one.name}: thickness", one.thickness_um, "µm"),
            worked(f"{one.name}: modulus", one.modulus_gpa, "GPa"),
            worked(f"{one.name}: Poisson's ratio", one.poisson, ""),
            worked(f"{one.name}: adhesion to what is below", one.adhesion_j_per_m2, "J/m²"),
        ]
    lasting = given.lasting_share or Sourced.model_validate(
        {"value": LASTING.to_json(), "kind": "estimated", "origin": "our own range"}
    )
    return (*lines, *body, worked("share of the adhesion that lasts", lasting, ""))


COMPUTATIONS = {
    "film.explain": Computation(
        name="film.explain",
        title="Why a coating lifts, and which layer lets go",
        input_model=FilmInput,
        output_model=FilmAnswer,
        function=film_explain,
        formula="energy of a stack that parts = (D N² − 2 B N M + A M²) / (2 (A D − B²)) with A, "
        "B, D the stack's stiffnesses and N, M its tension and moment; a flake of the body runs "
        "2.86 thicknesses deep; held by adhesion × what lasts of it; 20 000 draws "
        "unless fewer are asked for",
        sources=("hutchinson1992", "suo1989", "croll1979", "film-channelling", "jcgm101"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_film.py",
    ),
}
