"""Spot tests: what a coating behaves like, what will move it, and which swab comes next."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import Asked, Model, Number, Words, WorkingValue
from softmend.catalogue.solvency_agent import (
    GUIDE,
    NOT_PROVEN,
    AgentInput,
    Known,
    SolvencyAnswer,
    known_parts,
    label,
    liquid,
    marks,
    worked_liquids,
)
from softmend.catalogue.solvency_coating import Suspected, prior, worked_classes
from softmend.catalogue.solvency_gate import ObjectFacts, gate
from softmend.science.wording import strength

if TYPE_CHECKING:
    from softmend.science.solvency.coating import Particles
    from softmend.science.solvency.spot import Reading

SHORT_DWELL_S, SHOWN, ONLY_SWELLS = 30.0, 0.10, 0.2
SHELLAC_STAINS = 0.20
CAUTIONS = (
    GUIDE,
    "“Behaves like” is no identification: about one name in three is wrong after five swabs; "
    "confirm by FTIR, and never record the class as identified.",
    "EVA, cellulose acetate, polyester and soluble nylon cannot be told apart by swabs; nor can "
    "the kinds of acrylic.",
    "One spot does not speak for the whole; repeat one test in five, and test a bare patch.",
    "Spheres are recalled or estimated, for clean new polymers; the interval beside a class is "
    "that of the reckoning with 20 000 possible coatings: the spheres' own doubt is not in it.",
    NOT_PROVEN,
)

CoatingOutcome: TypeAlias = Literal["none", "swells", "softens", "dissolves"]
ObjectOutcome: TypeAlias = Literal[
    "none", "gloss", "blanch", "tack", "swelling", "colour or powder on swab", "lifting"
]


class SpotTest(AgentInput):
    """One spot test: the agent, what it did to the coating, and apart from that to the object.

    The shortest: `{"parts": ["acetone"], "coating": "dissolves"}`. After a dwell below 30 s a weak
    outcome counts as “at least that”. A layer that was reached later has the next number.
    """

    coating: CoatingOutcome
    object_effect: ObjectOutcome = "none"
    dwell_s: Annotated[Number, Field(ge=0, le=86_400)] | None = None
    layer: Annotated[int, Field(ge=1, le=9)] = 1
    patch: Words = ""


class SpotInput(Model):
    """The tests so far, what is suspected, the agents to be judged, and the object.

    Without `agents` the solvents of the shelf are judged.
    """

    tests: Annotated[list[SpotTest], Field(max_length=60, default_factory=list)]
    suspected: Annotated[list[Suspected], Field(max_length=20, default_factory=list)]
    agents: Annotated[list[AgentInput], Field(max_length=60, default_factory=list)]
    object: Annotated[ObjectFacts, Field(default_factory=ObjectFacts)]


class Behaves(Model):
    """A class that the coating behaves like, and how likely; never an identification.

    The interval (95 %) is that of the reckoning itself, not of how well the spheres are known.
    """

    behaves_like: str
    chance_of_class_percent: float
    chance_low_percent: float
    chance_high_percent: float
    wording: str


class AgentChances(Model):
    """What an agent is expected to do, and why it may not be used, if so."""

    agent: str
    dissolves_percent: float
    softens_percent: float
    swells_percent: float
    wording: str
    forbidden: tuple[str, ...] = ()


class LayerResult(Model):
    """What the tests of one layer say; each layer starts anew."""

    layer: int
    tests: int
    classes: tuple[Behaves, ...]
    misfit: bool
    misfit_share: float | None
    agents: tuple[AgentChances, ...]
    repeats: int
    repeats_that_differ: int


class SpotAnswer(SolvencyAnswer):
    """What each layer behaves like, and what would move it."""

    text: str = ""
    layers: tuple[LayerResult, ...] = ()


def spot(given: SpotInput, asked: Asked) -> SpotAnswer:
    """Return what the coating behaves like after the tests, and what will move it."""
    before = prior(given.suspected, asked.seed)
    agents = [known_parts(one.parts) for one in given.agents] or shelf_parts()
    typed = given.agents or [AgentInput.model_validate(one[0].id) for one in agents]
    gates = [gate(t, k, given.object).forbidden for t, k in zip(typed, agents, strict=True)]
    layers, warnings = [], list(stops(given.tests))
    for number in sorted({one.layer for one in given.tests}) or [1]:
        tests = [one for one in given.tests if one.layer == number]
        after = after_tests(before, tests, asked.seed)
        layers.append(_layer(number, tests, before, after, agents, gates, asked.seed))
        warnings += _layer_warnings(layers[-1], after)
    working = [*worked_classes(), *_worked_tests(given.tests)]
    return SpotAnswer(
        text=_text(layers),
        layers=tuple(layers),
        warnings=tuple(warnings),
        working=tuple(working),
        cautions=CAUTIONS,
        marks=marks(working),
    )


def shelf_parts() -> list[list[Known]]:
    """Return the solvents that the shelf calls ok, each alone."""
    from softmend.catalogue.solvency_agent import Part
    from softmend.tables.solvents import solvents

    return [known_parts([Part(solvent=one.id)]) for one in solvents() if one.status == "ok"]


def readings(tests: Sequence[SpotTest]) -> list[Reading]:
    """Return tests as science takes them."""
    from softmend.science.solvency.coating import Outcome
    from softmend.science.solvency.spot import Reading

    return [
        Reading(
            liquid(known_parts(one.parts)),
            Outcome[one.coating.upper()],
            one.dwell_s is not None and one.dwell_s < SHORT_DWELL_S,
        )
        for one in tests
    ]


def after_tests(before: Particles, tests: Sequence[SpotTest], seed: int) -> Particles:
    """Return the possible coatings after the tests of one layer."""
    from softmend.science.solvency.spot import updated

    return updated(before, readings(tests), seed)


def stops(tests: Sequence[SpotTest]) -> list[str]:
    """Return why to stop: anything but nothing seen on the object."""
    return [
        f"STOP: {one.object_effect} on the object with {label(known_parts(one.parts))}. Decide "
        "before another swab, and record who decided."
        for one in tests
        if one.object_effect != "none"
    ]


def repeats(tests: Sequence[SpotTest]) -> tuple[int, int]:
    """Return how many tests repeat an earlier one, and how many of those differ from it."""
    first: dict[str, str] = {}
    again = differ = 0
    for one in tests:
        name = label(known_parts(one.parts))
        if name in first:
            again += 1
            differ += first[name] != one.coating
        first.setdefault(name, one.coating)
    return again, differ


def percent(chance: float) -> float:
    """Return a chance in whole percent, never “never” and never “always”."""
    return float(min(max(round(100 * chance), 1), 99))


def _layer(
    number: int,
    tests: Sequence[SpotTest],
    before: Particles,
    after: Particles,
    agents: Sequence[Sequence[Known]],
    gates: Sequence[tuple[str, ...]],
    seed: int,
) -> LayerResult:
    from softmend.science.solvency.spot import class_chances, class_spread, effect_chances, misfit

    spread = class_spread(before, readings(tests))
    effects = effect_chances(after, [liquid(one) for one in agents])
    fits = misfit(before, readings(tests), seed) if tests else None
    again, differ = repeats(tests)
    judged = [
        AgentChances(
            agent=label(parts),
            dissolves_percent=percent(effect[2]),
            softens_percent=percent(effect[1]),
            swells_percent=percent(effect[0]),
            wording=f"dissolves it: {strength(float(effect[2]))}",
            forbidden=forbidden,
        )
        for parts, effect, forbidden in zip(agents, effects.clip(0, 1), gates, strict=True)
    ]
    return LayerResult(
        layer=number,
        tests=len(tests),
        classes=tuple(
            _behaves(name, chance, spread[name])
            for name, chance in class_chances(after).items()
            if chance >= SHOWN
        ),
        misfit=fits is not None and fits.is_flagged,
        misfit_share=None if fits is None else float(f"{fits.share:.2g}"),
        agents=tuple(sorted(judged, key=lambda one: (bool(one.forbidden), -one.dissolves_percent))),
        repeats=again,
        repeats_that_differ=differ,
    )  # fmt: skip


def _behaves(name: str, chance: float, spread: float) -> Behaves:
    shown = percent(chance)
    return Behaves(
        behaves_like=name,
        chance_of_class_percent=shown,
        chance_low_percent=min(shown, float(math.floor(100 * max(chance - spread, 0.0)))),
        chance_high_percent=max(shown, float(math.ceil(100 * min(chance + spread, 1.0)))),
        wording=f"behaves like it: {strength(min(chance, 1.0))}",
    )


def _layer_warnings(layer: LayerResult, after: Particles) -> list[str]:
    from softmend.science.solvency.spot import class_chances

    found, chances = [], class_chances(after)
    if layer.misfit:
        found.append(
            f"Layer {layer.layer}: no class fits these tests; it may be layered or mixed, or a "
            "reading slipped. Restart with a new layer number once a layer is off."
        )
    free = [one for one in layer.agents if not one.forbidden]
    if free and layer.tests:
        best = max(one.dissolves_percent for one in free)
        if best < 100 * ONLY_SWELLS and max(one.swells_percent for one in free) >= 50:
            found.append(
                f"Layer {layer.layer}: what is at hand may only swell it. On a confined fill that "
                "wedges the crack: small stretches, dwell, look again."
            )
    if chances.get("shellac", 0.0) >= SHELLAC_STAINS:
        found.append("Shellac is likely: its dye is driven into porous ware as a stain.")
    if chances.get("cellulose nitrate", 0.0) >= SHOWN:
        found.append("It may be cellulose nitrate: that burns violently.")
    if layer.tests and layer.tests % 5 == 0 and not layer.repeats:
        found.append("One test in five is owed as a repeat: repeat one, and test a bare patch.")
    return found


def _worked_tests(tests: Sequence[SpotTest]) -> list[WorkingValue]:
    liquids = {one.name: one for test in tests for one in known_parts(test.parts)}
    return worked_liquids(liquids.values(), ["position", "molar_volume"])


def _text(layers: Sequence[LayerResult]) -> str:
    said = []
    for one in layers:
        free = next((agent for agent in one.agents if not agent.forbidden), None)
        like = (
            "no class stands out" if not one.classes
            else "behaves like " + ", ".join(
                f"{found.behaves_like} ({found.chance_of_class_percent:.0f} %, between "
                f"{found.chance_low_percent:.0f} and {found.chance_high_percent:.0f})"
                for found in one.classes
            )
        )  # fmt: skip
        moves = "" if free is None else (
            f"; of what may be used, {free.agent} dissolves it: "
            f"{free.wording.removeprefix('dissolves it: ')} ({free.dissolves_percent:.0f} %)"
        )  # fmt: skip
        said.append(f"Layer {one.layer}: {like}{moves}.")
    return " ".join([*said, GUIDE])
