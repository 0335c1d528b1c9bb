"""Hours and weeks: they grow from the marks, learn from the log, and are kept with their date."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from softmend.errors import NotFoundError, RuleError
from softmend.records.action import Action
from softmend.records.closing import Closing
from softmend.records.dossier import Dossier, ObjectHead
from softmend.records.estimate import EstimateClass, Plan, PlanTask, ThreeHours, WaitAfter, WaitFor
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.zone import OnIt, OnZone
from softmend.services.dossiers import describe_object, open_dossier, opened
from softmend.services.examine.marks import marks_in, record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.propose import hour_log, hours
from softmend.services.propose.hours import (
    estimates_in,
    newest_estimate,
    plan_against_actual,
    plan_to_begin_with,
    planned_like,
    reckoned,
    record_estimate,
    weeks_said,
    working_of,
)
from softmend.services.propose.task_quantities import task_quantities, task_rows
from softmend.services.recording import record_one, strike
from softmend.tables import table
from tests.services.conftest import crack
from tests.services.examine.test_quantities import SCALE

ROUGH = EstimateClass.ROUGH


@pytest.fixture
def cracked(bench, author, dossier_id, view_id) -> str:
    """A dossier with one crack of 500 px at 10 px/mm: 5 cm."""
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    record_mark(bench, author, dossier_id, crack(view_id, (100.0, 100.0), (500.0, 400.0)))
    return dossier_id


def begun(bench, dossier_id) -> Plan:
    with bench.store.reading() as reader:
        return plan_to_begin_with(bench, reader, dossier_id)


def counted(bench, dossier_id):
    with bench.store.reading() as reader:
        return task_quantities(reader, dossier_id)


def drawn(term: str, shape: Shape, *points: tuple[float, float]) -> Mark:
    return Mark(0, term, (Sighting("view-1", Geometry(shape, (points,))),))


def only(*tasks: PlanTask, like: Plan) -> Plan:
    return replace(like, tasks=tasks)


def test_a_plan_begins_with_the_jobs_and_with_what_is_marked(bench, dossier_id, cracked) -> None:
    names = [task.like for task in begun(bench, dossier_id).tasks]
    assert names == [
        "move_in", "examination", "research", "proposal", "clear_cracks", "filling", "toning",
        "mount", "day_log", "hand_over",
    ]  # fmt: skip


def test_what_is_marked_is_counted_in_the_unit_of_its_task(
    bench, author, dossier_id, view_id, cracked
) -> None:
    square = ((100.0, 100.0), (300.0, 100.0), (300.0, 200.0), (100.0, 200.0))
    for mark in (
        drawn("old_fill", Shape.LINE, (100.0, 500.0), (400.0, 500.0)),
        drawn("old_fill", Shape.AREA, *square),
        drawn("soiling", Shape.AREA, *square),
        drawn("lifting", Shape.AREA, *square),
        drawn("fragment_seat", Shape.POINT, (50.0, 50.0)),
        drawn("fragment_seat", Shape.POINT, (60.0, 50.0)),
    ):
        record_mark(bench, author, dossier_id, mark)
    zone = OnZone(1, view_id, OnIt.COATING, (square,), 3.0)
    record_one(bench, author, dossier_id=dossier_id, subject_id="z", record=zone, based_on="")
    found = counted(bench, dossier_id)
    # By hand, at 10 px/mm: 500 px are 5 cm; 300 px are 3 cm, and an outline of 600 px is 30 mm of
    # both edges, 3 cm of fill; 200 px by 100 px are 2 cm2.
    expected = {
        "clear_cracks": 5.0, "filling": 5.0, "toning": 5.0, "old_fills_off": 6.0,
        "surface_cleaning": 2.0, "consolidation": 2.0, "old_coating_off": 2.0, "bonding": 2.0,
        "move_in": 1.0,
    }  # fmt: skip
    for task, quantity in expected.items():
        assert found[task].quantity == pytest.approx(quantity, rel=0.02), task
    assert found["filling"].text.endswith("cm in mark 1")


def test_without_a_scale_the_quantity_is_not_known_and_never_zero(
    bench, author, dossier_id, view_id
) -> None:
    record_mark(bench, author, dossier_id, crack(view_id))
    found = counted(bench, dossier_id)["filling"]
    assert (found.quantity, found.text) == (None, "marked, but without a scale")
    plan = only(planned_like("filling"), like=begun(bench, dossier_id))
    with bench.store.reading() as reader, pytest.raises(RuleError) as error:
        reckoned(reader, dossier_id, plan)
    assert "grows with what is marked, and that is not known" in str(error.value)


def test_each_quantity_carries_its_mark_and_the_entries_behind_it(
    bench, dossier_id, cracked
) -> None:
    with bench.store.reading() as reader:
        found = reckoned(reader, dossier_id, begun(bench, dossier_id))
        (entry, _), *_ = marks_in(reader, dossier_id)
        scale = reader.current(dossier_id, "scale")[0]
    (fill,) = [one for one in found.hours_inputs["tasks"] if one["name"] == "Filling and shaping"]
    quantity = fill["effort"]["quantity"]
    assert quantity["kind"] == "derived"
    assert quantity["origin"] == f"entry:{entry.id} entry:{scale.id}"
    assert set(found.read_entry_ids) == {entry.id, scale.id}


def test_hours_grow_with_the_marks(bench, author, dossier_id, view_id, cracked) -> None:
    plan = only(planned_like("filling"), like=begun(bench, dossier_id))

    def typical() -> float:
        with bench.store.reading() as reader:
            return reckoned(reader, dossier_id, plan).hours["total_hours"]["typical"]

    before = typical()
    # The table guesses 50 h for 800 cm; 5 cm are marked.
    assert before == pytest.approx(50 / 800 * 5, rel=0.05)
    record_mark(bench, author, dossier_id, crack(view_id, (100.0, 300.0), (500.0, 600.0)))
    assert typical() == pytest.approx(2 * before, rel=0.02)


def test_every_estimate_is_kept_with_class_date_and_basis(
    bench, author, dossier_id, cracked
) -> None:
    plan = begun(bench, dossier_id)
    record_estimate(bench, author, dossier_id, ROUGH, "seen once", plan)
    record_estimate(bench, author, dossier_id, EstimateClass.EXAMINED, "marked", plan)
    with bench.store.reading() as reader:
        kept = estimates_in(reader, dossier_id)
    told = [(one.estimate.number, one.estimate.estimate_class, one.estimate.basis) for one in kept]
    assert told == [(2, EstimateClass.EXAMINED, "marked"), (1, ROUGH, "seen once")]
    assert {one.estimate.estimated_on for one in kept} == {"2026-03-02"}
    assert [one.stale_because for one in kept] == ["", ""]


def test_before_the_first_estimate_nothing_is_said(bench, dossier_id) -> None:
    with bench.store.reading() as reader:
        assert weeks_said(reader, dossier_id) == "not estimated"
        assert estimates_in(reader, dossier_id) == []
        with pytest.raises(NotFoundError):
            newest_estimate(reader, dossier_id)


def stale(bench, dossier_id) -> str:
    with bench.store.reading() as reader:
        return newest_estimate(reader, dossier_id).stale_because


def test_an_estimate_is_stale_when_a_mark_that_it_read_changed(
    bench, author, dossier_id, cracked
) -> None:
    record_estimate(bench, author, dossier_id, ROUGH, "marked", begun(bench, dossier_id))
    with bench.store.reading() as reader:
        ((entry, _),) = marks_in(reader, dossier_id)
    strike(
        bench, author, dossier_id=dossier_id, kind="mark", subject_id=entry.subject_id,
        because="drawn twice", based_on=entry.id,
    )  # fmt: skip
    assert stale(bench, dossier_id) == "stale, because mark 1 was struck on 2026-03-02"


def test_an_estimate_is_stale_when_more_is_marked(
    bench, author, dossier_id, view_id, cracked
) -> None:
    record_estimate(bench, author, dossier_id, ROUGH, "marked", begun(bench, dossier_id))
    record_mark(bench, author, dossier_id, crack(view_id, (100.0, 300.0), (500.0, 600.0)))
    assert stale(bench, dossier_id).startswith("stale, because more is marked for “Clear cracks")


def wanted(bench, author, dossier_id, day: str) -> None:
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
    head = ObjectHead(title="antler beam", deadline_on=day)
    describe_object(bench, author, dossier_id, head, dossier.object_entry_id)


def test_an_estimate_is_stale_when_the_deadline_moved(bench, author, dossier_id, cracked) -> None:
    wanted(bench, author, dossier_id, "2026-06-08")
    record_estimate(bench, author, dossier_id, ROUGH, "marked", begun(bench, dossier_id))
    assert stale(bench, dossier_id) == ""
    wanted(bench, author, dossier_id, "2026-07-01")
    assert stale(bench, dossier_id) == "stale, because the deadline is 2026-07-01 now"
    with bench.store.reading() as reader:
        assert weeks_said(reader, dossier_id).endswith("weeks, from guesses, stale")


def test_no_percentage_for_a_date_from_guesses(bench, author, dossier_id, cracked) -> None:
    wanted(bench, author, dossier_id, "2026-06-08")
    with bench.store.reading() as reader:
        weeks = reckoned(reader, dossier_id, begun(bench, dossier_id)).weeks
    assert weeks["chance_percent"] is None
    assert weeks["text"].endswith("weeks, from guesses")
    assert weeks["wanted_text"].startswith("the date lies")


def test_a_deadline_in_words_or_in_the_past_gives_weeks_without_it(
    bench, author, dossier_id, cracked
) -> None:
    for day in ("before the summer", "2020-01-01"):
        wanted(bench, author, dossier_id, day)
        with bench.store.reading() as reader:
            weeks = reckoned(reader, dossier_id, begun(bench, dossier_id)).weeks
        assert weeks["wanted_text"] == ""


def test_drying_and_waiting_for_consent_are_told_apart(bench, dossier_id, cracked) -> None:
    with bench.store.reading() as reader:
        weeks = reckoned(reader, dossier_id, begun(bench, dossier_id)).weeks
    assert {one["because"] for one in weeks["standing_still"]} == {"consent", "drying"}


def test_the_next_plan_begins_with_the_last_one_and_the_house_keeps_its_calendar(
    bench, author, dossier_id, cracked
) -> None:
    plan = begun(bench, dossier_id)
    own = PlanTask("lift the beam", hours=ThreeHours(1.0, 2.0, 4.0),
                   wait=WaitAfter(1.0, 1.0, 1.0, WaitFor.OTHER))  # fmt: skip
    slow = replace(plan.calendar, low_hours=6.0, typical_hours=8.0, high_hours=10.0)
    record_estimate(bench, author, dossier_id, ROUGH, "seen", Plan((*plan.tasks, own), slow))
    assert begun(bench, dossier_id).tasks[-1] == own
    other = open_dossier(bench, author, Dossier("a box", "2", "an invented house", "dirty"))
    assert begun(bench, other).calendar.typical_hours == 8.0


def logged(monkeypatch: pytest.MonkeyPatch, log: hour_log.Logged) -> None:
    monkeypatch.setattr(hours, "house_log", lambda reader, *, is_invented: log)


def test_a_chance_is_given_only_once_about_100_hours_of_like_tasks_are_logged(
    bench, author, dossier_id, cracked, monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted(bench, author, dossier_id, "2026-06-08")
    plan = only(planned_like("filling"), like=begun(bench, dossier_id))
    for log, is_said in (([(100.0, 9.0)] * 10, False), ([(100.0, 9.0)] * 12, True)):
        logged(monkeypatch, {"filling": log})
        with bench.store.reading() as reader:
            weeks = reckoned(reader, dossier_id, plan).weeks
        assert (weeks["chance_percent"] is not None) is is_said
        assert ("from guesses" in weeks["text"]) is not is_said


def test_a_plan_with_the_jobs_of_the_table_keeps_its_words_without_a_log_of_them(
    bench, dossier_id, cracked, monkeypatch: pytest.MonkeyPatch
) -> None:
    logged(monkeypatch, {"filling": [(100.0, 9.0)] * 40})
    with bench.store.reading() as reader:
        weeks = reckoned(reader, dossier_id, begun(bench, dossier_id)).weeks
    assert weeks["text"].endswith("from guesses")


def work(bench, author, dossier_id, action: str, minutes: float, **more: object) -> None:
    """Put a line into the day log, past the checks of its own services."""
    with bench.store.reading() as reader:
        number = reader.next_number(dossier_id, "action")
    said = Action(number, action, "2026-03-02", minutes=minutes, **more)
    record_one(
        bench, author, dossier_id=dossier_id, subject_id=bench.fresh_id(), record=said, based_on=""
    )


def close(bench, author, dossier_id) -> None:
    said = Closing("2026-03-02", "done", "A. Conservator", "2027-03-02")
    record_one(
        bench, author, dossier_id=dossier_id, subject_id=dossier_id, record=said, based_on=""
    )


def house(bench) -> hour_log.Logged:
    with bench.store.reading() as reader:
        return hour_log.house_log(reader, is_invented=False)


def test_the_log_gives_hours_by_task_and_no_person(bench, author, dossier_id, cracked) -> None:
    work(bench, author, dossier_id, "filling", 90.0)
    work(bench, author, dossier_id, "levelling", 30.0, also_by_ids=("another",))
    work(bench, author, dossier_id, "label", 15.0)
    with bench.store.reading() as reader:
        found = hour_log.logged_hours(reader, dossier_id)
    # 90 min and two people for 30 min are 2.5 h on the 5 cm that are marked.
    ((quantity, worked),) = found["filling"]
    assert (quantity, worked) == (pytest.approx(5.0, rel=0.02), pytest.approx(2.5))
    assert found["label"] == [(0.0, 0.25)]


def test_a_log_that_names_its_marks_counts_those(
    bench, author, dossier_id, view_id, cracked
) -> None:
    long = record_mark(bench, author, dossier_id, crack(view_id, (100.0, 300.0), (900.0, 300.0)))
    work(bench, author, dossier_id, "filling", 60.0, mark_ids=(long.subject_id,))
    with bench.store.reading() as reader:
        ((quantity, _),) = hour_log.logged_hours(reader, dossier_id)["filling"]
    assert quantity == pytest.approx(8.0, rel=0.02)


def test_a_rate_is_learned_from_what_is_finished_only(bench, author, dossier_id, cracked) -> None:
    work(bench, author, dossier_id, "filling", 90.0)
    work(bench, author, dossier_id, "label", 90.0)
    assert house(bench) == {}
    close(bench, author, dossier_id)
    assert list(house(bench)) == ["filling"]


def test_an_invented_object_teaches_only_its_kind(bench, author, dossier_id, cracked) -> None:
    work(bench, author, dossier_id, "filling", 90.0)
    close(bench, author, dossier_id)
    with bench.store.reading() as reader:
        assert hour_log.house_log(reader, is_invented=True) == {}


def test_every_action_of_the_pairing_and_every_task_is_known() -> None:
    actions = {row["action_id"] for row in table("actions").rows}
    pairs = table("action_tasks").rows
    assert {row["action_id"] for row in pairs} <= actions
    assert {row["task"] for row in pairs} | {
        row["task"] for row in table("task_waits").rows
    } <= set(task_rows())


def test_plan_stands_against_actual_by_task_and_unplanned_work_is_told(
    bench, author, dossier_id, cracked
) -> None:
    record_estimate(bench, author, dossier_id, ROUGH, "marked", begun(bench, dossier_id))
    work(bench, author, dossier_id, "filling", 90.0)
    work(bench, author, dossier_id, "consolidation", 120.0)
    with bench.store.reading() as reader:
        estimate = newest_estimate(reader, dossier_id).estimate
        lines = {line.name: line for line in plan_against_actual(reader, dossier_id, estimate)}
    assert lines["Filling and shaping"].actual_hours == 1.5
    assert lines["Filling and shaping"].planned["typical"] > 0
    assert lines["Filling and shaping"].grows_with.endswith(" cm")
    assert lines["Mount, move, install"].grows_with == ""
    assert lines["Toning the fills"].actual_hours == 0.0
    assert (lines["Consolidation"].planned, lines["Consolidation"].actual_hours) == (None, 2.0)


def test_no_estimate_names_who_worked(bench, author, dossier_id, cracked) -> None:
    entry = record_estimate(bench, author, dossier_id, ROUGH, "marked", begun(bench, dossier_id))
    payload = json.loads(entry.payload)
    assert author.person_id not in json.dumps(payload)
    assert "author" not in json.dumps(payload)


def test_every_task_of_the_table_is_a_job_or_is_counted() -> None:
    assert {row.grows_with for row in task_rows().values()} <= {
        "job", "crack_cm", "old_fill_cm", "coating_cm2", "surface_cm2", "fragments",
    }  # fmt: skip


def test_the_working_names_marks_and_never_ids(bench, author, dossier_id, cracked) -> None:
    record_estimate(bench, author, dossier_id, ROUGH, "marked", begun(bench, dossier_id))
    with bench.store.reading() as reader:
        made = working_of(reader, newest_estimate(reader, dossier_id))
    origins = {value.name: value.origin for value in made.values}
    assert origins["Filling and shaping: cm of crack"] == "mark 1 the scale"
    assert not [origin for origin in origins.values() if "entry:" in origin]
