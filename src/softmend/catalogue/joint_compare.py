"""Fills side by side for one crack: lips and tip both, what each asks, and no single score."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import Answer, Asked, Model
from softmend.catalogue.joint_answer import (
    G_PER_KG,
    PERCENT,
    Points,
    chances,
    demands,
    hand_text,
    points,
    used,
    warnings_of,
    working_of_all,
)
from softmend.catalogue.joint_values import (
    M_PER_MM,
    PA_PER_MPA,
    CrackMovement,
    CrackToHold,
    FillSystem,
    ObjectMatter,
    YearOfClimate,
    fill_lacks,
    joint_of,
    lacks,
)
from softmend.errors import InputError
from softmend.science.joint.compare import Making, dominated_by, making
from softmend.science.joint.criteria import Part
from softmend.science.joint.giving import Giving, first_to_give
from softmend.science.joint.words import first_in_words

REVERSIBLE = ("easily", "with effort", "hardly", "not in practice")


class CompareInput(Model):
    """One crack, the object, its movement and climate, and the fills to set side by side.

    `draws_log2`: two to this power draws, the same for every fill.
    """

    crack: CrackToHold
    matter: ObjectMatter
    fills: Annotated[list[FillSystem], Field(min_length=1, max_length=40)]
    movement: CrackMovement
    climate: YearOfClimate
    draws_log2: Annotated[int, Field(ge=10, le=17)] = 15


class FillBeside(Model):
    """One fill of a comparison; `worse_than` names fills that are as good or better in all."""

    name: str
    lips_demand: Points
    tip_demand: Points
    fill_demand: Points
    bond_demand: Points
    object_first_percent: Points
    first_part: str
    sentence: str
    anything_mean_percent: float
    object_mean_percent: float
    bond_asked_j_per_m2: Points
    reached_mpa: Points
    traction_mpa: Points
    hand_text: str
    reversible: str
    reversible_in: str
    hazards: tuple[str, ...]
    liquid: str
    dry_g: float | None
    liquid_g: float | None
    shrinkage_percent: float | None
    layers: int | None
    drying_days: float | None
    worse_than: tuple[str, ...]


class CompareAnswer(Answer):
    """The fills side by side, in the order given; there is no single score."""

    used: str = ""
    fills: tuple[FillBeside, ...] = ()
    open_tip_demand: Points | None = None
    open_tip_mean_percent: float = 0.0


def joint_compare_fills(given: CompareInput, asked: Asked) -> CompareAnswer:
    """Return fills side by side under the same draws; a fill with too few values is named."""
    names = [fill.name for fill in given.fills]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError("Two fills have one name", value=", ".join(twice), allowed="one name each")
    reasons = lacks(given.matter, given.movement)
    lacking = {fill.name: fill_lacks(fill) for fill in given.fills}
    known = [fill for fill in given.fills if not lacking[fill.name]]
    left_out = tuple(line for lines in lacking.values() for line in lines)
    if reasons or not known:
        return CompareAnswer(answer="cannot say", reasons=reasons + left_out)
    found = {
        fill.name: first_to_give(
            joint_of(given.crack, given.matter, fill, given.movement, given.climate),
            given.draws_log2,
            asked.seed,
        )
        for fill in known
    }
    made = {fill.name: _making(fill, given.crack) for fill in known}
    worse = dominated_by(
        {fill.name: _respects(fill, found[fill.name], made[fill.name]) for fill in known}
    )
    first = found[known[0].name]
    return CompareAnswer(
        used=used(given.movement),
        fills=tuple(
            _beside(fill, found[fill.name], made[fill.name], worse[fill.name], given.crack)
            for fill in known
        ),
        open_tip_demand=demands(first.open_tip),
        open_tip_mean_percent=first.open_tip_mean * PERCENT,
        reasons=left_out,
        warnings=warnings_of(given.crack, first, tuple(known), given.movement),
        working=working_of_all(
            given.crack, given.matter, tuple(known), given.movement, given.climate
        ),
    )


def _respects(fill: FillSystem, found: Giving, made: Making | None) -> tuple[float | None, ...]:
    """Return in what fills are compared, lower is better; liquid that is not water puts in none."""
    water = None
    if fill.liquid is not None:
        water = made.liquid_kg if made and fill.liquid == "water" else 0.0
        water = None if fill.liquid == "water" and made is None else water
    shrinkage = fill.shrinkage_percent
    return (
        found.parts[Part.LIPS].demand.typical,
        found.parts[Part.TIP].demand.typical,
        found.released.typical,
        float(REVERSIBLE.index(fill.reversible)) if fill.reversible else None,
        made.dry_kg if made else None,
        shrinkage.uncertain().typical if shrinkage else None,
        water,
        _drying(fill, made),
        float(len(fill.hazards)),
    )


def _beside(
    fill: FillSystem, found: Giving, made: Making | None, worse: tuple[str, ...], crack: CrackToHold
) -> FillBeside:
    lips, tip = found.parts[Part.LIPS], found.parts[Part.TIP]
    shares = found.weakest
    weakest = max(shares, key=lambda part: shares[part])
    return FillBeside(
        name=fill.name,
        lips_demand=demands(lips.demand),
        tip_demand=demands(tip.demand),
        fill_demand=demands(found.parts[Part.FILL].demand),
        bond_demand=demands(found.parts[Part.BOND].demand),
        object_first_percent=chances(found.object_first),
        first_part=weakest.value if shares[weakest] >= 0.5 else "not known",
        sentence=first_in_words(found.weakest),
        anything_mean_percent=found.any_mean * PERCENT,
        object_mean_percent=(lips.first_mean + tip.first_mean) * PERCENT,
        bond_asked_j_per_m2=points(found.released, 1.0, "J/m²"),
        reached_mpa=points(found.reached, 1 / PA_PER_MPA, "MPa"),
        traction_mpa=points(found.traction, 1 / PA_PER_MPA, "MPa"),
        hand_text=hand_text(found.traction, crack),
        reversible=fill.reversible or "not known",
        reversible_in=fill.reversible_in,
        hazards=fill.hazards,
        liquid=fill.liquid or "not known",
        dry_g=made.dry_kg * G_PER_KG if made else None,
        liquid_g=made.liquid_kg * G_PER_KG if made else None,
        shrinkage_percent=fill.shrinkage_percent.uncertain().typical
        if fill.shrinkage_percent
        else None,
        layers=made.layers if made and fill.layer_mm else None,
        drying_days=_drying(fill, made),
        worse_than=worse,
    )


def _drying(fill: FillSystem, made: Making | None) -> float | None:
    if made is None or fill.layer_drying_days is None:
        return None
    return made.layers * fill.layer_drying_days


def _making(fill: FillSystem, crack: CrackToHold) -> Making | None:
    if fill.density_g_per_ml is None or fill.solids_percent is None:
        return None
    depth = crack.depth_mm.uncertain().typical * M_PER_MM
    width = crack.width_mm.uncertain().typical * M_PER_MM
    return making(
        depth * width / (2 if crack.section == "V" else 1),
        fill.density_g_per_ml.uncertain().typical * 1e3,
        min(1.0, fill.solids_percent.uncertain().typical / PERCENT),
        depth,
        fill.layer_mm * M_PER_MM if fill.layer_mm else None,
    )
