"""Estimates, surveys and priorities as records: what is refused, and in which words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError, RuleError
from softmend.records.bookkeeping import Run
from softmend.records.estimate import (
    BenchCalendar,
    DaysOff,
    Estimate,
    EstimateClass,
    Plan,
    PlanTask,
    ThreeHours,
    WaitAfter,
    checked_basis,
    checked_plan,
)
from softmend.records.payload import from_payload, payload_text
from softmend.records.priority import Inputs, Priority, Weight, checked_priority, ordered, points
from softmend.records.survey import (
    SampledObject,
    SampleList,
    Survey,
    SurveyGrade,
    checked_sample,
    checked_survey,
    checked_survey_grade,
    graded_twice,
)

CALENDAR = BenchCalendar("2026-11-02", 12.0, 20.0, 26.0)
FILL = PlanTask("fill", "filling", wait=WaitAfter(2.0, 5.0, 14.0))
TYPED = PlanTask("report", hours=ThreeHours(2.0, 4.0, 9.0))
PLAN = Plan((FILL, TYPED), CALENDAR)


def refused(plan: Plan) -> str:
    with pytest.raises(InputError) as error:
        checked_plan(plan)
    return str(error.value)


def with_task(task: PlanTask) -> Plan:
    return replace(PLAN, tasks=(task,))


def with_calendar(**changes: object) -> Plan:
    return replace(PLAN, calendar=replace(CALENDAR, **changes))


def test_an_estimate_needs_its_basis() -> None:
    with pytest.raises(RuleError) as error:
        checked_basis(EstimateClass.ROUGH, "  ")
    assert str(error.value).startswith("An estimate (rough: before the examination) needs its")
    assert checked_basis(EstimateClass.ROUGH, " seen once ") == "seen once"


def test_no_field_of_an_estimate_holds_a_person() -> None:
    names = {one.name for kind in (Estimate, Plan, PlanTask, BenchCalendar) for one in fields(kind)}
    told = [name for name in names if name.endswith("_by") or "person" in name or "author" in name]
    assert told == []


def test_an_estimate_comes_back_from_its_payload_as_it_was() -> None:
    run = Run("effort.hours", {"tasks": [{"name": "fill"}]}, {"text": "x"}, "1", {"t": "v"}, 0)
    tasks = (FILL, replace(TYPED, after=()))
    estimate = Estimate(
        3, EstimateClass.TESTED, "2026-11-02", "patches", replace(PLAN, tasks=tasks), run, run
    )
    assert from_payload(Estimate, payload_text(estimate), 1, {}) == estimate


def test_days_off_are_single_days_each_once() -> None:
    off = (DaysOff("2026-12-30", "2027-01-02"), DaysOff("2027-01-01", "2027-01-01"))
    assert replace(CALENDAR, days_off=off).dates_off() == [
        "2026-12-30", "2026-12-31", "2027-01-01", "2027-01-02",
    ]  # fmt: skip


def test_a_plan_that_can_be_worked_is_taken() -> None:
    assert checked_plan(PLAN) is PLAN
    assert checked_plan(replace(PLAN, tasks=(FILL, replace(TYPED, after=("fill",))))).tasks


@pytest.mark.parametrize(
    ("plan", "words"),
    [
        (replace(PLAN, tasks=()), "A plan needs a task; got 0; allowed: 1 or more"),
        (replace(PLAN, tasks=(FILL, FILL)), "Two tasks of a plan have one name; got fill"),
        (with_task(PlanTask("clean")), "The hours of “clean” are not given"),
        (with_task(replace(FILL, quantity=0.0)), "The quantity of “fill” is out of range; got 0"),
        (
            with_task(replace(TYPED, hours=ThreeHours(4.0, 2.0, 9.0))),
            "The hours of “report” are out of order; got 4, 2, 9 h",
        ),
        (
            with_task(replace(FILL, wait=WaitAfter(3.0, 1.0, 2.0))),
            "The wait after “fill” is out of order; got 3, 1, 2 days",
        ),
        (
            with_task(replace(FILL, after=("report",))),
            "“fill” waits for a task that does not come before it; got report; allowed: none",
        ),
        (with_calendar(start_on="soon"), "The start cannot be read; got soon; allowed: a date"),
        (
            with_calendar(low_hours=0.0),
            "The bench hours of a week are out of range; got 0 to 26 h; allowed: above 0, up to "
            "120 h on 5 weekdays",
        ),
        (with_calendar(high_hours=130.0), "The bench hours of a week are out of range"),
        (with_calendar(weekdays=("Funday",)), "A bench is worked on weekdays; got Funday"),
        (
            with_calendar(days_off=(DaysOff("2026-12-24", "2026-12-01"),)),
            "Days off end before they start, or last too long; got 2026-12-24 to 2026-12-01",
        ),
    ],
)
def test_a_plan_that_cannot_be_worked_is_refused_in_words(plan: Plan, words: str) -> None:
    assert refused(plan).startswith(words)


SAMPLE = SampleList((SampledObject("A 1"), SampledObject("A 2", "shelf 3")), "by lot")


@pytest.mark.parametrize(
    ("survey", "words"),
    [
        (Survey(" "), "A survey needs a title"),
        (Survey("x", collection_count=0), "The collection has a size that is not possible; got 0"),
        (Survey("x", half_width_percent=50.0), "How exact a share is wanted is out of range"),
        (Survey("x", expected_percent=100.0), "The share that is expected is out of range"),
        (Survey("x", likeness=0.1), "Shelves need both their size and how alike"),
        (
            Survey("x", objects_on_a_shelf=20.0, likeness=1.5),
            "How alike the objects of a shelf are is a share; got 1.5",
        ),
    ],
)
def test_a_survey_that_cannot_be_known_is_refused_in_words(survey: Survey, words: str) -> None:
    with pytest.raises(InputError) as error:
        checked_survey(survey)
    assert str(error.value).startswith(words)


def test_an_object_stands_in_a_sample_once() -> None:
    with pytest.raises(InputError, match="An object stands in the sample twice; got A 1"):
        checked_sample(replace(SAMPLE, objects=(SAMPLE.objects[0],) * 2))


def test_a_sample_says_how_it_was_drawn() -> None:
    with pytest.raises(InputError, match="A sample says how it was drawn"):
        checked_sample(replace(SAMPLE, drawn_how=" "))


@pytest.mark.parametrize(
    ("grade", "words"),
    [
        (SurveyGrade("B 9", 2), "This object is not in the sample; got B 9"),
        (SurveyGrade("A 1", 5), "This is not a condition grade; got 5"),
        (SurveyGrade("A 1", None), "“A 1” has neither a grade nor a reason"),
        (SurveyGrade("A 1", 2, grading=0), "There is no grading of that number; got 0"),
    ],
)
def test_a_grade_outside_the_sample_or_the_scale_is_refused(grade: SurveyGrade, words: str) -> None:
    with pytest.raises(InputError) as error:
        checked_survey_grade(grade, SAMPLE)
    assert str(error.value).startswith(words)


def test_not_graded_with_a_reason_is_an_answer() -> None:
    answer = SurveyGrade("A 1", None, "not at its place")
    assert checked_survey_grade(answer, SAMPLE) is answer


def test_gradings_stand_beside_each_other() -> None:
    grades = [SurveyGrade("A 1", 2), SurveyGrade("A 2", 3), SurveyGrade("A 1", 4, grading=2)]
    assert graded_twice(grades) == [("A 1", [2, 4]), ("A 2", [3, None])]


def row(grade: int | None = None, days: int | None = None, **said: object) -> Inputs:
    return Inputs(Priority(**said), grade, days)


def test_condition_is_not_priority() -> None:
    # The worse one may wait: nobody needs it, and nothing is lost by waiting.
    waiting = row(3, None, significance=Weight.LOW, vulnerability=Weight.LOW,
                  cost_of_waiting=Weight.LOW)  # fmt: skip
    wanted = row(2, 20, significance=Weight.HIGH, cost_of_waiting=Weight.HIGH)
    assert ordered([waiting, wanted]) == [1, 0]


def test_active_loss_comes_before_every_deadline() -> None:
    lost = row(4, None, significance=Weight.LOW, cost_of_waiting=Weight.LOW)
    wanted = row(2, 5, significance=Weight.HIGH, vulnerability=Weight.HIGH)
    assert points(wanted) > points(lost)
    assert ordered([wanted, lost]) == [1, 0]


def test_what_is_not_known_neither_hides_nor_lifts() -> None:
    low, unknown, high = (
        points(row(significance=weight)) for weight in (Weight.LOW, Weight.NOT_KNOWN, Weight.HIGH)
    )
    assert low < unknown < high


def test_a_place_of_ones_own_choosing_needs_its_reason() -> None:
    with pytest.raises(RuleError, match="A place of your own choosing needs its reason"):
        checked_priority(Priority(place=1))
    assert checked_priority(Priority(place=1, place_because="lent on Monday")).place == 1


def test_a_chosen_place_stands_and_the_others_keep_their_order() -> None:
    rows = [row(1), row(3), row(2), row(1, place=2, place_because="asked for")]
    assert ordered(rows) == [1, 3, 2, 0]


@given(
    st.lists(
        st.tuples(
            st.sampled_from([None, 1, 2, 3, 4]),
            st.one_of(st.none(), st.integers(-50, 500)),
            st.one_of(st.none(), st.integers(1, 9)),
        ),
        max_size=12,
    )
)
def test_an_order_holds_every_dossier_once(
    rows: list[tuple[int | None, int | None, int | None]],
) -> None:
    given_rows = [row(grade, days, place=place, place_because="x") for grade, days, place in rows]
    assert sorted(ordered(given_rows)) == list(range(len(rows)))
