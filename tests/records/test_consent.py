"""No consent survives a change of a point it was given to (rule 2); wording is shown and noted."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError, RuleError, StaleError
from softmend.records.canonical import canonical_json
from softmend.records.consent import (
    Consent,
    Decision,
    Difference,
    Plan,
    WordingNoted,
    checked_consent,
    hash_of,
    listed_points,
    refuse_without_consent,
    standing,
    wording,
)
from softmend.records.mixing import MakeUp
from softmend.records.passing import Passed
from softmend.records.proposal import (
    Aim,
    Coat,
    Coating,
    Hours,
    Option,
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
    Warrant,
)

PLAN = Plan(
    proposal=Proposal(
        significance="the cut marks",
        aims=(Aim.STABILISE,),
        coating=Coating(Coat.NONE, ("it would trap dust",)),
        limits="nothing in Z4",
        residual_risk="the crack may open again",
        hours_agreed_h=40.0,
        hours_over_percent=20.0,
        comes_back_when="a dowel is found",
    ),
    options=Options(fuller=(Option("take down and fill"),)),
    steps=(
        PlanStep(1, "softening", "soften the old fill", "stop at the first colour", 1,
                 mark_numbers=(3,), material_numbers=(1,), hours=Hours(5, 10, 20)),
        PlanStep(2, "filling", "fill with pulp", "stop 1 mm below", 2, hours=Hours(10, 20, 40)),
    ),
    materials=(PlanMaterial(1, "acrylic resin", make_up=MakeUp("resin", "acetone", 20.0, 80.0)),),
    fills=(PlanFill(1, (3,), Warrant.EDGES, "both edges", detected_by="ultraviolet"),),
    removals=(PlanRemoval(1, "plaster fill", "it is loose", carries="nothing", kept_where="bag"),),
    outlines={"mark 3": "a" * 64},
)  # fmt: skip


def consent(plan: Plan = PLAN, decision: Decision = Decision.YES, number: int = 1) -> Consent:
    points, words = listed_points(plan), wording(plan)
    return Consent(
        number=number,
        decision=decision,
        given_by="O. Owner",
        role="owner",
        decided_on="2026-03-02",
        points_hash=hash_of(points),
        points_json=canonical_json(points),
        wording_hash=hash_of(words),
        wording_json=canonical_json(words),
        paper_number=1,
    )


# ---- the hash, property by property


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of every single answer in plain data."""
    if isinstance(value, dict) and value:
        return [leaf for name in value for leaf in leaves(value[name], (*path, name))]
    if isinstance(value, list) and value:
        return [leaf for place, item in enumerate(value) for leaf in leaves(item, (*path, place))]
    return [path]


def put(value: Any, path: tuple[Any, ...], new: Any) -> Any:
    """Return plain data with one answer in place of another."""
    if not path:
        return new
    first, *rest = path
    if isinstance(value, dict):
        return {**value, first: put(value[first], tuple(rest), new)}
    return [*value[:first], put(value[first], tuple(rest), new), *value[first + 1 :]]


def got(value: Any, path: tuple[Any, ...]) -> Any:
    """Return the answer at a path."""
    for step in path:
        value = value[step]
    return value


def shuffled(value: Any, order: Any) -> Any:
    """Return the same data with the names of every object in another order."""
    if isinstance(value, dict):
        names = order.draw(st.permutations(sorted(value)))
        return {name: shuffled(value[name], order) for name in names}
    if isinstance(value, list):
        return [shuffled(item, order) for item in value]
    return value


POINTS = listed_points(PLAN)
answers = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**6), 10**6),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
    st.lists(st.integers(0, 99), max_size=3),
)


@given(path=st.sampled_from(leaves(POINTS)), new=answers)
def test_any_change_of_a_listed_point_changes_the_hash(path: tuple[Any, ...], new: Any) -> None:
    changed = put(POINTS, path, new)
    is_same = canonical_json({"x": got(POINTS, path)}) == canonical_json({"x": new})
    assert (hash_of(changed) == hash_of(POINTS)) is is_same


@given(st.data())
def test_the_order_of_json_names_does_not_change_the_hash(data: st.DataObject) -> None:
    assert hash_of(shuffled(POINTS, data)) == hash_of(POINTS)


# Every listed point, changed where a conservator would change it.
CHANGED_POINTS: dict[str, Plan] = {
    "a step's words": replace(PLAN, steps=(replace(PLAN.steps[0], what="saw"), PLAN.steps[1])),
    "a stop rule": replace(PLAN, steps=(replace(PLAN.steps[0], stop_rule="go on"), PLAN.steps[1])),
    "a step's marks": replace(
        PLAN, steps=(replace(PLAN.steps[0], mark_numbers=(3, 4)), PLAN.steps[1])
    ),
    "the order of steps": replace(PLAN, steps=(replace(PLAN.steps[0], place=3), PLAN.steps[1])),
    "a step taken out": replace(PLAN, steps=PLAN.steps[:1]),
    "a material's mass": replace(
        PLAN,
        materials=(replace(PLAN.materials[0], make_up=MakeUp("resin", "acetone", 20.3, 80.0)),),
    ),
    "a material": replace(PLAN, materials=(replace(PLAN.materials[0], generic_name="glue"),)),
    "a fill's warrant": replace(PLAN, fills=(replace(PLAN.fills[0], warrant=Warrant.READING),)),
    "a removal": replace(PLAN, removals=()),
    "a drawn area": replace(PLAN, outlines={"mark 3": "b" * 64}),
    "the limits": replace(PLAN, proposal=replace(PLAN.proposal, limits="none")),
    "the hours": replace(PLAN, proposal=replace(PLAN.proposal, hours_over_percent=50.0)),
    "the agreed hours": replace(PLAN, proposal=replace(PLAN.proposal, hours_agreed_h=60.0)),
    "the residual risk": replace(PLAN, proposal=replace(PLAN.proposal, residual_risk="none")),
    "the coating": replace(
        PLAN, proposal=replace(PLAN.proposal, coating=Coating(Coat.ALL_OVER, ("shine",)))
    ),
    "the aims": replace(PLAN, proposal=replace(PLAN.proposal, aims=(Aim.RESTORE,))),
}


@pytest.mark.parametrize("what", CHANGED_POINTS)
def test_no_consent_survives_a_change_of_a_point_it_was_given_to(what: str) -> None:
    changed = CHANGED_POINTS[what]
    now = standing(consent(), changed)
    assert now.is_void
    assert not now.allows_work
    with pytest.raises(StaleError, match="is void, because a listed point changed") as refused:
        refuse_without_consent([now], hash_of(listed_points(changed)))
    assert now.changed_points[0].sentence[:60] in str(refused.value)


def test_what_changed_is_said_in_words() -> None:
    (change,) = standing(consent(), CHANGED_POINTS["a stop rule"]).changed_points
    assert change == Difference("step 1, stop rule", "stop at the first colour", "go on")
    assert change.sentence == "step 1, stop rule was “stop at the first colour”, now “go on”"
    gone = standing(consent(), CHANGED_POINTS["a step taken out"]).changed_points
    assert [one.where for one in gone] == ["order of steps", "step 2"]
    assert gone[1].sentence.startswith("step 2 is gone: action id: filling; ")


def test_a_change_of_wording_keeps_the_consent_and_is_shown_until_it_is_noted() -> None:
    spoken = replace(
        PLAN,
        proposal=replace(PLAN.proposal, significance="the cut marks and the label"),
        materials=(replace(PLAN.materials[0], ageing="yellows slowly"),),
    )
    now = standing(consent(), spoken)
    assert now.allows_work
    assert [one.where for one in now.changed_wording] == ["material 1, ageing", "significance"]
    words = canonical_json(wording(spoken))
    note = WordingNoted(1, hash_of(wording(spoken)), words, "O. Owner", "2026-03-05")
    assert standing(consent(), spoken, [note]).changed_wording == ()
    refuse_without_consent([now], hash_of(listed_points(spoken)))


def test_points_and_wording_together_hold_everything_that_was_proposed() -> None:
    said = json.dumps([listed_points(PLAN), wording(PLAN)])
    for words in ("both edges", "it is loose", "the cut marks", "take down and fill", "a dowel"):
        assert words in said


def test_an_estimate_may_move_up_to_the_agreed_share_and_no_further() -> None:
    within = replace(PLAN, steps=(replace(PLAN.steps[0], hours=Hours(5, 28, 40)), PLAN.steps[1]))
    assert standing(consent(), within).allows_work
    beyond = replace(PLAN, steps=(replace(PLAN.steps[0], hours=Hours(5, 29, 40)), PLAN.steps[1]))
    now = standing(consent(), beyond)
    assert now.changed_points == (Difference("hours", "up to 48 h", "49 h likely"),)


def test_work_needs_a_consent_and_a_decline_is_an_end() -> None:
    points_hash = hash_of(POINTS)
    with pytest.raises(RuleError, match="Nobody has consented") as refused:
        refuse_without_consent([], points_hash)
    assert refused.value.rule == 2
    declined = standing(consent(decision=Decision.NO), PLAN)
    assert not declined.allows_work
    with pytest.raises(RuleError, match="said no on 2026-03-02; A decline is a respectable end"):
        refuse_without_consent([declined], points_hash)


def test_a_pass_of_the_consent_holds_for_those_points_only() -> None:
    passed = Passed(2, hash_of(POINTS), "owner cannot be reached, loss goes on", "H. Head")
    refuse_without_consent([], hash_of(POINTS), [passed])
    changed = hash_of(listed_points(CHANGED_POINTS["a stop rule"]))
    with pytest.raises(RuleError, match="Nobody has consented"):
        refuse_without_consent([], changed, [passed])


def test_a_consent_is_reported_with_name_role_date_limits_and_paper() -> None:
    good = consent()
    assert checked_consent(good) == good
    for field, words in (("given_by", "who gave it"), ("role", "role"), ("decided_on", "date")):
        with pytest.raises(InputError, match=words):
            checked_consent(replace(good, **{field: " "}))
    with pytest.raises(InputError, match="needs the limits"):
        checked_consent(replace(good, decision=Decision.WITH_LIMITS))
    with pytest.raises(InputError, match="needs its signed paper"):
        checked_consent(replace(good, paper_number=None))
    checked_consent(replace(good, paper_number=None, no_paper_because="said at the bench"))
