"""A crack and its fill: who carries what, which part gives first, and fills side by side."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import Answer, Asked, Computation, Driver, Model, Sourced
from softmend.catalogue.joint_answer import (
    CAUTIONS,
    MM_PER_M,
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
from softmend.catalogue.joint_compare import CompareAnswer, CompareInput, joint_compare_fills
from softmend.catalogue.joint_values import (
    PA_PER_MPA,
    CrackMovement,
    CrackToHold,
    FillSystem,
    ObjectMatter,
    YearOfClimate,
    body_of,
    fill_lacks,
    joint_of,
    lacks,
)
from softmend.science.joint.criteria import Joint, Part
from softmend.science.joint.giving import DRAWS_LOG2, Giving, borne, first_to_give
from softmend.science.joint.sharing import Elastic, Gap, Section, Sharing, load_sharing
from softmend.science.joint.words import NAMES, demand_in_words, first_in_words

SHARING_LOG2 = 13
"""Two to this power draws are enough for who carries what."""


class JointInput(Model):
    """One crack, the object, a fill, how the crack moves and the climate it lives in.

    `draws_log2`: two to this power draws of everything uncertain; few are enough to try things out.
    """

    crack: CrackToHold
    matter: ObjectMatter
    fill: FillSystem
    movement: CrackMovement
    climate: YearOfClimate
    draws_log2: Annotated[int, Field(ge=10, le=17)] = DRAWS_LOG2


class AtDepth(Model):
    """One place of the crack: its depth, the opening with and without the fill, the pull there."""

    depth_mm: float
    opening_mm: float
    free_opening_mm: float
    traction_mpa: float


class SharingAnswer(Answer):
    """Who carries what in the year's usual largest swing; the profile is for typical values.

    `one_spring_*` is the first approximation, right only for soft fills. `used` says whether the
    movement was measured or modelled.
    """

    used: str = ""
    stiffness_ratio: Points | None = None
    free_opening_mm: Points | None = None
    opening_mm: float = 0.0
    traction_mpa: Points | None = None
    greatest_traction_mpa: float = 0.0
    energy_j_per_m2: Points | None = None
    tip_mpa_m05: Points | None = None
    open_tip_mpa_m05: float = 0.0
    hand_text: str = ""
    one_spring_traction_mpa: float = 0.0
    one_spring_tip_mpa_m05: float = 0.0
    profile: tuple[AtDepth, ...] = ()


class PartAnswer(Model):
    """One part: how near it comes to giving (at 1 it gives), and its chances in a year."""

    part: str
    demand: Points
    gives_percent: Points
    gives_mean_percent: float
    first_percent: Points
    first_mean_percent: float
    first_if_any_percent: float
    sentence: str


class GivingAnswer(Answer):
    """Which part gives first; the band of a chance is over what is not known of the materials.

    `stays_in_bond_percent` is the share of what is possible in which a parting bond does not turn
    into the object. `reached_mpa` is the pull that comes to the walls before fill or bond lets go,
    `traction_mpa` the pull if both held, `lets_go_percent` the share of what is possible in which
    one of them does not hold the year's usual largest swing. `object_drivers` say what spreads how
    near the object comes to giving, and `measure_next` names the largest of them.
    """

    used: str = ""
    parts: tuple[PartAnswer, ...] = ()
    anything_percent: Points | None = None
    anything_mean_percent: float = 0.0
    object_first_percent: Points | None = None
    object_first_mean_percent: float = 0.0
    open_tip_demand: Points | None = None
    open_tip_mean_percent: float = 0.0
    reached_mpa: Points | None = None
    reached_hand_text: str = ""
    lets_go_percent: float = 0.0
    traction_mpa: Points | None = None
    energy_j_per_m2: Points | None = None
    tip_mpa_m05: Points | None = None
    hand_text: str = ""
    opens_percent: float = 0.0
    stays_in_bond_percent: float | None = None
    sentence: str = ""
    drivers: tuple[Driver, ...] = ()
    object_drivers: tuple[Driver, ...] = ()
    measure_next: tuple[str, ...] = ()


def joint_load_sharing(given: JointInput, asked: Asked) -> SharingAnswer:
    """Return who carries what; "cannot say" where the object's state has no values."""
    # What the joint bears does not ask what it stands.
    one = Sourced(value=1.0)
    matter = given.matter.model_copy(
        update={"toughness_mpa_m05": given.matter.toughness_mpa_m05 or one}
    )
    reasons = lacks(matter, given.movement)
    if reasons:
        return SharingAnswer(answer="cannot say", reasons=reasons)
    fill = given.fill.model_copy(update={"strength_mpa": one, "bond_strength_mpa": one})
    joint = joint_of(given.crack, matter, fill, given.movement, given.climate)
    found = borne(joint, min(given.draws_log2, SHARING_LOG2), asked.seed)
    typical = _typical(joint, given.crack)
    return SharingAnswer(
        used=used(given.movement),
        stiffness_ratio=points(found.stiffness_ratio, 1.0),
        free_opening_mm=points(found.opening, MM_PER_M, "mm"),
        opening_mm=typical.opening_m * MM_PER_M,
        traction_mpa=points(found.traction, 1 / PA_PER_MPA, "MPa"),
        greatest_traction_mpa=typical.greatest_traction_pa / PA_PER_MPA,
        energy_j_per_m2=points(found.released, 1.0, "J/m²"),
        tip_mpa_m05=points(found.tip, 1 / PA_PER_MPA, "MPa m^0.5"),
        open_tip_mpa_m05=typical.free_tip_pa_m05 / PA_PER_MPA,
        hand_text=hand_text(found.traction, given.crack),
        one_spring_traction_mpa=typical.one_spring.traction_pa / PA_PER_MPA,
        one_spring_tip_mpa_m05=typical.one_spring.tip_pa_m05 / PA_PER_MPA,
        profile=tuple(
            AtDepth(
                depth_mm=float(depth) * MM_PER_M,
                opening_mm=float(opening) * MM_PER_M,
                free_opening_mm=float(free) * MM_PER_M,
                traction_mpa=float(pull) / PA_PER_MPA,
            )
            for depth, opening, free, pull in zip(
                typical.depths_m,
                typical.openings_m,
                typical.free_openings_m,
                typical.tractions_pa,
                strict=True,
            )
        ),
        warnings=warnings_of(given.crack, found, (given.fill,), given.movement),
        working=working_of_all(
            given.crack, given.matter, (given.fill,), given.movement, given.climate
        ),
    )


def joint_first_to_give(given: JointInput, asked: Asked) -> GivingAnswer:
    """Return which part gives first; "cannot say" where a value that decides is not known."""
    reasons = lacks(given.matter, given.movement) + fill_lacks(given.fill)
    if reasons:
        return GivingAnswer(answer="cannot say", reasons=reasons)
    joint = joint_of(given.crack, given.matter, given.fill, given.movement, given.climate)
    found = first_to_give(joint, given.draws_log2, asked.seed)
    stays = found.bond_holds_in_bond
    return GivingAnswer(
        used=used(given.movement),
        parts=tuple(_part(part, found) for part in Part),
        anything_percent=chances(found.any_gives),
        anything_mean_percent=found.any_mean * PERCENT,
        object_first_percent=chances(found.object_first),
        object_first_mean_percent=sum(
            found.parts[part].first_mean * PERCENT for part in (Part.LIPS, Part.TIP)
        ),
        open_tip_demand=demands(found.open_tip),
        open_tip_mean_percent=found.open_tip_mean * PERCENT,
        reached_mpa=points(found.reached, 1 / PA_PER_MPA, "MPa"),
        reached_hand_text=hand_text(found.reached, given.crack),
        lets_go_percent=found.lets_go * PERCENT,
        traction_mpa=points(found.traction, 1 / PA_PER_MPA, "MPa"),
        energy_j_per_m2=points(found.released, 1.0, "J/m²"),
        tip_mpa_m05=points(found.tip, 1 / PA_PER_MPA, "MPa m^0.5"),
        hand_text=hand_text(found.traction, given.crack),
        opens_percent=found.opens * PERCENT,
        stays_in_bond_percent=None if math.isnan(stays) else stays * PERCENT,
        sentence=first_in_words(found.weakest),
        drivers=tuple(Driver(name=one.name, share=one.share) for one in found.drivers),
        object_drivers=tuple(
            Driver(name=one.name, share=one.share) for one in found.drivers_of_object
        ),
        measure_next=tuple(one.name for one in found.drivers_of_object if one.share >= 0.05)[:4],
        warnings=warnings_of(given.crack, found, (given.fill,), given.movement),
        working=working_of_all(
            given.crack, given.matter, (given.fill,), given.movement, given.climate
        ),
    )


def _part(part: Part, found: Giving) -> PartAnswer:
    one = found.parts[part]
    name = NAMES[part]
    return PartAnswer(
        part=part.value,
        demand=demands(one.demand),
        gives_percent=chances(one.alone),
        gives_mean_percent=one.alone_mean * PERCENT,
        first_percent=chances(one.first),
        first_mean_percent=one.first_mean * PERCENT,
        first_if_any_percent=one.first_if_any * PERCENT,
        sentence=demand_in_words(one.demand, name[0].upper() + name[1:]),
    )


def _typical(joint: Joint, crack: CrackToHold) -> Sharing:
    """Return the single solution for the typical value of everything, for its profile."""
    values = {name: value.typical for name, value in joint.values().items()}
    moves = values["movement of the crack with humidity"]
    fall, rise = values["fall of humidity"], values["rise of humidity"]
    swing = fall if moves > 0 or (moves == 0 and fall >= rise) else -rise
    gap = Gap(
        body_of(crack),
        values.get("radius of the object", 1.0),
        values["depth of the crack"],
        values["width of the crack"],
        Section(crack.section),
    )
    held_by = Elastic(
        values["stiffness of the object"] * min(1.0, values["relaxation of the object"]),
        values["Poisson's ratio of the object"],
    )
    fill = Elastic(
        values["stiffness of the fill"] * min(1.0, values["relaxation of the fill"]),
        values["Poisson's ratio of the fill"],
    )
    mismatch = moves
    if joint.movement.measured is not None:
        mismatch = moves / load_sharing(gap, held_by, Elastic(0.0, 0.3), 1.0).free_mouth_m
    shrunk = values.get("shrinkage of the fill", 0.0) / 3
    shrunk *= values.get("share of shrinkage after setting", 1.0)
    own = -shrunk - values.get("swelling of the fill", 0.0) * swing
    return load_sharing(gap, held_by, fill, mismatch * swing, own)


FORMULA = (
    "Crack in a plane, a solid or a hollow cylinder (dislocations along it); fill as springs of "
    "its confined stiffness along the depth: opening = compliance x (freed stress - traction), "
    "traction = stiffness x (opening - own strain); energy = half the mean of traction times "
    "free opening"
)
SOURCES = ("softmend-mechanics-joint", "gupta1974", "bueckner1958")

COMPUTATIONS = {
    "joint.load_sharing": Computation(
        name="joint.load_sharing",
        title="Who carries the movement of a filled crack",
        input_model=JointInput,
        output_model=SharingAnswer,
        function=joint_load_sharing,
        formula=FORMULA,
        sources=(*SOURCES, "softmend-joint-oracle"),
        cautions=CAUTIONS,
        checked="tests/science/joint/test_sharing.py",
    ),
    "joint.first_to_give": Computation(
        name="joint.first_to_give",
        title="Which part gives first",
        input_model=JointInput,
        output_model=GivingAnswer,
        function=joint_first_to_give,
        formula=f"{FORMULA}; 131 072 draws of everything uncertain; a part gives in a year when "
        "that year's largest swing, log-normal about the usual one, reaches its limit",
        sources=(*SOURCES, "jcgm101", "sobol1967"),
        cautions=CAUTIONS,
        checked="tests/science/joint/test_giving.py",
    ),
    "joint.compare_fills": Computation(
        name="joint.compare_fills",
        title="Fills side by side",
        input_model=CompareInput,
        output_model=CompareAnswer,
        function=joint_compare_fills,
        formula=f"{FORMULA}; 32 768 draws, the same for every fill; a fill is marked as worse "
        "when another is as good in every respect and better in one",
        sources=(*SOURCES, "jcgm101", "sobol1967"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_joint.py",
    ),
}
