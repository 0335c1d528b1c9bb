"""Hours and weeks of a dossier: a plan that grows from the marks, kept as dated estimates."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from softmend import __version__
from softmend.catalogue.effort_task import COUNTED
from softmend.errors import InputError, NotFoundError, RuleError
from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.records.estimate import (
    BenchCalendar,
    Estimate,
    EstimateClass,
    Plan,
    PlanTask,
    WaitAfter,
    WaitFor,
    checked_basis,
    checked_plan,
)
from softmend.records.projection import human_number_in
from softmend.report.content import Working
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.dossiers import opened
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.propose.hour_log import Logged, house_log, logged_hours
from softmend.services.propose.removing_pace import (
    basis_with_paces,
    pace_guess,
    removal_paces,
    with_paces,
)
from softmend.services.propose.task_quantities import Counted, TaskRow, task_quantities, task_rows
from softmend.services.propose.void_tasks import as_the_voids_have_it, with_voids
from softmend.services.recording import append_record, current_records
from softmend.services.runs import stale_because
from softmend.services.store import Reader
from softmend.services.workings import working
from softmend.tables import table

FIRST_GUESS_HOURS = (12.0, 20.0, 26.0)
"""Bench hours a week until the house has said its own (estimated)."""

_CALENDARS_LOOKED_AT = 100
_ENTRY = re.compile(r"entry:([0-9a-f-]+)")
_TABLES = ("task_hours", "task_waits")


@dataclass(frozen=True)
class Reckoned:
    """A plan worked out: hours by task, weeks, and what was read; nothing is recorded yet."""

    plan: Plan
    hours_inputs: dict[str, Any]
    hours: Outcome
    weeks_inputs: dict[str, Any]
    weeks: Outcome
    wanted_on: str
    read_entry_ids: tuple[str, ...]


@dataclass(frozen=True)
class Kept:
    """An estimate as it was recorded, and why it no longer holds, or "" while it does."""

    entry: Entry
    estimate: Estimate
    stale_because: str


@dataclass(frozen=True)
class TaskLine:
    """One task, planned against actual; `planned` is None for work that is not in the plan."""

    name: str
    grows_with: str
    planned: dict[str, Any] | None
    rests_on: str
    actual_hours: float


def plan_to_begin_with(bench: Bench, reader: Reader, dossier_id: str) -> Plan:
    """Return the newest plan, or one from the table of guesses for what is marked."""
    kept = current_records(reader, dossier_id, "estimate")
    paces = removal_paces(reader, dossier_id)
    if kept:
        planned = with_paces(_plan_of(kept), paces)
        return with_voids(reader, dossier_id, planned, since=kept[-1][0].number)
    counted = task_quantities(reader, dossier_id)
    tasks = tuple(
        planned_like(row.task)
        for row in task_rows().values()
        if row.is_job or counted[row.task].quantity
    )
    planned = with_paces(Plan(tasks, _house_calendar(bench, reader)), paces)
    return with_voids(reader, dossier_id, planned)


def planned_like(task: str) -> PlanTask:
    """Return a task as the tables propose it, with its wait; it grows with what is marked."""
    row = task_rows()[task]
    for waits in table("task_waits").rows:
        if waits["task"] == task:
            low, typical, high = (
                float(waits[f"{point}_days"] or 0) for point in ("low", "typical", "high")
            )
            wait = WaitAfter(low, typical, high, WaitFor(waits["wait_for"]))
            return PlanTask(row.title, task, wait=wait)
    return PlanTask(row.title, task)


def reckoned(reader: Reader, dossier_id: str, plan: Plan) -> Reckoned:
    """Work out the hours and weeks of a plan from today's marks and the house's log."""
    plan = as_the_voids_have_it(reader, dossier_id, checked_plan(plan))
    dossier = opened(reader, dossier_id)
    counted = task_quantities(reader, dossier_id)
    log = house_log(reader, is_invented=dossier.dossier.is_invented)
    efforts = {task.name: _effort(task, counted, log) for task in plan.tasks}
    hours_inputs = {"tasks": [{"name": name, "effort": effort} for name, effort in efforts.items()]}
    wanted_on = _day(dossier.object_head.deadline_on)
    weeks_inputs: dict[str, Any] = {
        "tasks": [_planned(task, efforts[task.name]) for task in plan.tasks],
        **_calendar_inputs(plan.calendar),
    }
    if wanted_on >= plan.calendar.start_on:
        weeks_inputs["wanted_on"] = wanted_on
    read = [one for task in plan.tasks if _grows(task) for one in counted[task.like].entry_ids]
    read += [task.pace.entry_id for task in plan.tasks if task.pace and task.pace.entry_id]
    return Reckoned(
        plan=plan,
        hours_inputs=hours_inputs,
        hours=outcome("effort.hours", hours_inputs),
        weeks_inputs=weeks_inputs,
        weeks=outcome("effort.finish", weeks_inputs),
        wanted_on=wanted_on,
        read_entry_ids=tuple(dict.fromkeys(read)),
    )


def record_estimate(
    bench: Bench,
    author: Author,
    dossier_id: str,
    estimate_class: EstimateClass,
    basis: str,
    plan: Plan,
) -> Entry:
    """Keep an estimate under a number of its own; the earlier ones stay as they are."""
    said = checked_basis(estimate_class, basis)
    with bench.store.writing() as writer:
        found = reckoned(writer, dossier_id, plan)
        read = found.read_entry_ids
        estimate = Estimate(
            number=writer.next_number(dossier_id, "estimate"),
            estimate_class=estimate_class,
            estimated_on=bench_day(bench),
            basis=basis_with_paces(found.plan, said),
            plan=found.plan,
            hours_run=_run("effort.hours", found.hours_inputs, found.hours, read),
            weeks_run=_run("effort.finish", found.weeks_inputs, found.weeks, read),
        )
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=bench.fresh_id(),
            record=estimate,
            based_on="",
        )
        writer.commit()
    return entry


def estimates_in(reader: Reader, dossier_id: str) -> list[Kept]:
    """Return every estimate of a dossier, the newest first, each with why it is stale."""
    kept = current_records(reader, dossier_id, "estimate")
    if not kept:
        return []
    counted = task_quantities(reader, dossier_id)
    deadline = _day(opened(reader, dossier_id).object_head.deadline_on)
    return [
        Kept(entry, estimate, _stale(reader, estimate, counted, deadline))
        for entry, estimate in reversed(kept)
    ]


def newest_estimate(reader: Reader, dossier_id: str) -> Kept:
    """Return the estimate that stands; NotFoundError while there is none."""
    kept = estimates_in(reader, dossier_id)
    if not kept:
        raise NotFoundError("Nobody has estimated the hours of this dossier yet")
    return kept[0]


def weeks_said(reader: Reader, dossier_id: str) -> str:
    """Return the weeks of the newest estimate in words, or that nobody has estimated them."""
    kept = estimates_in(reader, dossier_id)
    if not kept:
        return "not estimated"
    text = kept[0].estimate.weeks_run.outputs["text"]
    return f"{text}, stale" if kept[0].stale_because else f"{text}"


def plan_against_actual(reader: Reader, dossier_id: str, estimate: Estimate) -> list[TaskLine]:
    """Return each task of an estimate beside the hours logged; unplanned work comes last."""
    actual = {
        task: sum(hours for _, hours in logged)
        for task, logged in logged_hours(reader, dossier_id).items()
    }
    hours = {line["name"]: line for line in estimate.hours_run.outputs["tasks"]}
    grown = _grown_with(estimate)
    lines = [
        TaskLine(
            task.name,
            grown.get(task.name, ""),
            hours[task.name]["hours"],
            hours[task.name]["rests_on"],
            actual.pop(task.like or task.name, 0.0),
        )
        for task in estimate.plan.tasks
    ]
    titles = task_rows()
    return lines + [
        TaskLine(titles[task].title if task in titles else task, "", None, "", worked)
        for task, worked in actual.items()
    ]


def _grown_with(estimate: Estimate) -> dict[str, str]:
    """Return the quantity that each task grew with when it was estimated, as it is printed."""
    said = {value["name"]: value["text"] for value in estimate.hours_run.outputs["working"]}
    rows = {task.name: task_rows()[task.like] for task in estimate.plan.tasks if task.like}
    grown = {}
    for name, row in rows.items():
        # An estimate kept before the working named it in words has the unit's own name.
        names = (f"{name}: {COUNTED.get(row.grows_with)}", f"{name}: {row.grows_with}")
        found = [said[one] for one in names if one in said]
        if found and not row.is_job:
            grown[name] = f"{found[0]} {row.unit}"
    return grown


def working_of(reader: Reader, kept: Kept) -> Working:
    """Return how the weeks of an estimate were made, each origin in words instead of an id."""
    made = working("effort.finish", "weeks", kept.estimate.weeks_run.outputs, kept.stale_because)
    return replace(
        made,
        values=tuple(
            replace(value, origin=_ENTRY.sub(lambda found: _words(reader, found[1]), value.origin))
            for value in made.values
        ),
    )


def _words(reader: Reader, entry_id: str) -> str:
    entry = reader.entry(entry_id)
    number = human_number_in(entry)
    return f"{entry.kind.replace('_', ' ')} {number}" if number else f"the {entry.kind}"


def _plan_of(kept: list[tuple[Entry, Any]]) -> Plan:
    newest: Estimate = kept[-1][1]
    return newest.plan


def _house_calendar(bench: Bench, reader: Reader) -> BenchCalendar:
    """Return the calendar that the house used last, from today; or a first guess of one."""
    today = bench_day(bench)
    newest: tuple[str, BenchCalendar] | None = None
    for row in reader.dossiers(limit=_CALENDARS_LOOKED_AT):
        for entry, estimate in current_records(reader, row.dossier_id, "estimate"):
            if newest is None or entry.at > newest[0]:
                newest = (entry.at, estimate.plan.calendar)
    if newest is None:
        return BenchCalendar(today, *FIRST_GUESS_HOURS)
    used = newest[1]
    return BenchCalendar(
        today, used.low_hours, used.typical_hours, used.high_hours, used.weekdays, used.days_off
    )


def _grows(task: PlanTask) -> bool:
    return task.hours is None and task.quantity is None and task.like in task_rows()


def _effort(task: PlanTask, counted: dict[str, Counted], log: Logged) -> dict[str, Any]:
    if task.hours is not None:
        return _three_points(task.hours.least_hours, task.hours.likely_hours, task.hours.most_hours)
    row = task_rows().get(task.like)
    if row is None:
        raise InputError(
            f"The table of hours has no such task for “{task.name}”",
            value=task.like,
            allowed=", ".join(task_rows()),
        )
    if row.is_job and row.task not in log:
        return _three_points(row.least_hours, row.likely_hours, row.most_hours)
    paced = {} if task.pace is None or row.is_job else {"guess": pace_guess(task.pace)}
    return {
        "by": "quantity",
        "quantity": _quantity(task, row, counted[row.task]),
        "unit": row.grows_with,
        "like": row.task,
        **paced,
        "log": [
            {"quantity": quantity, "took_hours": hours} for quantity, hours in log.get(row.task, [])
        ],
    }


def _quantity(task: PlanTask, row: TaskRow, counted: Counted) -> dict[str, Any]:
    if task.quantity is not None:
        return {"value": task.quantity, "kind": "estimated", "origin": "typed"}
    if counted.quantity is None:
        raise RuleError(
            f"“{task.name}” grows with what is marked, and that is not known: {counted.text}",
            remedy=f"Mark it and set a scale, type how much it is ({row.unit}), or give three "
            "hours",
        )
    return counted.sourced()


def _three_points(least: float, likely: float, most: float) -> dict[str, Any]:
    return {
        "by": "three_points",
        "least_hours": least,
        "likely_hours": likely,
        "most_hours": most,
    }


def _planned(task: PlanTask, effort: dict[str, Any]) -> dict[str, Any]:
    planned: dict[str, Any] = {"name": task.name, "effort": effort}
    if task.wait is not None and task.wait.high_days > 0:
        days = (task.wait.low_days, task.wait.typical_days, task.wait.high_days)
        planned |= {"wait_days": _points(days), "wait": task.wait.wait_for.value}
    if task.after is not None:
        planned["after"] = list(task.after)
    return planned


def _calendar_inputs(calendar: BenchCalendar) -> dict[str, Any]:
    hours = (calendar.low_hours, calendar.typical_hours, calendar.high_hours)
    return {
        "start_on": calendar.start_on,
        "bench_hours": _points(hours),
        "weekdays": list(calendar.weekdays),
        "days_off": calendar.dates_off(),
    }


def _points(points: tuple[float, float, float]) -> dict[str, Any]:
    low, typical, high = points
    value: Any = {"low": low, "typical": typical, "high": high} if low < high else typical
    return {"value": value, "kind": "estimated", "origin": "typed"}


def _run(name: str, inputs: dict[str, Any], outputs: Outcome, read: tuple[str, ...]) -> Run:
    return Run(
        computation=name,
        inputs=inputs,
        outputs=outputs,
        software_version=__version__,
        table_versions={one: table(one).version for one in _TABLES},
        seed=0,
        read_entry_ids=read,
    )


def _stale(reader: Reader, estimate: Estimate, counted: dict[str, Counted], deadline: str) -> str:
    changed = stale_because(reader, estimate.weeks_run)
    if changed:
        return changed
    read = set(estimate.weeks_run.read_entry_ids)
    for task in estimate.plan.tasks:
        if _grows(task) and not read.issuperset(counted[task.like].entry_ids):
            return f"stale, because more is marked for “{task.name}” now: {counted[task.like].text}"
    wanted = estimate.weeks_run.inputs.get("wanted_on", "")
    if deadline >= estimate.plan.calendar.start_on and deadline != wanted:
        return f"stale, because the deadline is {deadline} now"
    return ""


def _day(text: str) -> str:
    """Return a stated deadline as a date, or "" where it is none."""
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        return ""
