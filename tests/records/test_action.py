"""Rules of the day log, of materials and of joins, each as a sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError, RuleError
from softmend.records.action import (
    Action,
    Consolidation,
    Hidden,
    Weighed,
    check_correction,
    check_hidden_is_answered,
    check_wet_is_explained,
    checked_action,
    is_late,
    uptake_g,
)
from softmend.records.join import (
    Assembly,
    JoinMade,
    PlannedJoin,
    assembly_order,
    check_join_may_be_made,
    locked_out,
)
from softmend.records.kinds import KINDS
from softmend.records.material import Direction, Fate, Moved, Stays, Sum, material_totals
from softmend.records.payload import from_payload, payload_text

TODAY = "2026-03-02"
DONE = Action(1, "dry_cleaning", TODAY, not_in_plan_because="no plan is recorded yet")


def test_a_plain_entry_is_taken_as_it_is() -> None:
    assert checked_action(DONE, TODAY) is DONE


def test_an_entry_says_something() -> None:
    with pytest.raises(InputError, match="says nothing yet"):
        checked_action(replace(DONE, action=""), TODAY)


@pytest.mark.parametrize("alone", [{"view_ids": ("v",)}, {"paper_ids": ("p",)}])
def test_a_photograph_a_voice_note_or_a_bench_sheet_is_an_entry_by_itself(
    alone: dict[str, tuple[str, ...]],
) -> None:
    entry = Action(1, "", TODAY, **alone)
    assert not checked_action(entry, TODAY).is_sorted


def test_work_outside_the_plan_says_why() -> None:
    with pytest.raises(RuleError, match="not in the plan and says not why"):
        checked_action(replace(DONE, not_in_plan_because=" "), TODAY)
    planned = replace(DONE, not_in_plan_because="", plan_step_id="step")
    assert not checked_action(planned, TODAY).is_departure


def test_hidden_later_actions_need_an_image_or_a_reason() -> None:
    hidden = replace(DONE, hidden=Hidden.YES)
    with pytest.raises(RuleError, match="neither an image nor a reason") as told:
        checked_action(hidden, TODAY)
    assert told.value.rule == 10
    checked_action(replace(hidden, hidden_view_ids=("v",)), TODAY)
    checked_action(replace(hidden, hidden_because="the camera was away"), TODAY)


def test_an_action_that_hides_asks_whether_it_does() -> None:
    with pytest.raises(RuleError, match=r"Will this be hidden\?"):
        check_hidden_is_answered(DONE, hides=True)
    check_hidden_is_answered(DONE, hides=False)
    check_hidden_is_answered(replace(DONE, hidden=Hidden.NO), hides=True)


def test_wet_work_before_its_questions_says_why() -> None:
    with pytest.raises(RuleError, match="was owed: no reserve is drawn"):
        check_wet_is_explained(DONE, ["no reserve is drawn"])
    check_wet_is_explained(DONE, [])
    check_wet_is_explained(replace(DONE, wet_because="active loss"), ["no reserve is drawn"])


def test_log_entries_are_corrected_by_a_further_entry_with_its_reason_never_overwritten() -> None:
    with pytest.raises(RuleError, match="a correction is a further entry") as told:
        check_correction(DONE, replace(DONE, tool="brush"))
    assert told.value.rule == 3
    check_correction(DONE, replace(DONE, tool="brush", correction_because="tool forgotten"))
    with pytest.raises(RuleError, match="keeps its number"):
        check_correction(DONE, replace(DONE, number=2, correction_because="x"))
    with pytest.raises(RuleError, match="cannot be unsaid"):
        check_correction(DONE, replace(DONE, action="", view_ids=("v",), correction_because="x"))


def test_sorting_an_entry_that_was_a_photograph_needs_no_reason() -> None:
    check_correction(Action(1, "", TODAY, view_ids=("v",)), replace(DONE, view_ids=("v",)))


@pytest.mark.parametrize(
    ("done_on", "words"),
    [("2026-03-03", "has not come yet"), ("yesterday", "cannot be read"), ("", "cannot be read")],
)
def test_a_day_is_a_date_that_has_come(done_on: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_action(replace(DONE, done_on=done_on), TODAY)


def test_an_entry_of_a_later_day_is_late() -> None:
    assert is_late(replace(DONE, done_on="2026-02-27"), TODAY)
    assert not is_late(DONE, TODAY)


@pytest.mark.parametrize("minutes", [0.0, -5.0, 1441.0, float("nan")])
def test_minutes_are_those_of_one_day(minutes: float) -> None:
    with pytest.raises(InputError, match="time of a log entry"):
        checked_action(replace(DONE, minutes=minutes), TODAY)


def test_a_percentage_without_basis_is_refused() -> None:
    with pytest.raises(RuleError, match="does not say of what") as told:
        checked_action(replace(DONE, moved=(Moved("resin 10 %"),)), TODAY)
    assert told.value.rule == 9
    checked_action(replace(DONE, moved=(Moved("resin 10 % w/w in acetone"),)), TODAY)


def test_removed_matter_that_is_kept_has_a_place() -> None:
    kept = Moved("old fill", Direction.TAKEN_OFF, fate=Fate.KEPT)
    with pytest.raises(InputError, match="needs its place"):
        checked_action(replace(DONE, moved=(kept,)), TODAY)
    checked_action(replace(DONE, moved=(replace(kept, kept_where="bag 2"),)), TODAY)
    checked_action(replace(DONE, moved=(replace(kept, fate=Fate.DISCARDED),)), TODAY)


@pytest.mark.parametrize("amount", [0.0, -1.0, float("inf")])
def test_an_amount_is_positive_and_its_direction_signs_it(amount: float) -> None:
    with pytest.raises(InputError, match="is not possible"):
        checked_action(replace(DONE, moved=(Moved("wax", mass_g=amount),)), TODAY)


def test_uptake_is_what_the_vessel_lost_or_the_piece_gained() -> None:
    vessel = Consolidation(Weighed.VESSEL, 52.31, 50.11, 0.02)
    gained, spread = uptake_g(vessel) or (0.0, None)
    assert gained == pytest.approx(2.20)
    # Two independent readings: the spread of a difference (JCGM 100, 5.1.2) is sqrt(2) of one.
    assert spread == pytest.approx(0.02 * 2**0.5)
    piece = Consolidation(Weighed.PIECE, 100.0, 101.5)
    assert uptake_g(piece) == (1.5, None)
    assert uptake_g(Consolidation()) is None
    with pytest.raises(InputError, match="wrong way"):
        checked_action(replace(DONE, consolidation=replace(piece, weighed=Weighed.VESSEL)), TODAY)


def test_totals_tell_what_was_put_on_taken_off_and_what_remains() -> None:
    moved = [
        Moved("tissue", mass_g=2.0, expanded_percent=10.0, stays=Stays.ALL),
        Moved("Tissue", mass_g=1.0, expanded_percent=10.0, stays=Stays.ALL),
        Moved("tissue", Direction.TAKEN_OFF, mass_g=0.5),
        Moved("acetone", volume_ml=12.0, stays=Stays.NONE),
        Moved("old fill", Direction.TAKEN_OFF),
    ]
    tissue, acetone, fill = material_totals(moved)
    assert tissue.put_on_g is not None
    assert tissue.put_on_g.value == pytest.approx(3.0)
    assert tissue.put_on_g.expanded == pytest.approx((0.2**2 + 0.1**2) ** 0.5)
    assert tissue.taken_off_g == Sum(0.5, None)
    assert tissue.remains == "remains, less what was taken off"
    assert (acetone.put_on_ml, acetone.remains) == (Sum(12.0, None), "not meant to remain")
    assert (fill.unmeasured, fill.remains) == (1, "was on the object before")


JOINS = (
    PlannedJoin("J1", ("beam", "tine")),
    PlannedJoin("J2", ("tine", "tip"), after=("J1",)),
    PlannedJoin("J3", ("tip", "flake"), after=("J1", "J2")),
)


def test_the_order_of_assembly_is_a_graph_without_cycles() -> None:
    assert assembly_order(JOINS) == ("J1", "J2", "J3")
    with pytest.raises(RuleError, match="wait for each other"):
        assembly_order((replace(JOINS[0], after=("J3",)), *JOINS[1:]))
    with pytest.raises(InputError, match="not there"):
        assembly_order((replace(JOINS[0], after=("J9",)),))
    with pytest.raises(InputError, match="name of its own"):
        assembly_order((JOINS[0], JOINS[0]))


@given(st.permutations(range(6)), st.data())
def test_an_order_of_assembly_puts_each_join_behind_what_it_waits_for(
    shuffled: list[int], data: st.DataObject
) -> None:
    joins = tuple(
        PlannedJoin(
            f"J{number}",
            ("a", "b"),
            after=tuple(f"J{n}" for n in data.draw(st.sets(st.sampled_from(range(number)))))
            if number
            else (),
        )
        for number in range(6)
    )
    order = assembly_order(tuple(joins[number] for number in shuffled))
    for join in joins:
        assert all(order.index(name) < order.index(join.name) for name in join.after)


def test_a_join_waits_for_its_dry_fit_and_for_the_joins_before_it() -> None:
    made = JoinMade("J2", "person", TODAY)
    with pytest.raises(RuleError, match="comes after J1"):
        check_join_may_be_made(made, Assembly(JOINS), [])
    check_join_may_be_made(made, Assembly(JOINS), ["J1"])
    with pytest.raises(RuleError, match="no signed dry fit"):
        check_join_may_be_made(replace(made, dry_fit_by_id=""), Assembly(JOINS), ["J1"])
    assert locked_out(JOINS, ["J1"]) == ("J3",)


def test_an_entry_with_every_field_is_read_back_as_it_was() -> None:
    full = replace(
        DONE,
        moved=(Moved("wax", Direction.TAKEN_OFF, mass_g=1.5, fate=Fate.KEPT, kept_where="bag 1"),),
        consolidation=Consolidation(Weighed.PIECE, 1.0, 2.0),
        join=JoinMade("J1", "person", TODAY, ("f",), "tape", 24.0),
    )
    kind = KINDS["action"]
    assert from_payload(kind.record, payload_text(full), 1, kind.upgrades) == full
