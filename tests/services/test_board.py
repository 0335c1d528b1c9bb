"""The board: inputs, a suggested order, a person's own, and the stage that entries speak of."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import RuleError
from softmend.records.closing import Closing, Reopened
from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import Dossier, ObjectHead
from softmend.records.estimate import EstimateClass
from softmend.records.priority import Priority, Weight
from softmend.records.survey import Survey
from softmend.services.board import board, record_priority, stage_of
from softmend.services.dossiers import describe_object, open_dossier
from softmend.services.examine.grades import grade_place
from softmend.services.propose.hours import plan_to_begin_with, record_estimate
from softmend.services.recording import record_one
from softmend.services.surveys import open_survey


def another(bench, author, what: str) -> str:
    return open_dossier(bench, author, Dossier(what, "2", "an invented house", "dirty"))


def graded(bench, author, dossier_id, grade: int) -> None:
    said = Grade("part", "whole object", grade, "seen", GradeBasis.SEEN)
    grade_place(bench, author, dossier_id, said, "")


def order(bench) -> list[str]:
    return [line.row.what for line in board(bench).lines]


def test_a_new_dossier_stands_with_nothing_known(bench, dossier_id) -> None:
    (line,) = board(bench).lines
    assert (line.place, line.stage, line.deadline_on) == (1, "Examine", "not known")
    assert (line.inputs.worst_grade, line.inputs.days_left) == (None, None)
    assert (line.inputs.priority, line.weeks) == (Priority(), "not estimated")


def test_the_board_shows_what_the_order_rests_on(bench, author, dossier_id) -> None:
    graded(bench, author, dossier_id, 3)
    head = ObjectHead(title="beam", deadline_on="2026-03-30")
    describe_object(bench, author, dossier_id, head, "")
    said = Priority(Weight.HIGH, Weight.LOW, Weight.MIDDLE)
    record_priority(bench, author, dossier_id, said, "")
    (line,) = board(bench).lines
    # The bench's clock stands at 2 March 2026.
    assert (line.inputs.worst_grade, line.inputs.days_left) == (3, 28)
    assert line.inputs.priority == said


def test_active_loss_comes_first_and_a_person_may_say_otherwise(bench, author, dossier_id) -> None:
    box = another(bench, author, "a box")
    graded(bench, author, box, 4)
    assert order(bench) == ["a box", "antler beam"]
    mine = Priority(place=1, place_because="lent on Monday")
    record_priority(bench, author, dossier_id, mine, "")
    assert order(bench) == ["antler beam", "a box"]


def test_a_place_without_a_reason_is_not_recorded(bench, author, dossier_id) -> None:
    with pytest.raises(RuleError):
        record_priority(bench, author, dossier_id, Priority(place=1), "")
    assert board(bench).lines[0].priority_entry_id == ""


def test_a_survey_is_not_on_the_board(bench, author, dossier_id) -> None:
    open_survey(bench, author, Survey("antlers"))
    assert order(bench) == ["antler beam"]


def test_an_estimate_brings_its_weeks_and_the_stage(bench, author, dossier_id) -> None:
    with bench.store.reading() as reader:
        plan = plan_to_begin_with(bench, reader, dossier_id)
    record_estimate(bench, author, dossier_id, EstimateClass.ROUGH, "seen once", plan)
    (line,) = board(bench).lines
    assert line.stage == "Propose"
    assert line.weeks.endswith("weeks, from guesses")


def test_the_stage_is_the_furthest_that_is_spoken_of() -> None:
    assert stage_of({"dossier", "mark"}) == "Examine"
    assert stage_of({"dossier", "mark", "crack_model"}) == "Explain"
    assert stage_of({"dossier", "crack_model", "options"}) == "Propose"
    assert stage_of({"dossier", "consent"}) == "Propose"
    assert stage_of({"dossier", "consent", "action"}) == "Treat"
    assert stage_of({"consent", "action", "hand_over"}) == "Return"


def test_a_closed_dossier_is_not_on_the_board_until_it_is_opened_again(
    bench, author, dossier_id
) -> None:
    for record in (Closing("2026-03-02", "done", "A", "2027-03-02"), Reopened("more came off")):
        record_one(
            bench, author, dossier_id=dossier_id, subject_id=dossier_id, record=record, based_on=""
        )
        found = board(bench)
        assert len(found.lines) + found.closed == 1
        assert bool(found.lines) is isinstance(record, Reopened)
